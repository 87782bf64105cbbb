#include <cassert>

#include "mendtone/base/csv.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/results/walk.hpp"

namespace mendtone::results {
namespace {

/// A value, and how one came to it from the answer: the rows that it stands in.
struct Place {
  const Type* type = nullptr;
  const void* value = nullptr;
  std::string name;
  std::size_t number = 0;  ///< among its like, from 1
};

std::vector<std::string_view> parts_of(std::string_view pointer) {
  std::vector<std::string_view> parts;
  while (!pointer.empty()) {
    const std::size_t slash = pointer.find('/');
    parts.push_back(pointer.substr(0, slash));
    pointer = slash == std::string_view::npos ? std::string_view() : pointer.substr(slash + 1);
  }
  return parts;
}

const Field* field_of(const Type& type, std::string_view key) {
  for (const Field& field : type.fields)
    if (field.key == key) return &field;
  return nullptr;
}

std::string cell(const Type& type, const void* value);

/// Lists of texts stand in one cell, parted by semicolons.
std::string joined(const Type& type, const void* value) {
  std::string text;
  for (std::size_t i = 0; i < type.size(value); ++i)
    text += (i == 0 ? "" : "; ") + cell(*type.item, type.at(value, i));
  return text;
}

std::string cell(const Type& type, const void* value) {
  switch (type.shape) {
    case Shape::text:
      return detail::as<std::string>(value);
    case Shape::number:
      return shortest(detail::as<double>(value));
    case Shape::whole: {
      const Whole whole = type.whole(value);
      return (whole.negative ? "-" : "") + std::to_string(whole.magnitude);
    }
    case Shape::yes_no:
      return detail::as<bool>(value) ? "yes" : "no";
    case Shape::word:
      return std::string(type.word(value));
    case Shape::maybe:
      return type.held(value) ? cell(*type.item, type.held(value)) : std::string();
    case Shape::list:
      return joined(type, value);
    case Shape::numbers:
    case Shape::flags:
    case Shape::named:
    case Shape::record:
    case Shape::row:
      break;
  }
  assert(!"a column points at something that is no cell");
  return {};
}

/// What the rest of a pointer leads to; blank where nothing is held on the way.
std::string found(const Type& type, const void* value, std::span<const std::string_view> parts) {
  if (type.shape == Shape::maybe && !parts.empty())
    return type.held(value) ? found(*type.item, type.held(value), parts) : std::string();
  if (parts.empty()) return cell(type, value);
  if (type.shape == Shape::numbers) {
    const auto numbers = type.numbers(value);
    const auto at = parse_number(parts.front());
    assert(at);
    return *at < static_cast<double>(numbers.size())
               ? shortest(numbers[static_cast<std::size_t>(*at)])
               : std::string();
  }
  if (type.shape == Shape::list) {
    const auto at = parse_number(parts.front());
    assert(at);
    const auto i = static_cast<std::size_t>(*at);
    return i < type.size(value) ? found(*type.item, type.at(value, i), parts.subspan(1))
                                : std::string();
  }
  if (type.shape == Shape::named) {
    // By the item's name, or its place from 0.
    const auto wanted = parse_number(parts.front());
    const bool its_name = parts.size() == 2 && parts[1] == "@name";
    std::string text;
    double place = 0;
    type.each(value, [&](const std::string& name, const void* one) {
      if (wanted ? place++ != *wanted : name != parts.front()) return;
      text = its_name ? name : found(*type.item, one, parts.subspan(1));
    });
    return text;
  }
  const Field* field = field_of(type, parts.front());
  assert(field && "a column of a table points at no field");
  return found(*field->type, field->in(value), parts.subspan(1));
}

std::string column_of(const std::vector<Place>& places, std::string_view pointer) {
  auto parts = parts_of(pointer);
  std::size_t at = places.size() - 1;
  std::size_t up = 0;
  while (up < parts.size() && parts[up] == "..") ++up;
  assert(up <= at);
  const Place& place = places[at - up];
  const auto rest = std::span<const std::string_view>(parts).subspan(up);
  if (rest.size() == 1 && rest[0] == "@name") return place.name;
  if (rest.size() == 1 && rest[0] == "@place") return std::to_string(place.number);
  std::vector<std::string_view> exact(rest.begin(), rest.end());
  const std::string index = std::to_string(places.back().number - 1);
  for (std::string_view& part : exact)
    if (part == "@index") part = index;
  return found(*place.type, place.value, exact);
}

/// The numbers of a field of this row; "reflectance/*" is as good as "reflectance".
std::vector<std::string> each_number(const Place& place, std::string_view pointer) {
  const Field* field = field_of(*place.type, pointer.substr(0, pointer.find('/')));
  assert(field && field->type->shape == Shape::numbers);
  std::vector<std::string> cells;
  for (const double number : field->type->numbers(field->in(place.value)))
    cells.push_back(shortest(number));
  return cells;
}

using Cells = std::vector<std::string>;

void rows_below(const Table& table, std::vector<Place>& places,
                std::span<const std::string_view> levels, std::string (*line)(const Cells&),
                std::string& text) {
  if (levels.empty()) {
    Cells cells;
    for (const Column& column : table.columns)
      if (column.heading.front() == '*')
        for (const std::string& one : each_number(places.back(), column.pointer))
          cells.push_back(one);
      else
        cells.push_back(column_of(places, column.pointer));
    text += line(cells);
    return;
  }
  const Place here = places.back();
  if (levels.front().ends_with("[]")) {
    const std::string_view key = levels.front().substr(0, levels.front().size() - 2);
    const Field* numbers = field_of(*here.type, key);
    assert(numbers && "a table's rows are no field");
    const std::size_t count = numbers->type->numbers(numbers->in(here.value)).size();
    for (std::size_t i = 0; i < count; ++i) {
      places.push_back({nullptr, nullptr, {}, i + 1});
      rows_below(table, places, levels.subspan(1), line, text);
      places.pop_back();
    }
    return;
  }
  const Field* field = field_of(*here.type, levels.front());
  assert(field && "a table's rows are no field");
  const Type& type = *field->type;
  const void* value = field->in(here.value);
  std::size_t number = 0;
  const auto visit = [&](const std::string& name, const void* one) {
    places.push_back({type.item, one, name, ++number});
    rows_below(table, places, levels.subspan(1), line, text);
    places.pop_back();
  };
  if (type.shape == Shape::named) return type.each(value, visit);
  for (std::size_t i = 0; i < type.size(value); ++i) visit({}, type.at(value, i));
}

/// The numbers of the first row's field, which head their columns.
std::vector<std::string> headings_of_first(const Type& type, const void* value,
                                           std::string_view key) {
  const Field* rows = field_of(type, type.table.rows);
  assert(rows && "a table's rows are no field");
  if (rows->type->size(rows->in(value)) == 0) return {};
  return each_number({rows->type->item, rows->type->at(rows->in(value), 0), {}, 1}, key);
}

/// Cells as one row of a sheet's text; the line breaks of a cell would end it.
std::string sheet_line(const Cells& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) line += '\t';
    if (cells[i].find_first_of("\t\"\r\n\x1e#") == std::string::npos) {
      line += cells[i];
      continue;
    }
    line += '"';
    for (const char c : cells[i])
      if (c == '"')
        line += "\"\"";
      else
        line += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    line += '"';
  }
  return line + "\n";
}

/// The types that a row stands in, the answer's first.
std::vector<const Type*> types_of_rows(const Type& type) {
  std::vector<const Type*> types{&type};
  for (const std::string_view level : parts_of(type.table.rows))
    if (level.ends_with("[]"))
      types.push_back(nullptr);
    else
      types.push_back(field_of(*types.back(), level)->type->item);
  return types;
}

/// The unit of the field that a column shows; empty where it has none.
std::string_view unit_of(const std::vector<const Type*>& types, std::string_view pointer) {
  auto parts = parts_of(pointer);
  std::size_t up = 0;
  while (up < parts.size() && parts[up] == "..") ++up;
  const Type* type = types[types.size() - 1 - up];
  std::string_view unit;
  for (std::size_t i = up; type && i < parts.size(); ++i) {
    while (type->shape == Shape::maybe) type = type->item;
    const Field* field = field_of(*type, parts[i]);
    if (!field) break;
    unit = field->says.unit;
    type = field->type;
  }
  return unit;
}

Cells headings_of(const Type& type, const void* value, bool with_units) {
  const auto types = types_of_rows(type);
  Cells headings;
  for (const Column& column : type.table.columns) {
    if (column.heading.front() == '*') {
      for (const std::string& one : headings_of_first(type, value, column.heading.substr(1)))
        headings.push_back(one);
      continue;
    }
    const std::string_view unit = with_units ? unit_of(types, column.pointer) : std::string_view();
    headings.push_back(std::string(column.heading) +
                       (unit.empty() ? "" : " [" + std::string(unit) + "]"));
  }
  return headings;
}

/// What the answer says of its lights and its observer.
void add_conditions(const Type& type, const void* value, std::string& text) {
  if (const Field* lights = field_of(type, "lights"); lights && lights->type->shape == Shape::list)
    for (std::size_t i = 0; i < lights->type->size(lights->in(value)); ++i) {
      const Type& light = *lights->type->item;
      const void* one = lights->type->at(lights->in(value), i);
      const Field *name = field_of(light, "name"), *origin = field_of(light, "origin");
      if (name && origin)
        text += sheet_line({i == 0 ? "light" : "further light", cell(*name->type, name->in(one)),
                            cell(*origin->type, origin->in(one))});
    }
  if (const Field* observer = field_of(type, "observer"))
    text += sheet_line(
        {"observer", cell(*observer->type, observer->in(value)), std::string(observer->says.unit)});
}

}  // namespace

std::string to_sheets(const Type& type, const void* value, std::string_view program) {
  assert(!type.table.columns.empty());
  const Cells headings = headings_of(type, value, true);
  std::string text = "\x1e" + type.schema + "\n" + sheet_line(headings);
  std::vector<Place> places{{&type, value, {}, 0}};
  rows_below(type.table, places, parts_of(type.table.rows), sheet_line, text);
  text +=
      "\x1e"
      "About\n" +
      sheet_line({"what", "value", "more"}) + sheet_line({"program", std::string(program), ""});
  add_conditions(type, value, text);
  return text;
}

std::string csv_line(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i)
    line += (i > 0 ? "," : "") + spreadsheet_cell(cells[i]);
  return line + "\n";
}

std::string to_csv(const Type& type, const void* value) {
  assert(!type.table.columns.empty());
  std::string text = csv_line(headings_of(type, value, false));
  std::vector<Place> places{{&type, value, {}, 0}};
  rows_below(type.table, places, parts_of(type.table.rows), csv_line, text);
  return text;
}

}  // namespace mendtone::results
