#include <array>
#include <cmath>

#include "formats/lamps.hpp"
#include "formats/text.hpp"
#include "formats/words.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::formats {
namespace {

/// Words that stand beside 'x' or 'y' in the key of a chromaticity and say nothing more.
constexpr std::array<std::string_view, 12> chromaticity_words{
    "cie",    "cie1931", "1931", "chromaticity", "coordinates", "coordinate",
    "chroma", "2",       "deg",  "degrees",      "observer",    "value"};

bool is_word_end(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return !((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
           byte >= 0x80);
}

/// The words of a key, marks and brackets taken as blanks.
std::vector<std::string_view> words_of(std::string_view text) {
  std::vector<std::string_view> words;
  for (std::size_t i = 0; i < text.size();) {
    if (is_word_end(text[i])) {
      ++i;
      continue;
    }
    const std::size_t from = i;
    while (i < text.size() && !is_word_end(text[i])) ++i;
    words.push_back(text.substr(from, i - from));
  }
  return words;
}

std::optional<double> stated_number(std::string_view text) {
  DecimalSign sign;
  text = trim(text);
  if (text.ends_with('K') || text.ends_with('k')) text = trim(text.substr(0, text.size() - 1));
  sign.look_at(text);
  return number_in(text, sign.sign());
}

bool is_chromaticity(double value) {
  return value > 0 && value < 1;
}

void put_xy(std::string_view text, Lamp& lamp) {
  std::vector<double> values;
  for (std::size_t i = 0; i < text.size() && values.size() < 3;) {
    const std::size_t from = text.find_first_not_of(" \t,;/()", i);
    if (from == std::string_view::npos) break;
    i = std::min(text.find_first_of(" \t,;/()", from), text.size());
    const auto value = number_in(text.substr(from, i - from), '.');
    if (value) values.push_back(*value);
  }
  if (values.size() != 2 || !is_chromaticity(values[0]) || !is_chromaticity(values[1])) return;
  lamp.stated_x = values[0];
  lamp.stated_y = values[1];
}

}  // namespace

std::optional<std::string> not_power(std::string_view words) {
  for (const std::string_view mark : {"photon", "quanta", "ppfd", "ppf", "µmol", "μmol", "umol"})
    if (holds(words, mark))
      return "power counted in photons (" + quoted(trim(words)) +
             "): a colour needs power in watts, absolute or relative";
  if (quantity_in(words) && squeezed(words).size() > 1)
    return "readings of a sheet (" + quoted(trim(words)) + ")";
  const auto other = other_quantity_in(words);
  if (!other) return std::nullopt;
  for (const std::string_view no :
       {"raw counts", "absorbance", "optical density", "a logarithm", "Kubelka-Munk values", "K/S",
        "colour matching functions", "a sensitivity", "a dark reading", "uncertainties"})
    if (*other == no) return std::string(no) + " (" + quoted(trim(words)) + ")";
  return std::nullopt;
}

Stated stated_by(std::string_view key) {
  if (key.size() > 60) return Stated::none;
  for (const std::string_view word :
       {"cct", "tcp", "correlated", "colortemperature", "colourtemperature", "farbtemperatur"})
    if (squeezed(key).find(word) != std::string::npos) return Stated::cct;
  std::string axes;
  for (const std::string_view word : words_of(key)) {
    bool known = false;
    for (const std::string_view plain : chromaticity_words) known = known || same_word(word, plain);
    if (known) continue;
    if (word != "x" && word != "y" && word != "xy") return Stated::none;
    axes += word;
  }
  return axes == "x"    ? Stated::x
         : axes == "y"  ? Stated::y
         : axes == "xy" ? Stated::xy
                        : Stated::none;
}

void put_stated(Stated what, std::string_view text, Lamp& lamp) {
  if (what == Stated::xy) return put_xy(text, lamp);
  const auto value = stated_number(text);
  if (!value) return;
  if (what == Stated::x && is_chromaticity(*value)) lamp.stated_x = *value;
  if (what == Stated::y && is_chromaticity(*value)) lamp.stated_y = *value;
  if (what == Stated::cct && *value >= 500 && *value <= 100000) lamp.stated_cct_K = *value;
}

}  // namespace mendtone::formats
