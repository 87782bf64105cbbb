#pragma once
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "formats/text.hpp"
#include "mendtone/base/result.hpp"

namespace mendtone::formats {

/// A labelled data record's value, with the line where it begins.
struct JcampValue {
  std::string text;
  std::size_t line = 0;
};

/// The lines of one data table, comments taken off.
struct JcampTable {
  std::string label;  ///< squeezed: "xydata", "xypoints", "peaktable", "datatable" …
  std::string form;   ///< what follows '=': "(X++(Y..Y))"
  std::size_t line = 0;
  std::vector<Line> lines;
  std::map<std::string, JcampValue> page;  ///< NTUPLES: the records of its page
};

/// From ##TITLE to ##END; a block inside another stands beside it, after it.
struct JcampBlock {
  std::map<std::string, JcampValue> records;  ///< by squeezed label; of repeated ones the first
  std::vector<JcampTable> tables;
  std::size_t line = 0;

  std::string text(const std::string& label) const;
  std::optional<double> number(const std::string& label) const;
};

/// The blocks of a file; only structure is looked at.
Result<std::vector<JcampBlock>> parse_jcamp(std::string_view text, std::string_view file);

/// How X runs on in a table of the form X++(Y..Y), in the units of X; what is not stated follows
/// from the table's lines.
struct JcampRun {
  std::optional<double> first, last, delta;
  std::optional<std::size_t> points;
  double x_factor = 1, y_factor = 1;
};

struct JcampPoints {
  std::vector<double> x, y;  ///< factors applied; invalid ordinates ('?') left out
  std::vector<std::string> warnings;
};

/// Values of an X++(Y..Y) table in AFFN, PAC, SQZ, DIF, DUP or any mixture. Every line's X and
/// every line's first ordinate after differences are checked. Ref: jcamp-dx
Result<JcampPoints> read_running_x(const JcampTable& table, const JcampRun& run,
                                   std::string_view file);

/// Values of an (XY..XY) table.
Result<JcampPoints> read_pairs(const JcampTable& table, double x_factor, double y_factor,
                               std::string_view file);

}  // namespace mendtone::formats
