#include <algorithm>
#include <cmath>

#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "app/tissue/tissue_groups.hpp"
#include "mendtone/app/tissue/tissue.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

constexpr std::size_t shown_in_text = 10;

std::string percent(double fraction) {
  if (fraction > 0 && fraction < 0.005) return "<1 %";
  return fixed(100 * fraction, 0) + " %";
}

std::string use_in_words(Use use, Side side) {
  if (use == Use::lining) return "lining";
  const std::string where = side == Side::back ? "behind" : "on the front of";
  if (use == Use::loss) return "loss (margin " + where + " the sheet)";
  return "tear (tissue " + where + " the sheet)";
}

std::string uses_in_words(const TissueAnswer& answer) {
  std::vector<std::string> uses;
  for (const Use use : answer.uses) uses.push_back(use_in_words(use, answer.side));
  return listed(uses);
}

/// "D65 (viewing), LED-B1 and A; from the CIE 15:2018 table".
std::string lights_in_words(const TissueAnswer& a) {
  std::vector<std::string> names, origins;
  for (const results::LightNamed& light : a.lights) {
    names.push_back(light.name + (names.empty() ? " (viewing)" : ""));
    if (std::find(origins.begin(), origins.end(), light.origin) == origins.end())
      origins.push_back(light.origin);
  }
  return listed(names) + "; from " + listed(origins);
}

std::string heading_of(const TissueAnswer& a) {
  std::string text =
      wrapped("Tissue for '" + a.target + "': " + uses_in_words(a) + ", shown over '" + a.over +
              "'" + (a.over_from.empty() ? "" : ", " + a.over_from) +
              (a.over_is_nominal ? " (nominal, not read)" : ""));
  text += wrapped(
      "Lights: " + lights_in_words(a) + "; observer " + std::to_string(a.observer_deg) + " degrees",
      2);
  std::string sheet =
      "The sheet: " + text_of(a.sheet.front().lab) + " under " + a.sheet.front().light;
  if (a.sheet_weight_g_m2) sheet += ", " + shortest(*a.sheet_weight_g_m2) + " g/m2";
  sheet += a.sheet_transmitted.known ? "; on the light sheet (" + a.sheet_transmitted.light +
                                           ") L* " + fixed(a.sheet_transmitted.lab->L, 1)
                                     : "; on the light sheet not known: " + a.sheet_transmitted.why;
  text += wrapped(sheet, 2);
  if (a.aim_dL != 0 || a.aim_dC != 0)
    text += wrapped("The aim: " + fixed_signed(a.aim_dL, 1) + " L*, " + fixed_signed(a.aim_dC, 1) +
                        " C* from the sheet: " + text_of(a.aim),
                    2);
  text += wrapped(
      "Tolerance: DeltaE00 " + shortest(a.tolerance_de00) + " (" + a.tolerance_origin + ")", 2);
  return text;
}

struct Cell {
  std::string text;
  std::size_t width;
};

std::string row_of(const std::vector<Cell>& cells) {
  std::string row;
  for (const Cell& cell : cells) row += padded(cell.text, cell.width) + " ";
  row.erase(row.find_last_not_of(' ') + 1);
  return row + "\n";
}

std::size_t name_width(const TissueAnswer& a) {
  std::size_t width = 12;
  for (std::size_t i = 0; i < std::min(a.candidates.size(), shown_in_text); ++i)
    width = std::max(width, std::min<std::size_t>(a.candidates[i].tissue.size(), 30));
  return width;
}

std::string label_of(const TissueCandidate& c, bool several_uses) {
  std::string label = c.tissue;
  if (c.state == State::pasted || c.state == State::sized)
    label += " (" + std::string(name_of(c.state)) + ")";
  if (several_uses) label += " - " + std::string(name_of(c.use));
  return label;
}

std::string row_of(const TissueAnswer& a, std::size_t place) {
  const TissueCandidate& c = a.candidates[place];
  return row_of({{std::to_string(place + 1), 3},
                 {label_of(c, a.uses.size() > 1), name_width(a) + (a.uses.size() > 1 ? 9 : 0)},
                 {std::to_string(c.plies), 5},
                 {c.weight_g_m2 ? fixed(*c.weight_g_m2, 1) : "?", 5},
                 {fixed(c.aim_de00, 2), 5},
                 {fixed_signed(c.dL, 1), 5},
                 {fixed_signed(c.da, 1), 5},
                 {fixed_signed(c.db, 1), 5},
                 {fixed(c.worst_de00, 2) + " " + c.worst_light, 13},
                 {c.overlap_de00 ? fixed(*c.overlap_de00, 1) : "?", 6},
                 {c.transmitted.known ? fixed_signed(*c.transmitted.dL, 0) + " L*" : "?", 11},
                 {fixed(c.score, 2), 5},
                 {c.nearest_probability ? percent(*c.nearest_probability) : "", 5},
                 {c.open_line_de00 ? fixed(*c.open_line_de00, 2) : "", 9}});
}

bool has_open_line(const TissueAnswer& a) {
  return std::any_of(a.candidates.begin(), a.candidates.end(),
                     [](const TissueCandidate& c) { return c.open_line_de00.has_value(); });
}

std::string table_of(const TissueAnswer& a) {
  std::string text = row_of({{"", 3},
                             {"tissue", name_width(a) + (a.uses.size() > 1 ? 9 : 0)},
                             {"plies", 5},
                             {"g/m2", 5},
                             {"DE00", 5},
                             {"dL*", 5},
                             {"da*", 5},
                             {"db*", 5},
                             {"worst lamp", 13},
                             {"margin", 6},
                             {"light sheet", 11},
                             {"score", 5},
                             {"first", 5},
                             {has_open_line(a) ? "open line" : "", 9}});
  const std::size_t shown = std::min(a.candidates.size(), shown_in_text);
  for (std::size_t i = 0; i < shown; ++i) {
    if (stands_apart(a.candidates[i]) && (i == 0 || !stands_apart(a.candidates[i - 1])))
      text += "  These stand apart, whatever their colour:\n";
    text += row_of(a, i);
    text += wrapped("      " + joined(a.candidates[i].reasons), 6);
  }
  if (a.candidates.size() > shown)
    text += "  … and " + std::to_string(a.candidates.size() - shown) +
            " more: --format csv or json lists them all\n";
  return text;
}

/// Cautions that the shown candidates have in common are said once.
std::string cautions_text(const TissueAnswer& a) {
  std::string text;
  std::vector<std::string> said;
  const std::size_t shown = std::min(a.candidates.size(), shown_in_text);
  for (std::size_t i = 0; i < shown; ++i)
    for (const std::string& words : a.candidates[i].cautions) {
      if (std::find(said.begin(), said.end(), words) != said.end()) continue;
      said.push_back(words);
      std::vector<std::string> places;
      for (std::size_t j = 0; j < shown; ++j) {
        const auto& all = a.candidates[j].cautions;
        if (std::find(all.begin(), all.end(), words) != all.end())
          places.push_back(std::to_string(j + 1));
      }
      text +=
          "  ! " + (places.size() == shown ? "" : "no. " + listed(places) + ": ") + words + "\n";
    }
  return text;
}

}  // namespace

std::string to_text(const TissueAnswer& a) {
  std::string text = heading_of(a) + "\n" + wrapped(a.verdict);
  if (!a.groups.empty()) text += wrapped(a.groups + ".");
  text += "\n";
  if (!a.candidates.empty()) text += table_of(a) + "\n";
  text += wrapped("DE00: under " + a.sheet.front().light + ", to the " +
                      (a.aim_dL != 0 || a.aim_dC != 0 ? "aim" : "sheet") +
                      ". dL*, da*, db*: tissue minus sheet. margin: DE00 where tissue and sheet "
                      "overlap. light sheet: L* against the bare sheet's. ?: not known.",
                  2);
  text += wrapped(a.score_formula + ".", 2);
  text += wrapped("Surfaces: " + a.surfaces + ".", 2);
  if (!a.probability_note.empty()) text += wrapped("first: " + a.probability_note + ".", 2);
  text += "\n";
  for (const auto& [filter, count] : a.filtered)
    text +=
        "  Left out as asked, " + filter + ": " + counted(count, "candidate", "candidates") + "\n";
  for (const TissueLeftOut& one : a.left_out)
    text += wrapped("  Not ranked: " + one.tissue + ": " + one.reason, 4);
  for (const std::string& note : a.notes) text += wrapped("  - " + note, 4);
  for (const std::string& words : a.cautions) text += "  ! " + words + "\n";
  text += cautions_text(a);
  for (const std::string& warning : a.warnings) text += wrapped("  ! " + warning, 4);
  return text;
}

}  // namespace mendtone::app
