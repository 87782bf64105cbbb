#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/words.hpp"
#include "mendtone/report/content.hpp"

// How the report says numbers and findings. One place, so that text, tables and figures agree.
namespace mendtone::report {

inline constexpr const char* de00_sign = "\u0394E\u2080\u2080";

/// `value` with a true minus sign.
std::string number(double value, int decimals);
std::string number(const std::optional<double>& value, int decimals);  ///< empty: an en dash
/// With its sign always.
std::string signed_number(double value, int decimals);
std::string signed_number(const std::optional<double>& value, int decimals);
/// Three significant figures.
std::string significant(double value);
/// "0.12–0.55", or empty.
std::string interval(const std::optional<double>& low, const std::optional<double>& high);

/// "ΔE₀₀ 0.34", not to be broken over lines.
std::string de00_words(double value);

/// "L* 86.1  a* 2.0  b* 14.2", not to be broken over lines.
std::string lab_words(const Lab& lab, int decimals);
/// "D65, 10°"; what is not stated is said to be so.
std::string viewing_words(std::string_view light, int observer_deg);

/// "darker by 0.4 L*, yellower by 0.6 b*": parts that are worth a word; "" where none is.
std::string direction_words(const std::optional<double>& dL, const std::optional<double>& da,
                            const std::optional<double>& db);

/// How a difference of that size is seen by a reader with both in view. Steps: the tolerances of
/// this program (half of all observers see 0.8, and half accept 1.8, in studies of teeth) and 4
/// (maintainers' figure, no source).
std::string seen_words(double de00);

/// A change for who reads no figures: "lighter, slightly less yellow: just visible side by side".
std::string plain_change(const Difference& difference);

/// What a column of the record is called for a person: "width_mm" is "width, mm".
std::string fact_label(std::string column);

/// "1 ply", "3 plies".
std::string plies_words(int plies);
/// "kozo 12, 2 plies behind the sheet".
std::string fill_words(const Fill& fill);
/// "a, b, c and 4 more".
std::string some_of(const std::vector<std::string>& names, std::size_t most);
/// Appends what is not yet there.
void add_new(std::vector<std::string>& to, const std::vector<std::string>& from);

/// "Spot 1" for a lower-case or capital alike: first letter raised.
std::string capital(std::string text);
/// With one full stop at its end.
std::string sentence(std::string text);

/// Number of characters (not bytes) of UTF-8 text.
std::size_t characters(std::string_view utf8);
/// Escapes & < > " for HTML and SVG; drops control characters, which XML cannot hold.
std::string escaped(std::string_view text);

}  // namespace mendtone::report
