#include <algorithm>
#include <numeric>

#include "report/setting.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

constexpr double size_pt = 8.8, leading = 11.4, pad = 3.4, gutter = 10, swatch_side = 8.5,
                 swatch_room = 13;

/// What a column needs at least (its widest word) and at most (its longest cell).
struct Need {
  double least = 0, most = 0;
};

Face face_of(bool heading) {
  return heading ? Face::sans_bold : Face::sans;
}

void grow(Need& need, const std::string& text, Face face, bool unbroken, double extra,
          const TextMeasure& measure) {
  const double whole = measure.width_pt(text, face, size_pt) + extra;
  need.most = std::max(need.most, whole);
  need.least =
      std::max(need.least, unbroken ? whole : widest_word(text, face, size_pt, measure) + extra);
}

std::vector<Need> needs_of(const Table& table, const TextMeasure& measure) {
  std::vector<Need> needs(table.columns.size());
  for (std::size_t i = 0; i < needs.size(); ++i) {
    grow(needs[i], table.columns[i].heading, face_of(true), false, 0, measure);
    if (table.columns[i].number) needs[i].most = needs[i].least;  // headings over numbers may break
  }
  for (const auto& row : table.rows)
    for (std::size_t i = 0; i < row.size(); ++i)
      grow(needs[i], row[i].text, face_of(false), table.columns[i].number,
           row[i].swatch ? swatch_room : 0, measure);
  return needs;
}

/// Shares the width: everyone's least, then the rest by what each still wants.
std::vector<double> widths_of(const Table& table, double width, const TextMeasure& measure) {
  const std::vector<Need> needs = needs_of(table, measure);
  const double room = width - gutter * static_cast<double>(needs.size() - 1);
  double least = 0, most = 0;
  for (const Need& need : needs) {
    least += need.least;
    most += need.most;
  }
  std::vector<double> widths;
  for (const Need& need : needs) {
    if (least >= room)
      widths.push_back(need.least * room / least);
    else if (most > room)
      widths.push_back(need.least + (need.most - need.least) * (room - least) / (most - least));
    else
      widths.push_back(need.most + (room - most) / static_cast<double>(needs.size()));
  }
  return widths;
}

/// One row of cells; its height.
double set_row(std::vector<Item>& items, double top, const std::vector<Cell>& cells, bool heading,
               const Table& table, const std::vector<double>& widths, const TextMeasure& measure) {
  double x = 0, height = leading;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const double room = cells[i].swatch ? swatch_room : 0;
    const Face face = face_of(heading);
    double y = top + pad;
    if (cells[i].swatch) {
      Drawing swatch;
      Pen(swatch).box({x, y + 1.2}, swatch_side, swatch_side, patch_style(cells[i].swatch));
      items.push_back(std::move(swatch.items.front()));
    }
    for (const SetLine& line :
         broken({{cells[i].text, face}}, size_pt, widths[i] - room + 0.01, measure)) {
      const std::string& text = line.runs.front().second.text;
      const bool number_cell = table.columns[i].number;
      items.emplace_back(Text{{number_cell ? x + widths[i] : x + room, y + leading * 0.76},
                              text,
                              face,
                              size_pt,
                              number_cell ? Anchor::end : Anchor::start,
                              black,
                              false});
      y += leading;
    }
    height = std::max(height, y - top - pad);
    x += widths[i] + gutter;
  }
  return height + 2 * pad;
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
  const std::vector<double> widths = widths_of(table, width, measure);
  Slab head;
  for (const SetLine& line :
       broken({{table.caption, Face::sans_italic}}, size_pt, width, measure)) {
    head.items.emplace_back(Text{{0, head.height + leading * 0.76},
                                 line.runs.front().second.text,
                                 Face::sans_italic,
                                 size_pt,
                                 Anchor::start,
                                 black,
                                 false});
    head.height += leading;
  }
  head.height += 3;
  // Bottom-aligned headings read as one line even where some need two.
  std::vector<Cell> headings;
  for (const Column& column : table.columns) headings.push_back({column.heading, {}});
  std::vector<Item> heading;
  heading.emplace_back(rule(0, width, 1, black));
  const double heading_height = set_row(heading, 0, headings, true, table, widths, measure);
  heading.emplace_back(rule(heading_height, width, 0.6, black));
  std::vector<Item> placed = heading;
  shift(placed, 0, head.height);
  head.items.insert(head.items.end(), placed.begin(), placed.end());
  head.height += heading_height;
  head.keep_with_next = true;

  std::vector<Slab> slabs{std::move(head)};
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    Slab row;
    row.height = set_row(row.items, 0, table.rows[i], false, table, widths, measure);
    const bool last = i + 1 == table.rows.size();
    row.items.emplace_back(rule(row.height, width, last ? 1 : 0.3, last ? black : pale));
    row.repeated = heading;
    row.repeated_height = heading_height;
    row.keep_with_next = i + 2 == table.rows.size();  // no last row alone on a page
    slabs.push_back(std::move(row));
  }
  slabs.back().height += 6;
  return slabs;
}

}  // namespace mendtone::report
