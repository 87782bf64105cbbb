#include "report/words.hpp"

#include <algorithm>
#include <cmath>

#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/change.hpp"
#include "mendtone/colour/direction.hpp"
#include "mendtone/report/sentences.hpp"
#include "mendtone/results/common.hpp"

namespace mendtone::report {
namespace {

constexpr const char* en_dash = "\u2013";
constexpr const char* no_break = "\u00a0";

std::string with_true_minus(std::string text) {
  if (!text.empty() && text.front() == '-') text.replace(0, 1, "\u2212");
  return text;
}

void add_direction(std::vector<std::string>& parts, const std::optional<double>& value, Axis axis,
                   const char* name) {
  const std::string_view word = value ? direction_word(axis, *value) : std::string_view();
  if (!word.empty())
    parts.push_back(std::string(word) + " by " + number(std::abs(*value), 1) + no_break + name);
}

}  // namespace

std::string number(double value, int decimals) {
  return with_true_minus(fixed(value, decimals));
}

std::string number(const std::optional<double>& value, int decimals) {
  return value ? number(*value, decimals) : en_dash;
}

std::string signed_number(double value, int decimals) {
  return with_true_minus(fixed_signed(value, decimals));
}

std::string signed_number(const std::optional<double>& value, int decimals) {
  return value ? signed_number(*value, decimals) : en_dash;
}

std::string significant(double value) {
  if (value == 0) return "0";
  const int magnitude = static_cast<int>(std::floor(std::log10(std::abs(value)) + 1e-12));
  return number(value, std::max(0, 2 - magnitude));
}

std::string interval(const std::optional<double>& low, const std::optional<double>& high) {
  if (!low || !high) return {};
  return number(*low, 2) + en_dash + number(*high, 2);
}

std::string lab_words(const Lab& lab, int decimals) {
  const std::string gap = no_break;
  return "L*" + gap + number(lab.L, decimals) + gap + gap + "a*" + gap + number(lab.a, decimals) +
         gap + gap + "b*" + gap + number(lab.b, decimals);
}

std::string de00_words(double value) {
  return de00_sign + (no_break + number(value, 2));
}

std::string viewing_words(std::string_view light, int observer_deg) {
  std::string words = light.empty() ? "light not stated" : std::string(light);
  if (observer_deg == 0) return words + ", observer not stated";
  return words + ", " + std::to_string(observer_deg) + "\u00b0";
}

std::string direction_words(const std::optional<double>& dL, const std::optional<double>& da,
                            const std::optional<double>& db) {
  std::vector<std::string> parts;
  add_direction(parts, dL, Axis::L, "L*");
  add_direction(parts, da, Axis::a, "a*");
  add_direction(parts, db, Axis::b, "b*");
  return joined(parts, ", ");
}

std::string seen_words(double de00) {
  const double seen_by_half = ChangeSettings{}.tolerance_de00;
  constexpr double plain = results::match_tolerance_de00, far = 4;
  if (de00 < seen_by_half) return say(Sentence::seen_hardly);
  if (de00 < plain) return say(Sentence::seen_just);
  if (de00 < far) return say(Sentence::seen_plainly);
  return say(Sentence::seen_far);
}

std::string plain_change(const Difference& d) {
  struct Part {
    double size;
    std::string word;
  };
  constexpr double no_longer_slight = 1.5;
  std::vector<Part> parts;
  const auto add = [&](const std::optional<double>& value, Axis axis) {
    const std::string word(value ? direction_word(axis, *value) : std::string_view());
    if (word.empty()) return;
    const double size = std::abs(*value);
    parts.push_back({size, (size < no_longer_slight ? "slightly " : "") + word});
  };
  add(d.dL, Axis::L);
  add(d.da, Axis::a);
  add(d.db, Axis::b);
  std::stable_sort(parts.begin(), parts.end(),
                   [](const Part& p, const Part& q) { return p.size > q.size; });
  std::vector<std::string> words;
  for (const Part& part : parts) words.push_back(part.word);
  if (words.empty()) words.push_back(say(Sentence::no_direction));
  return say(Sentence::change, {{"directions", joined(words, ", ")}, {"seen", seen_words(d.de00)}});
}

std::string fact_label(std::string column) {
  constexpr std::pair<std::string_view, std::string_view> units[] = {{"_g_m2", "g/m\u00b2"},
                                                                     {"_ml_m2", "ml/m\u00b2"},
                                                                     {"_us_cm", "\u00b5S/cm"},
                                                                     {"_lx_h", "lux hours"},
                                                                     {"_cm2", "cm\u00b2"},
                                                                     {"_mm", "mm"},
                                                                     {"_cm", "cm"},
                                                                     {"_px", "pixels"},
                                                                     {"_g_ml", "g/ml"},
                                                                     {"_ml", "ml"},
                                                                     {"_l", "l"},
                                                                     {"_c", "\u00b0C"}};
  std::string unit;
  for (const auto& [ending, words] : units) {
    if (column.size() <= ending.size() ||
        column.compare(column.size() - ending.size(), ending.size(), ending) != 0)
      continue;
    unit = words;
    column.resize(column.size() - ending.size());
    break;
  }
  std::replace(column.begin(), column.end(), '_', ' ');
  if (column == "ph") column = "pH";
  return unit.empty() ? column : column + ", " + unit;
}

std::string plies_words(int plies) {
  return std::to_string(plies) + (plies == 1 ? " ply" : " plies");
}

std::string fill_words(const Fill& fill) {
  std::string words = fill.name;
  if (fill.plies > 0) words += ", " + plies_words(fill.plies);
  if (fill.use == "loss" || fill.use.empty()) return words;
  if (fill.side == "front") return words + ", on the front";
  if (fill.side == "back") return words + ", behind the sheet";
  return words;
}

std::string some_of(const std::vector<std::string>& names, std::size_t most) {
  if (names.size() <= most) return joined(names, ", ");
  return joined({names.begin(), names.begin() + static_cast<std::ptrdiff_t>(most)}, ", ") +
         " and " + std::to_string(names.size() - most) + " more";
}

void add_new(std::vector<std::string>& to, const std::vector<std::string>& from) {
  for (const std::string& text : from)
    if (!text.empty() && std::find(to.begin(), to.end(), text) == to.end()) to.push_back(text);
}

std::string capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 32);
  return text;
}

std::string sentence(std::string text) {
  while (!text.empty() && text.back() == ' ') text.pop_back();
  if (text.empty()) return text;
  const char last = text.back();
  if (last != '.' && last != '!' && last != '?' && last != ':') text += '.';
  return capital(std::move(text));
}

std::size_t characters(std::string_view utf8) {
  return static_cast<std::size_t>(std::count_if(utf8.begin(), utf8.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  }));
}

std::string escaped(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      default:
        if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t') safe += c;
    }
  }
  return safe;
}

}  // namespace mendtone::report
