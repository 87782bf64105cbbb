#include "formats/words.hpp"

#include <algorithm>
#include <array>

#include "formats/text.hpp"
#include "mendtone/colour/light.hpp"

namespace mendtone::formats {
namespace {

bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// Takes marks such as '_', '[' or '=' off the front.
void skip_marks(std::string_view& text) {
  while (!text.empty() &&
         std::string_view(" \t_-.:=[]({}) ").find(text.front()) != std::string_view::npos)
    text.remove_prefix(1);
}

/// Takes one word of a band's heading off the front; false where it is none that bands carry.
bool take_band_word(std::string_view& text, BandHeading& band) {
  static constexpr std::array<std::string_view, 7> greek{"λ", "Λ", "@", "%", "ρ", "τ", "\xC2\xA0"};
  for (const std::string_view mark : greek)
    if (text.starts_with(mark)) {
      if (mark == "%") band.scale = Scale::percent;
      if (mark == "τ") band.quantity = Quantity::transmittance;
      text.remove_prefix(mark.size());
      return true;
    }
  std::size_t n = 0;
  while (n < text.size() && is_letter(text[n])) ++n;
  const std::string word = lower(text.substr(0, n));
  if (is_one_of(word, {"t", "trans", "transmittance", "transmission", "transm"}))
    band.quantity = Quantity::transmittance;
  else if (is_one_of(word, {"sci", "spin", "rsin"}))
    band.gloss = "SCI";
  else if (is_one_of(word, {"sce", "spex", "rsex"}))
    band.gloss = "SCE";
  else if (is_one_of(word, {"pct", "percent"}))
    band.scale = Scale::percent;
  else if (!is_one_of(word, {"spectral",  "spectrum",   "spec",    "spect",       "nm",
                             "r",         "refl",       "reflect", "reflectance", "reflection",
                             "remission", "wavelength", "wave",    "wl",          "lambda",
                             "w",         "x",          "v",       "dec",         "at",
                             "factor",    "rf",         "nmr"}))
    return false;
  text.remove_prefix(n);
  return true;
}

/// What may follow the wavelength: a unit, a percent sign, closing marks.
bool take_band_tail(std::string_view text, BandHeading& band) {
  for (skip_marks(text); !text.empty(); skip_marks(text)) {
    if (!take_band_word(text, band)) return false;
  }
  return true;
}

/// True where `word` stands in `text` with neither letter nor digit beside it.
bool holds_word(std::string_view text, std::string_view word) {
  for (std::size_t at = 0; at + word.size() <= text.size(); ++at) {
    if (!same_word(text.substr(at, word.size()), word)) continue;
    const bool open = at == 0 || !(is_letter(text[at - 1]) || is_digit(text[at - 1]));
    const std::size_t end = at + word.size();
    const bool closed = end == text.size() || !(is_letter(text[end]) || is_digit(text[end]));
    if (open && closed) return true;
  }
  return false;
}

const std::vector<std::string>& light_names() {
  static const std::vector<std::string> names = standard_light_names();
  return names;
}

}  // namespace

std::optional<BandHeading> band_heading(std::string_view text) {
  text = trim(text);
  if (text.empty() || text.size() > 48) return std::nullopt;
  BandHeading band;
  for (skip_marks(text); !text.empty() && !is_digit(text.front()); skip_marks(text))
    if (!take_band_word(text, band)) return std::nullopt;
  std::size_t n = 0;
  while (n < text.size() && (is_digit(text[n]) || text[n] == '.' || text[n] == ',')) ++n;
  std::string_view digits = text.substr(0, n);
  while (!digits.empty() && !is_digit(digits.back())) digits.remove_suffix(1);
  const bool comma = digits.find(',') != std::string_view::npos;
  const auto nm = number_in(digits, comma ? ',' : '.');
  if (!nm || *nm < 200 || *nm > 3000) return std::nullopt;
  if (!take_band_tail(text.substr(digits.size()), band)) return std::nullopt;
  band.nm = *nm;
  return band;
}

std::optional<LabHeading> lab_heading(std::string_view text) {
  text = trim(text);
  if (text.size() > 40) return std::nullopt;
  for (const std::string_view prefix : {"cielab", "cie", "lab"})
    if (text.size() > prefix.size() && same_word(text.substr(0, prefix.size()), prefix) &&
        !is_letter(text[prefix.size()])) {
      text.remove_prefix(prefix.size());
      skip_marks(text);
      break;
    }
  if (text.empty()) return std::nullopt;
  LabHeading heading;
  switch (text.front()) {
    case 'L':
    case 'l':
      heading.axis = 'L';
      break;
    case 'A':
    case 'a':
      heading.axis = 'a';
      break;
    case 'B':
    case 'b':
      heading.axis = 'b';
      break;
    default:
      return std::nullopt;
  }
  text.remove_prefix(1);
  if (text.starts_with('*')) text.remove_prefix(1);
  if (text.empty()) return heading;
  const std::string_view marks = " _([/-,";
  if (marks.find(text.front()) == std::string_view::npos) return std::nullopt;
  const auto light = light_in(text);
  if (!light) return std::nullopt;
  heading.light = *light;
  heading.observer_deg = observer_in(text).value_or(0);
  return heading;
}

std::optional<std::string> light_in(std::string_view words) {
  words = trim(words);
  if (words.size() > 100) return std::nullopt;
  for (const std::string& name : light_names()) {
    if (name.size() > 1 && holds_word(words, name)) return name;
  }
  // 'A' and 'C' are also ordinary words, so they must stand alone or after 'illuminant'.
  for (const std::string_view prefix : {"standard", "cie", "illuminant", "illum", "ill", "light"})
    if (words.size() > prefix.size() && same_word(words.substr(0, prefix.size()), prefix) &&
        !is_letter(words[prefix.size()])) {
      words.remove_prefix(prefix.size());
      while (!words.empty() &&
             std::string_view(" ,:=_/([").find(words.front()) != std::string_view::npos)
        words.remove_prefix(1);
    }
  while (!words.empty() &&
         std::string_view(" _(/[,-").find(words.front()) != std::string_view::npos)
    words.remove_prefix(1);
  std::size_t n = 0;
  while (n < words.size() && (is_letter(words[n]) || is_digit(words[n]) || words[n] == '.')) ++n;
  const std::string first(words.substr(0, n));
  for (const std::string& name : light_names())
    if (same_word(first, name) || (first.size() > 1 && same_word("FL" + first.substr(1), name) &&
                                   (first[0] == 'F' || first[0] == 'f')))
      return name;
  if (const std::string plain = squeezed(words); plain.starts_with("led"))
    for (const std::string& name : light_names())
      if (squeezed(name) == plain) return name;
  if (words.starts_with("daylight-") || words.starts_with("blackbody-"))
    if (standard_light(words)) return std::string(words);
  return std::nullopt;
}

std::optional<int> observer_in(std::string_view words) {
  if (holds(words, "1964")) return 10;
  if (holds(words, "1931")) return 2;
  if (holds_word(words, "ten")) return 10;
  if (holds_word(words, "two")) return 2;
  std::optional<int> found;
  for (std::size_t i = 0; i < words.size(); ++i) {
    const char before = i > 0 ? words[i - 1] : ' ';
    if (!is_digit(words[i]) || is_letter(before) || is_digit(before) || before == '.') continue;
    std::size_t n = i;
    while (n < words.size() && is_digit(words[n])) ++n;
    if (n < words.size() && words[n] == '.' && n + 1 < words.size() && words[n + 1] == '0') {
      ++n;
      while (n < words.size() && words[n] == '0') ++n;
    }
    const std::string_view digits = words.substr(i, n - i);
    const auto value = number_in(digits, '.');
    if (value == 2) found = 2;
    if (value == 10) found = 10;
    i = n;
    while (i < words.size() && (is_letter(words[i]) || is_digit(words[i]))) ++i;
  }
  return found;
}

std::optional<Condition> condition_in(std::string_view words) {
  static constexpr std::array<std::pair<std::string_view, Condition>, 4> names{
      {{"M0", Condition::m0}, {"M1", Condition::m1}, {"M2", Condition::m2}, {"M3", Condition::m3}}};
  std::optional<Condition> found;
  for (const auto& [name, condition] : names)
    if (holds_word(words, name)) {
      if (found) return std::nullopt;  // 'M0, M1 and M2' names no one condition
      found = condition;
    }
  if (found) return found;
  const std::string plain = squeezed(words);
  for (const std::string_view cut : {"uvcut", "uvexcluded", "uvfilter", "uvout", "nouv", "cutuv",
                                     "excludeuv", "uvexclude", "uvoff"})
    if (plain.find(cut) != std::string::npos) return Condition::m2;
  return std::nullopt;
}

std::optional<Scale> scale_in(std::string_view words) {
  words = trim(words);
  if (words.find('%') != std::string_view::npos || holds(words, "percent") ||
      is_one_of(words, {"pct"}))
    return Scale::percent;
  if (holds(words, "fraction") || same_word(words, "0-1") || same_word(words, "decimal"))
    return Scale::fraction;
  return std::nullopt;
}

std::optional<std::string> other_quantity_in(std::string_view words) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 26> names{
      {{"radiance", "radiance"},
       {"power", "spectral power"},
       {"spd", "spectral power"},
       {"emission", "emission"},
       {"emissive", "emission"},
       {"luminance", "luminance"},
       {"energy", "energy"},
       {"intensity", "intensity"},
       {"counts", "raw counts"},
       {"photon", "photons"},
       {"absorb", "absorbance"},
       {"abs", "absorbance"},
       {"density", "optical density"},
       {"log", "a logarithm"},
       {"kubelka", "Kubelka-Munk values"},
       {"k/s", "K/S"},
       {"x_bar", "colour matching functions"},
       {"y_bar", "colour matching functions"},
       {"z_bar", "colour matching functions"},
       {"xbar", "colour matching functions"},
       {"ybar", "colour matching functions"},
       {"zbar", "colour matching functions"},
       {"sensitivity", "a sensitivity"},
       {"illuminant", "a light"},
       {"dark", "a dark reading"},
       {"uncertainty", "uncertainties"}}};
  for (const auto& [word, what] : names) {
    const bool whole = word.size() <= 4 || word == "dark";
    if (whole ? holds_word(words, word) : holds(words, word)) return std::string(what);
  }
  return std::nullopt;
}

std::optional<Quantity> quantity_in(std::string_view words) {
  if (holds(words, "transmit") || holds(words, "transmiss")) return Quantity::transmittance;
  if (holds(words, "reflect") || holds(words, "remission")) return Quantity::reflectance;
  const std::string plain = squeezed(words);
  if (plain == "t") return Quantity::transmittance;
  if (plain == "r") return Quantity::reflectance;
  return std::nullopt;
}

}  // namespace mendtone::formats
