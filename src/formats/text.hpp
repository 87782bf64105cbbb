#pragma once
#include <cstddef>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"

namespace mendtone::formats {

/// Without blanks, tabs and no-break spaces at either end.
std::string_view trim(std::string_view text);

/// ASCII letters made small; other bytes kept.
std::string lower(std::string_view text);

/// `lower`, and without anything but letters and digits: for comparing loosely spelt words.
std::string squeezed(std::string_view text);

bool same_word(std::string_view a, std::string_view b);  ///< ignoring ASCII case
bool is_one_of(std::string_view text, std::initializer_list<std::string_view> words);
/// True where `word` stands in `text`, ignoring ASCII case.
bool holds(std::string_view text, std::string_view word);

/// `text` in quotes for a message: at most 40 bytes, control characters shown as '?'.
std::string quoted(std::string_view text);

struct Line {
  std::string_view text;
  std::size_t number = 0;
};

/// Takes the next line off `rest`; CR LF, LF and a bare CR all end one.
std::string_view take_line(std::string_view& rest);
std::vector<Line> lines_of(std::string_view text);

/// "FILE, line 3, column 7"; 0 leaves a part out.
std::string place(std::string_view file, std::size_t line, std::size_t column = 0);

/// A number as spreadsheets and instruments write it: blanks around it, 'E', 'e' or 'D' exponents
/// and a bare leading or trailing decimal sign are allowed; thousands separators are not.
std::optional<double> number_in(std::string_view text, char decimal_sign);

/// Which decimal sign a column of cells uses. Looks at many cells, then `sign()` decides.
class DecimalSign {
 public:
  /// True where `text` is a number with either sign.
  bool look_at(std::string_view text);
  bool mixed() const { return points_ > 0 && commas_ > 0; }
  char sign() const { return commas_ > 0 && points_ == 0 ? ',' : '.'; }

 private:
  std::size_t points_ = 0, commas_ = 0;
};

/// "a, b and c"; after `most` names, "and 12 more".
std::string listed(const std::vector<std::string>& names, std::size_t most = 12);

/// "380-730 nm".
std::string nm_range(double first, double last);

}  // namespace mendtone::formats
