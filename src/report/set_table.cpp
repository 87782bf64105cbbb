#include <algorithm>
#include <numeric>

#include "report/setting.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

/// How a table is set: its letters, the room about them, its swatches.
struct TableType {
  double size_pt, leading, pad, least_gutter, most_gutter, swatch_side, swatch_room;
};
constexpr TableType body_table{8.8, 11.4, 2.9, 10, 26, 8.5, 13},
    small_table{7.6, 9.4, 1.6, 8, 22, 7, 11};

const TableType& table_type(const Table& table) {
  return table.set == Set::small ? small_table : body_table;
}

/// What a column needs at least (its widest word) and at most (its longest cell).
struct Need {
  double least = 0, most = 0;
};

Face face_of(bool heading) {
  return heading ? Face::sans_bold : Face::sans;
}

/// Names longer than this may break after all.
constexpr double longest_name = 104;

void grow(Need& need, const std::string& text, Holds holds, double extra, const TableType& type,
          const TextMeasure& measure) {
  const double whole = measure.width_pt(text, Face::sans, type.size_pt) + extra;
  const double word = widest_word(text, Face::sans, type.size_pt, measure) + extra;
  const bool breaks = holds == Holds::text || (holds == Holds::name && whole > longest_name);
  need.most = std::max(need.most, whole);
  need.least = std::max(need.least, breaks ? word : whole);
}

/// A heading may take two lines.
void grow_for_heading(Need& need, const std::string& text, const TableType& type,
                      const TextMeasure& measure) {
  const double whole = measure.width_pt(text, Face::sans_bold, type.size_pt);
  const double word = widest_word(text, Face::sans_bold, type.size_pt, measure);
  need.least = std::max({need.least, word, whole > 40 ? 0.58 * whole : whole});
  need.most = std::max(need.most, need.least);
}

std::vector<Need> needs_of(const Table& table, const TextMeasure& measure) {
  const TableType& type = table_type(table);
  std::vector<Need> needs(table.columns.size());
  for (const auto& row : table.rows)
    for (std::size_t i = 0; i < row.size(); ++i)
      grow(needs[i], row[i].text, table.columns[i].holds, row[i].swatch ? type.swatch_room : 0,
           type, measure);
  for (std::size_t i = 0; i < needs.size(); ++i)
    grow_for_heading(needs[i], table.columns[i].heading, type, measure);
  return needs;
}

struct Columns {
  std::vector<double> width;
  double gutter = body_table.least_gutter;
  double whole = 0;  ///< of the table
};

/// Everyone's least, then the rest by what each still wants. A table that needs less than the
/// page's width stays narrow: numbers are read beside their names.
Columns columns_of(const Table& table, double width, const TextMeasure& measure) {
  const std::vector<Need> needs = needs_of(table, measure);
  const double gaps = static_cast<double>(needs.size() - 1);
  const TableType& type = table_type(table);
  const double room = width - type.least_gutter * gaps;
  double least = 0, most = 0;
  for (const Need& need : needs) {
    least += need.least;
    most += need.most;
  }
  Columns columns;
  columns.gutter = type.least_gutter;
  for (const Need& need : needs) {
    if (least >= room)
      columns.width.push_back(need.least * room / least);
    else if (most > room)
      columns.width.push_back(need.least +
                              (need.most - need.least) * (room - least) / (most - least));
    else
      columns.width.push_back(need.most);
  }
  columns.whole = width;
  if (most <= room) {
    columns.gutter = gaps > 0 ? std::min(type.most_gutter, (width - most) / gaps) : 0;
    columns.whole = most + columns.gutter * gaps;
  }
  return columns;
}

double gutters(const Table& table) {
  return table_type(table).least_gutter * static_cast<double>(table.columns.size() - 1);
}

double wanted_width(const Table& table, const TextMeasure& measure) {
  double width = gutters(table);
  for (const Need& need : needs_of(table, measure)) width += need.most;
  return width;
}

double least_width(const Table& table, const TextMeasure& measure) {
  double width = gutters(table);
  for (const Need& need : needs_of(table, measure)) width += need.least;
  return width;
}

/// One row of cells; its height.
double set_row(std::vector<Item>& items, double top, const std::vector<Cell>& cells, bool heading,
               const Table& table, const Columns& columns, const TextMeasure& measure) {
  const TableType& type = table_type(table);
  std::vector<std::vector<SetLine>> set;
  std::size_t deepest = 1;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const double room = cells[i].swatch ? type.swatch_room : 0;
    set.push_back(broken({{cells[i].text, face_of(heading)}}, type.size_pt,
                         columns.width[i] - room + 0.01, measure));
    deepest = std::max(deepest, set.back().size());
  }
  double x = 0;
  items.emplace_back(Tag{true, "TR", {}});
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const double room = cells[i].swatch ? type.swatch_room : 0;
    const Face face = face_of(heading);
    const char* role = heading || i == 0 ? "TH" : "TD";
    items.emplace_back(Tag{true, role, {}});
    // Headings stand on one line at their foot.
    const std::size_t skipped = heading ? deepest - set[i].size() : 0;
    double y = top + type.pad + type.leading * static_cast<double>(skipped);
    if (cells[i].swatch) {
      Drawing swatch;
      Pen(swatch).box({x, y + 1.2}, type.swatch_side, type.swatch_side,
                      patch_style(cells[i].swatch));
      items.push_back(std::move(swatch.items.front()));
    }
    for (const SetLine& line : set[i]) {
      std::string text = line.runs.front().second.text;
      const bool number_cell = table.columns[i].holds == Holds::number;
      if (number_cell && !text.empty() && text.back() == ' ') text.pop_back();
      items.emplace_back(
          Text{{number_cell ? x + columns.width[i] : x + room, y + type.leading * 0.76},
               text,
               face,
               type.size_pt,
               number_cell ? Anchor::end : Anchor::start,
               black,
               false});
      y += type.leading;
    }
    items.emplace_back(Tag{false, role, {}});
    x += columns.width[i] + columns.gutter;
  }
  items.emplace_back(Tag{false, "TR", {}});
  return type.leading * static_cast<double>(deepest) + 2 * type.pad;
}

Path rule(double y, double width, double stroke_pt, Ink ink) {
  Path path;
  path.lines = {{{{0, y}, {width, y}}, false}};
  path.stroke = ink;
  path.stroke_pt = stroke_pt;
  return path;
}

}  // namespace

std::vector<Slab> set_table(const Table& table, double width, const TextMeasure& measure) {
  const Columns columns = columns_of(table, width, measure);
  const TableType& type = table_type(table);
  Slab head;
  head.items.emplace_back(Tag{true, "Table", {}});
  head.items.emplace_back(Tag{true, "Caption", {}});
  for (const SetLine& line :
       broken({{table.caption, Face::sans_italic}}, type.size_pt, width, measure)) {
    head.items.emplace_back(Text{{0, head.height + type.leading * 0.76},
                                 line.runs.front().second.text,
                                 Face::sans_italic,
                                 type.size_pt,
                                 Anchor::start,
                                 black,
                                 false});
    head.height += type.leading;
  }
  head.items.emplace_back(Tag{false, "Caption", {}});
  head.height += 2;
  std::vector<Cell> headings;
  for (const Column& column : table.columns) headings.push_back({column.heading, {}});
  std::vector<Item> heading;
  heading.emplace_back(rule(0, columns.whole, 1, black));
  const double heading_height = set_row(heading, 0, headings, true, table, columns, measure);
  heading.emplace_back(rule(heading_height, columns.whole, 0.6, black));
  std::vector<Item> placed = heading;
  shift(placed, 0, head.height);
  head.items.insert(head.items.end(), placed.begin(), placed.end());
  head.height += heading_height;
  head.keep_with_next = true;

  std::vector<Slab> slabs{std::move(head)};
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    Slab row;
    row.height = set_row(row.items, 0, table.rows[i], false, table, columns, measure);
    const bool last = i + 1 == table.rows.size();
    row.items.emplace_back(rule(row.height, columns.whole, last ? 1 : 0.3, last ? black : pale));
    row.repeated = heading;
    row.repeated_height = heading_height;
    // A short table stays whole; of a long one, no last row stands alone on a page.
    row.keep_with_next =
        i + 1 < table.rows.size() && (table.rows.size() <= 8 || i + 2 == table.rows.size());
    slabs.push_back(std::move(row));
  }
  slabs.back().height += table.set == Set::small ? 3 : 6;
  slabs.back().items.emplace_back(Tag{false, "Table", {}});
  return slabs;
}

std::vector<Slab> set_tables(const TwoTables& tables, double width, const TextMeasure& measure) {
  constexpr double between = 24;
  // The right one, which holds figures, gets what it wants, the left one the rest.
  const double right_width = wanted_width(tables.right, measure);
  const double left_width = width - between - right_width;
  const bool beside = least_width(tables.left, measure) <= left_width;
  std::vector<Slab> first = set_table(tables.left, beside ? left_width : width, measure);
  std::vector<Slab> second = set_table(tables.right, beside ? right_width : width, measure);
  if (!beside || first.size() > 12 || second.size() > 12) {
    second.front().gap_before = 10;
    for (Slab& slab : second) first.push_back(std::move(slab));
    return first;
  }
  Slab both;
  double x = 0;
  for (std::vector<Slab>* table : {&first, &second}) {
    double y = 0;
    for (Slab& slab : *table) {
      shift(slab.items, x, y);
      y += slab.height;
      for (Item& item : slab.items) both.items.push_back(std::move(item));
    }
    both.height = std::max(both.height, y);
    x = width - right_width;
  }
  return {std::move(both)};
}

}  // namespace mendtone::report
