#pragma once
#include <string>

#include "mendtone/base/numbers.hpp"
#include "mendtone/formats/read.hpp"

namespace mendtone::formats_test {

/// "prefix400<separator>prefix410…prefix700", 31 headings.
inline std::string band_headings(const std::string& separator, const std::string& prefix = "") {
  std::string text;
  for (int nm = 400; nm <= 700; nm += 10)
    text += (nm > 400 ? separator : "") + prefix + std::to_string(nm);
  return text;
}

/// 31 values that rise from `first` in steps of `step`, with `decimals` decimals.
inline std::string band_values(const std::string& separator, double first, double step,
                               char decimal_sign = '.', int decimals = 4) {
  std::string text;
  for (int i = 0; i < 31; ++i) {
    std::string value = fixed(first + step * i, decimals);
    if (const auto point = value.find('.'); point != std::string::npos) value[point] = decimal_sign;
    text += (i > 0 ? separator : "") + value;
  }
  return text;
}

/// True where some warning holds `words`.
inline bool warns(const ReadFile& file, const std::string& words) {
  for (const Warning& warning : file.warnings)
    if (warning.text.find(words) != std::string::npos) return true;
  return false;
}

}  // namespace mendtone::formats_test
