#include <algorithm>
#include <cctype>
#include <filesystem>

#include "app/inputs/json.hpp"
#include "app/inputs/text.hpp"
#include "app/record/record_entries.hpp"
#include "app/record/record_lookup.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/inputs/lamps.hpp"
#include "mendtone/app/record/entered.hpp"
#include "mendtone/app/record/means.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/report/decided.hpp"

namespace mendtone::app {
namespace {

using record::Cell;
using record::CellForm;
using record::Column;
using record::Id;
using record::Kind;
using record::Row;
using record::Store;

std::vector<std::string> split(const std::string& text, char at) {
  std::vector<std::string> parts{""};
  for (char c : text)
    if (c == at)
      parts.emplace_back();
    else
      parts.back() += c;
  for (std::string& part : parts) part = trimmed(part);
  parts.erase(std::remove(parts.begin(), parts.end(), ""), parts.end());
  return parts;
}

Result<Cell> loads_from_words(const std::string& text, const Column& column) {
  std::map<std::string, double> loads;
  for (const std::string& part : split(text, ',')) {
    const auto equals = part.rfind('=');
    const auto load =
        equals == std::string::npos ? std::nullopt : parse_number(trimmed(part.substr(equals + 1)));
    if (!load) return bad_request("expected COLORANT=NUMBER, found '" + part + "'", column.name);
    loads[trimmed(part.substr(0, equals))] = *load;
  }
  return Cell{nlohmann::json(loads).dump(-1, ' ', false, Json::error_handler_t::replace)};
}

Result<Cell> outline_from_words(const std::string& text, const Column& column) {
  Json outline = Json::array();
  for (const std::string& polygon : split(text, ';')) {
    Json corners = Json::array();
    for (const std::string& corner : split(polygon, ' ')) {
      const auto numbers = split(corner, ',');
      const auto x = numbers.size() == 2 ? parse_number(numbers[0]) : std::nullopt;
      const auto y = numbers.size() == 2 ? parse_number(numbers[1]) : std::nullopt;
      if (!x || !y)
        return bad_request("expected corners as X,Y parted by blanks, found '" + corner + "'",
                           column.name);
      corners.push_back({*x, *y});
    }
    if (corners.size() < 3)
      return bad_request("an outline needs at least three corners", column.name);
    outline.push_back(std::move(corners));
  }
  return Cell{outline.dump()};
}

bool is_json(const std::string& text) {
  return text.front() == '[' || text.front() == '{';
}

/// Words of a person to the cell that is kept.
class EntryReader {
 public:
  EntryReader(const Store& store, const Kind& kind, Row& row, const std::string& record)
      : store_(store), kind_(kind), row_(row), record_(record) {}

  Result<void> put(const std::string& name, const std::string& text) {
    const auto place = kind_.position(name);
    if (place == kind_.columns.size()) return no_column(name);
    const Column& column = kind_.columns[place];
    if (kind_.name == "lamp" && name == "power") return put_lamp(text);
    if (kind_.name == "photograph" && name == "path") return put_photograph(text);
    auto cell = cell_of(text, column);
    if (!cell) return cell.error();
    row_.cells[place] = *cell;
    return {};
  }

 private:
  Result<Cell> cell_of(const std::string& text, const Column& column) {
    if (text.empty()) return Cell{};
    if (!column.links_to.empty()) {
      auto id = find_thing(store_, column.links_to, text, sheet());
      if (!id) return Error{id.error().code, id.error().message + " (" + column.name + ")", text};
      return Cell{*id};
    }
    if (column.form == CellForm::loads && !is_json(text)) return loads_from_words(text, column);
    if (column.form == CellForm::outline && !is_json(text)) return outline_from_words(text, column);
    auto cell = parse_cell(text, column);
    if (!cell) return bad_request(cell.error().message, column.name);
    return cell;
  }

  /// The sheet that this thing is said to belong to, so that its parts are found by their names.
  std::optional<Id> sheet() const {
    const auto place = kind_.position("sheet");
    if (place == kind_.columns.size()) return std::nullopt;
    const auto* id = std::get_if<std::int64_t>(&row_.cells[place]);
    return id ? std::optional(*id) : std::nullopt;
  }

  void set(const char* column, Cell cell) { row_.cells[kind_.position(column)] = std::move(cell); }

  Result<void> put_photograph(const std::string& path) {
    std::error_code same;
    if (std::filesystem::equivalent(path, record_, same))
      return bad_request("this is the record itself, not a photograph", path);
    auto hash = sha256_of_file(path);
    if (!hash) return hash.error();
    std::error_code fault;
    const auto whole = std::filesystem::absolute(path, fault).lexically_normal();
    set("path", Cell{fault ? path : whole.string()});
    set("sha256", Cell{*hash});
    return {};
  }

  /// A lamp file's name, or its lines.
  Result<void> put_lamp(const std::string& text) {
    std::string name = text;
    InputPlace place;
    if (text.find('\n') != std::string::npos) {
      name = "the lamp's table";
      place.only = std::make_shared<const Inputs>(Inputs{{name, text}});
    }
    auto lamp = lamp_named(name, place);
    if (!lamp) return lamp.error();
    record::Lamp kept;
    kept.name = "-";
    kept.power = lamp->lamp.power;
    const Row row = to_row(kept);
    for (const char* column : {"power_nm", "power"})
      row_.cells[kind_.position(column)] = row.cells[kind_.position(column)];
    return {};
  }

  Error no_column(const std::string& name) const {
    std::string columns;
    for (const Column& column : kind_.columns)
      columns += (columns.empty() ? "" : ", ") + column.name;
    return bad_request("a " + kind_.name + " has no column of this name; it has " + columns, name);
  }

  const Store& store_;
  const Kind& kind_;
  Row& row_;
  const std::string& record_;
};

/// The sheet first: names of spots and photographs are looked up within it.
Written sheet_first(Written columns) {
  std::stable_partition(columns.begin(), columns.end(),
                        [](const auto& column) { return column.first == "sheet"; });
  return columns;
}

Result<const Kind*> kind_named(const std::string& name) {
  if (const Kind* kind = record::find_kind(name)) return kind;
  return bad_request("a record has no such kind of thing", name);
}

KeepAnswer told(const KeepRequest& request, const Kind& kind, const Row& row, Id id) {
  KeepAnswer answer;
  answer.kind = kind.name;
  answer.id = id;
  answer.record = request.record;
  answer.corrected = !request.thing.empty();
  for (std::size_t i = 0; i < row.cells.size(); ++i)
    if (!std::holds_alternative<std::monostate>(row.cells[i]))
      answer.columns.push_back({kind.columns[i].name, record::text_of(row.cells[i])});
  const auto name = kind.position("name");
  if (name < row.cells.size()) answer.name = record::text_of(row.cells[name]);
  return answer;
}

/// Two may correct one thing at the same time: the second has not seen what the first entered.
Result<void> seen_as_it_is(const std::vector<record::KeptRow>& past, Id seen_row) {
  if (seen_row == 0 || past.back().row == seen_row) return {};
  const record::Entry& entry = past.back().entry;
  return bad_request("corrected by " + entry.who + " at " + entry.when +
                         (entry.why.empty() ? "" : " ('" + entry.why + "')") +
                         ", after you opened it; nothing was kept: look at it again, then enter "
                         "what is still to be corrected",
                     "seen_row");
}

/// A recipe's place in its list is one that the list has.
Result<void> number_in_list(const Store& store, const Kind& kind, const Row& row) {
  record::Recipe recipe;
  if (kind.name != record::Recipe::kind || !record::from_row(row, recipe)) return {};
  if (!recipe.computation || !recipe.number) return {};
  auto computed = record::get<record::Computation>(store, *recipe.computation);
  if (!computed) return computed.error();
  const auto result = json_from(computed->value.result, "result");
  const std::size_t count =
      result && json_member(*result, "recipes").is_array() ? (*result)["recipes"].size() : 0;
  if (*recipe.number >= 1 && static_cast<std::size_t>(*recipe.number) <= count) return {};
  return bad_request(count == 0 ? "this result holds no recipes"
                                : "expected the number of one of its " + std::to_string(count) +
                                      " recipes, found " + std::to_string(*recipe.number),
                     "number");
}

std::string fill_name(const record::Kept<record::Fill>& fill) {
  return (fill.value.name.empty() ? "" : "'" + fill.value.name + "' (") + "fill #" +
         std::to_string(fill.id) + (fill.value.name.empty() ? "" : ")");
}

/// One fill is chosen for a loss: a second choice makes the first one considered, and says so. What
/// was carried out stays what it is. The names of those that it came before.
Result<std::vector<std::string>> one_choice(Store& store, const Kind& kind, const Row& row, Id id,
                                            const record::Entry& entry) {
  std::vector<std::string> superseded;
  record::Fill fill;
  if (kind.name != record::Fill::kind || !record::from_row(row, fill) || fill.verdict != "chosen")
    return superseded;
  auto others = record::current<record::Fill>(store, {{{"loss", Cell{fill.loss}}}, false});
  if (!others) return others.error();
  const std::string name = fill.name.empty() ? "another fill" : "'" + fill.name + "'";
  for (auto& other : *others) {
    if (other.id == id || other.value.verdict != "chosen") continue;
    if (!other.value.carried_out.empty())
      return bad_request(
          report::carried_out_already(fill_name(other), other.value.carried_out, name), "verdict");
    superseded.push_back(fill_name(other));
    other.value.verdict = "considered";
    record::Entry why = entry;
    why.why = report::superseded_by(name);
    if (auto done = store.correct(other.id, record::to_row(other.value), why); !done)
      return done.error();
  }
  return superseded;
}

/// `fault` of a refused value that came from the command line stays what it was.
Result<KeepAnswer> keep_of_kind(Store& store, const KeepRequest& request, const Kind& kind) {
  Row row{kind.name, std::vector<Cell>(kind.columns.size())};
  Id id = 0;
  if (!request.thing.empty()) {
    auto found = find_thing(store, kind.name, request.thing);
    if (!found) return found.error();
    id = *found;
    auto past = store.history(kind.name, id);
    if (!past) return past.error();
    if (auto seen = seen_as_it_is(*past, request.seen_row); !seen) return seen.error();
    row = past->back().value;
  }
  EntryReader reader(store, kind, row, request.record);
  for (const auto& [name, text] : sheet_first(request.columns))
    if (auto put = reader.put(name, text); !put) return put.error();
  if (auto listed = number_in_list(store, kind, row); !listed) return listed.error();
  auto superseded = one_choice(store, kind, row, id, request.entry);
  if (!superseded) return superseded.error();
  auto kept = id == 0 ? store.add(row, request.entry) : store.correct(id, row, request.entry);
  if (!kept) return kept.error();
  KeepAnswer answer = told(request, kind, row, *kept);
  answer.superseded = *std::move(superseded);
  answer.cautions = cautions_of_entry(answer.columns);
  return answer;
}

Result<std::vector<Id>> ids_to_correct(const Store& store, const CorrectAllRequest& request) {
  std::vector<Id> ids;
  if (!request.file.empty()) {
    auto file = find_thing(store, "file", request.file);
    if (!file) return file.error();
    auto readings = store.current("reading", {{{"file", Cell{*file}}}, false});
    if (!readings) return readings.error();
    for (const auto& row : *readings) ids.push_back(row.id);
  }
  for (const std::string& thing : request.things) {
    auto id = find_thing(store, request.kind, thing);
    if (!id) return id.error();
    if (std::find(ids.begin(), ids.end(), *id) == ids.end()) ids.push_back(*id);
  }
  return ids;
}

}  // namespace

Result<KeepAnswer> enter_in(Store& store, const KeepRequest& request) {
  auto kind = kind_named(request.kind);
  if (!kind) return kind.error();
  return keep_of_kind(store, request, **kind);
}

Result<KeepAnswer> record_keep(const KeepRequest& request) {
  auto kind = kind_named(request.kind);
  if (!kind) return kind.error();
  Result<KeepAnswer> answer = KeepAnswer{};
  auto done = in_record(request.record, [&](Store& store) -> Result<void> {
    answer = keep_of_kind(store, request, **kind);
    if (!answer) return answer.error();
    if (request.kind != "reading" || request.thing.empty()) return {};
    return renew_means(store, {answer->id}, request.entry);
  });
  if (!done) return done.error();
  return answer;
}

Result<CorrectAllAnswer> record_correct_all(const CorrectAllRequest& request) {
  auto kind = kind_named(request.kind);
  if (!kind) return kind.error();
  if (request.things.empty() == request.file.empty())
    return bad_request("name the things to correct, or the file that they came with", request.kind);
  if (!request.file.empty() && request.kind != "reading")
    return bad_request("only readings come with a file", request.kind);
  CorrectAllAnswer answer{request.record, request.kind, {}};
  auto done = in_record(request.record, [&](Store& store) -> Result<void> {
    auto ids = ids_to_correct(store, request);
    if (!ids) return ids.error();
    for (const Id id : *ids) {
      auto kept = keep_of_kind(
          store,
          {request.record, request.entry, request.kind, request.columns, "#" + std::to_string(id)},
          **kind);
      if (!kept) return kept.error();
      answer.ids.push_back(id);
    }
    return request.kind == "reading" ? renew_means(store, answer.ids, request.entry)
                                     : Result<void>();
  });
  if (!done) return done.error();
  return answer;
}

Result<KeepAnswer> record_withdraw(const WithdrawRequest& request) {
  auto kind = kind_named(request.kind);
  if (!kind) return kind.error();
  auto store = open_record(request.record, Opening::must_exist);
  if (!store) return store.error();
  auto id = find_thing(**store, request.kind, request.thing);
  if (!id) return id.error();
  auto past = (*store)->history(request.kind, *id);
  if (!past) return past.error();
  auto done = (*store)->together([&]() -> Result<void> {
    auto gone = (*store)->withdraw(request.kind, *id, request.entry);
    if (!gone || request.kind != "reading") return gone;
    return renew_means(**store, {*id}, request.entry);
  });
  if (!done) return done.error();
  return told({request.record, request.entry, request.kind, {}, request.thing}, **kind,
              past->back().value, *id);
}

}  // namespace mendtone::app
