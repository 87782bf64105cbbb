#include "app/image/image_statement.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/app/image/image_check.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

constexpr const char* not_a_match =
    "None of these tolerances certifies a match. Even a photograph with a mean of 2 DeltaE00 "
    "cannot "
    "say that a fill is within 1 of the sheet: read both on the spot.";

constexpr const char* no_limit_for_evenness =
    "No limit is set beside it: the figures of the tolerances above that were at hand hold none "
    "for "
    "evenness, and none is guessed. A difference of 1 L* is 0.65 DeltaE00 at paper tones.";

std::string cell(const std::string& text, std::size_t width) {
  return std::string(width > text.size() ? width - text.size() : 1, ' ') + text;
}

std::string patch_table(const ImageCheckAnswer& answer) {
  std::string text = padded("patch", 16) +
                     "  measured L*      a*      b*   reference L*      a*      "
                     "b*    DE00     dL*     da*     db*\n";
  for (std::size_t i = 0; i < answer.patches.size(); ++i) {
    const CheckedPatch& p = answer.patches[i];
    const SignedDifference d = signed_difference(p.reference, p.measured);
    text += padded(p.name, 16) + cell(fixed(p.measured.L, 2), 13) +
            cell(fixed_signed(p.measured.a, 2), 8) + cell(fixed_signed(p.measured.b, 2), 8) +
            cell(fixed(p.reference.L, 2), 15) + cell(fixed_signed(p.reference.a, 2), 8) +
            cell(fixed_signed(p.reference.b, 2), 8) + cell(fixed(answer.figures.de00[i], 2), 8) +
            cell(fixed_signed(d.dL, 2), 8) + cell(fixed_signed(d.da, 2), 8) +
            cell(fixed_signed(d.db, 2), 8) + "\n";
  }
  return text;
}

std::string tolerance_text(const ImageCheckAnswer& answer) {
  std::string text =
      padded("published tolerance", 26) + padded("of", 24) + "   limit   found   within\n";
  for (const ToleranceRow& r : answer.tolerances)
    text += padded(r.standard, 26) + padded(r.criterion, 24) +
            cell((r.strict ? "< " : "<= ") + fixed(r.limit, 1), 8) + cell(fixed(r.found, 2), 8) +
            cell(r.within ? "yes" : "no", 9) + "\n";
  return text;
}

std::string flat_text(const FlatField& flat) {
  std::string text = to_text(flat.photo, "Even card  ");
  for (std::size_t i = 0; i < 25; ++i)
    text += cell(fixed(flat.L[i], 2), 8) + (i % 5 == 4 ? "\n" : "");
  return text + "  L* over the field varies by " + fixed(flat.range_dL, 2) +
         "; a*, b* by at most " + fixed(flat.largest_da_db, 2) + ". " + no_limit_for_evenness +
         "\n";
}

}  // namespace

std::string to_text(const ImageCheckAnswer& answer) {
  const TargetFigures& f = answer.figures;
  std::string text = "Colour target in a photograph: CIELAB under " +
                     std::string(image_conditions) + "; DeltaE00 is CIEDE2000\n" +
                     to_text(answer.photo, "Photograph  ") + "\n" + patch_table(answer) + "\n";
  text += "DeltaE00 over " + counted(answer.patches.size(), "patch", "patches") + ": mean " +
          fixed(f.mean_de00, 2) + ", 90th percentile " + fixed(f.p90_de00, 2) + ", largest " +
          fixed(f.max_de00, 2) + " (" + answer.patches[f.worst].name + ")\n";
  if (f.neutrals > 0)
    text += "White balance on " + counted(f.neutrals, "neutral patch", "neutral patches") +
            " (reference C* at most 3): mean " + fixed(f.balance_mean, 2) + ", largest " +
            fixed(f.balance_max, 2) + " in a*, b*\n";
  else
    text += "White balance: no patch is neutral (reference C* at most 3)\n";
  text += "Lightness: " + fixed_signed(f.mean_dL, 2) +
          " on average; its error changes across the target by " + fixed(f.tilt_dL, 2) + " L*\n\n";
  text += tolerance_text(answer) + not_a_match + "\n\n";
  if (answer.flat) text += flat_text(*answer.flat) + "\n";
  for (const CorrectionFit& c : answer.corrections)
    text += "Correction by " + std::string(name_of(c.correction.kind)) +
            " in linear light: " + fixed(c.fitted_mean_de00, 2) +
            " on the patches it was fitted to, " + fixed(c.unseen_mean_de00, 2) +
            " on patches left out (90th percentile " + fixed(c.unseen_p90_de00, 2) + ", largest " +
            fixed(c.unseen_max_de00, 2) + ")\n";
  text += answer.correction_advice + "\n";
  if (!answer.kept.empty()) text += "Kept: " + answer.kept + "\n";
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  return text;
}

std::string to_json(const ImageCheckAnswer& answer) {
  const TargetFigures& f = answer.figures;
  Json json = document("image_check");
  add_conditions(json);
  json["photograph"] = to_json_value(answer.photo);
  Json patches = Json::array();
  for (std::size_t i = 0; i < answer.patches.size(); ++i) {
    const CheckedPatch& p = answer.patches[i];
    const SignedDifference d = signed_difference(p.reference, p.measured);
    patches.push_back({{"name", p.name},
                       {"pixels", p.pixels},
                       {"lab", to_array(p.measured)},
                       {"reference_lab", to_array(p.reference)},
                       {"de00", f.de00[i]},
                       {"dL", d.dL},
                       {"da", d.da},
                       {"db", d.db},
                       {"spread_dL", p.spread_dL}});
  }
  json["patches"] = std::move(patches);
  json["mean_de00"] = f.mean_de00;
  json["p90_de00"] = f.p90_de00;
  json["max_de00"] = f.max_de00;
  json["worst_patch"] = answer.patches[f.worst].name;
  json["neutral_patches"] = f.neutrals;
  json["white_balance_mean"] = f.neutrals > 0 ? Json(f.balance_mean) : Json(nullptr);
  json["white_balance_max"] = f.neutrals > 0 ? Json(f.balance_max) : Json(nullptr);
  json["mean_dL"] = f.mean_dL;
  json["lightness_range_over_target_dL"] = f.tilt_dL;
  Json tolerances = Json::array();
  for (const ToleranceRow& r : answer.tolerances)
    tolerances.push_back({{"standard", r.standard},
                          {"criterion", r.criterion},
                          {"limit", r.limit},
                          {"limit_included", !r.strict},
                          {"found", r.found},
                          {"within", r.within}});
  json["tolerances"] = std::move(tolerances);
  json["caution"] = not_a_match;
  json["flat_field"] = answer.flat ? Json{{"photograph", to_json_value(answer.flat->photo)},
                                          {"L", answer.flat->L},
                                          {"range_dL", answer.flat->range_dL},
                                          {"largest_da_db", answer.flat->largest_da_db},
                                          {"limit_dL", nullptr},
                                          {"limit_why", no_limit_for_evenness}}
                                   : Json(nullptr);
  Json corrections = Json::array();
  for (const CorrectionFit& c : answer.corrections)
    corrections.push_back({{"kind", name_of(c.correction.kind)},
                           {"coefficients", c.correction.coefficients},
                           {"fitted_mean_de00", c.fitted_mean_de00},
                           {"unseen_mean_de00", c.unseen_mean_de00},
                           {"unseen_p90_de00", c.unseen_p90_de00},
                           {"unseen_max_de00", c.unseen_max_de00},
                           {"helps", c.correction.kind == answer.helps}});
  json["corrections"] = std::move(corrections);
  json["advice"] = answer.correction_advice;
  json["kept"] = answer.kept.empty() ? Json(nullptr) : Json(answer.kept);
  json["warnings"] = answer.warnings;
  return written(json);
}

std::string to_csv(const ImageCheckAnswer& answer) {
  std::string text = csv_line({"patch", "light", "observer", "L*", "a*", "b*", "reference L*",
                               "reference a*", "reference b*", "de00", "dL", "da", "db", "pixels"});
  for (std::size_t i = 0; i < answer.patches.size(); ++i) {
    const CheckedPatch& p = answer.patches[i];
    const SignedDifference d = signed_difference(p.reference, p.measured);
    text += csv_line({p.name, "D50", "2", shortest(p.measured.L), shortest(p.measured.a),
                      shortest(p.measured.b), shortest(p.reference.L), shortest(p.reference.a),
                      shortest(p.reference.b), shortest(answer.figures.de00[i]), shortest(d.dL),
                      shortest(d.da), shortest(d.db), std::to_string(p.pixels)});
  }
  return text;
}

}  // namespace mendtone::app
