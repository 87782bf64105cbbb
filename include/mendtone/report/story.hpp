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

/// `lead` is set bold and runs on into `text`.
struct Paragraph {
  std::string lead, text;
};

struct Bullets {
  std::vector<std::string> items;
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

/// Lines to sign on.
struct Signature {};

struct NewPage {};

using Block = std::variant<Heading, Paragraph, Bullets, Facts, Boxed, Table, TwoTables, Figure,
                           Signature, NewPage>;

struct Story {
  std::string title, subtitle, running_head, running_foot;
  std::vector<Block> blocks;
};

/// Pages of use first, evidence after. Any part of `content` may be empty.
Story tell(const ReportContent& content);

}  // namespace mendtone::report
