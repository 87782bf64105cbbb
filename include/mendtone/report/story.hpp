#pragma once
#include <string>
#include <variant>
#include <vector>

#include "mendtone/report/content.hpp"
#include "mendtone/report/drawing.hpp"

namespace mendtone::report {

/// The report in reading order, before it is set as HTML or as pages.

struct Heading {
  int level = 2;
  std::string text;
};

/// Parts of the annex are set small.
enum class Set { body, small };

/// `lead` is set bold and runs on into `text`.
struct Paragraph {
  std::string lead, text;
  Set set = Set::body;
};

struct Bullets {
  std::vector<std::string> items;
  Set set = Set::body;
};

/// A pair of name and value a line.
struct Facts {
  std::vector<std::array<std::string, 2>> lines;
};

/// Cautions and notices, set apart by a rule and by their heading's words.
struct Boxed {
  std::string heading;
  std::vector<std::string> items;
};

struct Cell {
  std::string text;
  std::optional<ScreenColour> swatch;
};

/// What a column holds: words that may break over lines, words that should not, or numbers, set
/// to the right.
enum class Holds { text, name, number };

struct Column {
  std::string heading;
  Holds holds = Holds::text;
};

/// The first cell of a row heads the row.
struct Table {
  std::string caption;
  std::vector<Column> columns;
  std::vector<std::vector<Cell>> rows;
  Set set = Set::body;
};

/// Two small tables that belong together: beside each other where there is room.
struct TwoTables {
  Table left, right;
};

/// One row of a figure; a page may end between two. `alt` says in words what it shows, for who
/// cannot see it.
struct FigureRow {
  Drawing drawing;
  std::string alt;
};

struct Figure {
  std::vector<FigureRow> rows;
  std::string caption;
};

/// Lines to sign on, and the head of the record that the report was made from.
struct Signature {
  std::string record_head;
};

/// What follows opens a page, unless more than that share of the page is still free.
struct NewPage {
  double unless_free = 1;
};

using Block = std::variant<Heading, Paragraph, Bullets, Facts, Boxed, Table, TwoTables, Figure,
                           Signature, NewPage>;

struct Story {
  std::string title, subtitle, running_head, running_foot;
  std::vector<Block> blocks;
};

/// How much of a long treatment the first page tells; the rest is told behind it.
enum class Detail { counts, brief, some, full };

/// The first page, what was done in full, the annex. Any part of `content` may be empty.
Story tell(const ReportContent& content, Detail first_page = Detail::full);

}  // namespace mendtone::report
