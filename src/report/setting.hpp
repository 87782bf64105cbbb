#pragma once
#include <string>
#include <vector>

#include "mendtone/report/story.hpp"
#include "report/plot.hpp"

// Blocks set as lines and slabs of known height, from which pages are filled.
namespace mendtone::report {

/// A piece that no page break may cut. Its items stand relative to its own upper left corner.
struct Slab {
  double height = 0;
  double gap_before = 0;  ///< dropped at the top of a page
  bool keep_with_next = false;
  std::vector<Item> items;
  std::vector<Item> repeated;  ///< set again above it when it opens a page (a table's heading)
  double repeated_height = 0;
  int heading_level = 0;  ///< above 0: a bookmark
  std::string heading;
  bool opens_page = false;
  double unless_free = 1;  ///< with opens_page: no new page where a larger share is free
};

/// One or two faces on one line.
struct Run {
  std::string text;
  Face face = Face::serif;
};

/// A set line: runs with their x.
struct SetLine {
  std::vector<std::pair<double, Run>> runs;
};

/// Breaks `runs` at blanks into lines of at most `width`; words wider than that are cut.
std::vector<SetLine> broken(const std::vector<Run>& runs, double size_pt, double width,
                            const TextMeasure& measure);

/// Moves every item.
void shift(std::vector<Item>& items, double dx, double dy);

/// The widest word of `text`.
double widest_word(const std::string& text, Face face, double size_pt, const TextMeasure& measure);

/// One slab a row; the first holds caption, heading and first row together.
std::vector<Slab> set_table(const Table& table, double width, const TextMeasure& measure);
/// One slab where both fit beside each other, else one table after the other.
std::vector<Slab> set_tables(const TwoTables& tables, double width, const TextMeasure& measure);

/// The slabs of any block.
std::vector<Slab> set_block(const Block& block, double width, const TextMeasure& measure);

}  // namespace mendtone::report
