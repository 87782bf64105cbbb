#include "app/inputs/json.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/app/tone/difference.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string side_text(const char* when, const Lab& lab, std::size_t n,
                      const std::optional<double>& spread) {
  std::string text =
      std::string("  ") + when + "  " + text_of(lab) + "   (" + counted(n, "reading", "readings");
  if (spread) text += ", spread " + fixed(*spread, 2);
  return text + ")\n";
}

std::string verdict_text(const Pair& pair, double tolerance) {
  const Change& change = pair.change;
  const std::string limit = fixed(tolerance, 2);
  switch (change.verdict) {
    case Verdict::within:
      return "within the tolerance of " + limit;
    case Verdict::beyond:
      return "beyond the tolerance of " + limit;
    case Verdict::undecided:
      break;
  }
  std::string text = "undecided with these readings: the interval holds the tolerance of " + limit;
  if (change.more_readings)
    text += "; about " + std::to_string(*change.more_readings) +
            " more readings on each side would decide";
  else
    text += "; more readings alone will hardly decide";
  return text;
}

std::string metamerism_text(const MetamerismUnder& m) {
  std::string text = "  seen under " + m.test_light + ": DeltaE00 " + fixed(m.plain_de00, 2) +
                     "; metamerism index (DeltaE00, CIE 15, ISO 18314-4):";
  if (m.index.multiplicative_xyz)
    text += " " + fixed(m.index.multiplicative_xyz->de00, 2) + " multiplicative XYZ,";
  text += " " + fixed(m.index.additive_lab.de00, 2) + " additive L*a*b*";
  if (m.index.spectral) text += ", " + fixed(m.index.spectral->de00, 2) + " spectral";
  return text + "\n";
}

std::string block_of(const Pair& pair, double tolerance) {
  const Change& change = pair.change;
  const SignedDifference& d = pair.parts;
  std::string text = pair.name + "   under " + pair.light + ", " +
                     std::to_string(pair.observer_deg) + " degrees" +
                     (pair.conditions.empty() ? "" : "; " + pair.conditions) + "\n";
  text += side_text("before", pair.before, pair.n_before, pair.spread_before_de00);
  text += side_text("after ", pair.after, pair.n_after, pair.spread_after_de00);
  text += "  dL* " + fixed_signed(d.dL, 2) + "  da* " + fixed_signed(d.da, 2) + "  db* " +
          fixed_signed(d.db, 2) + "  dC* " + fixed_signed(d.dC, 2) + "  dH* " +
          fixed_signed(d.dH, 2) + "   DeltaE*ab " + fixed(pair.de_ab, 2) + "   grey scale " +
          std::string(pair.grey_scale.step) + "\n";
  text += "  DeltaE00 " + fixed(change.de00, 2) + ", 95 % interval " +
          fixed(change.interval95[0], 2) + " to " + fixed(change.interval95[1], 2) +
          "; an unchanged spot would show " + fixed(change.noise_de00, 2) +
          " by the readings' spread alone\n";
  text += "  " + verdict_text(pair, tolerance) + "\n";
  for (const MetamerismUnder& m : pair.metamerism) text += metamerism_text(m);
  for (const std::string& warning : pair.warnings) text += "  ! " + warning + "\n";
  return text;
}

Json value_json(const MetamerismIndex::Value& value) {
  return {{"de_ab", value.de_ab}, {"de00", value.de00}};
}
Json value_json(const std::optional<MetamerismIndex::Value>& value) {
  return value ? value_json(*value) : Json(nullptr);
}

Json metamerism_json(const std::string& reference, const Pair& pair) {
  Json list = Json::array();
  for (const MetamerismUnder& m : pair.metamerism)
    list.push_back({{"reference_light", reference},
                    {"test_light", m.test_light},
                    {"de00", m.plain_de00},
                    {"additive_lab", value_json(m.index.additive_lab)},
                    {"multiplicative_lab", value_json(m.index.multiplicative_lab)},
                    {"multiplicative_xyz", value_json(m.index.multiplicative_xyz)},
                    {"additive_xyz", value_json(m.index.additive_xyz)},
                    {"spectral", value_json(m.index.spectral)}});
  return list;
}

Json region_json(const std::optional<MeanRegion>& region) {
  if (!region) return nullptr;
  return {{"L_half", region->L_half},
          {"ab_major", region->ab_major},
          {"ab_minor", region->ab_minor},
          {"ab_angle_deg", region->ab_angle_deg}};
}

Json pair_json(const Pair& pair) {
  const Change& change = pair.change;
  Json json{{"name", pair.name},
            {"light", pair.light},
            {"observer", pair.observer_deg},
            {"de00", change.de00},
            {"de_ab", pair.de_ab},
            {"dL", pair.parts.dL},
            {"da", pair.parts.da},
            {"db", pair.parts.db},
            {"dC", pair.parts.dC},
            {"dH", pair.parts.dH},
            {"u95", change.u95},
            {"verdict", name_of(change.verdict)},
            {"interval95_de00", change.interval95},
            {"noise_de00", change.noise_de00},
            {"unbiased_de00", change.unbiased_de00},
            {"zero_probability", change.zero_probability},
            {"within_probability", change.within_probability},
            {"guarded_limit_de00", change.guarded_limit_de00}};
  json["more_readings"] = change.more_readings ? Json(*change.more_readings) : Json(nullptr);
  json["lab_before"] = to_array(pair.before);
  json["lab_after"] = to_array(pair.after);
  json["n_before"] = pair.n_before;
  json["n_after"] = pair.n_after;
  json["spread_before_de00"] = or_null(pair.spread_before_de00);
  json["spread_after_de00"] = or_null(pair.spread_after_de00);
  json["region95_before"] = region_json(pair.region_before);
  json["region95_after"] = region_json(pair.region_after);
  json["grey_scale"] = {{"step", pair.grey_scale.step},
                        {"rating", pair.grey_scale.rating},
                        {"de_f", pair.grey_scale.deF}};
  json["bands_extrapolated"] = pair.bands_extrapolated;
  json["conditions"] = pair.conditions;
  json["metamerism"] = metamerism_json(pair.light, pair);
  json["warnings"] = pair.warnings;
  return json;
}

Json settings_json(const ChangeSettings& s) {
  return {{"tolerance_de00", s.tolerance_de00},
          {"tolerance_origin", tolerance_origin(s)},
          {"kL", s.factors.kL},
          {"kC", s.factors.kC},
          {"kH", s.factors.kH},
          {"reproducibility_de00", s.reproducibility_de00},
          {"reseating_de00", s.reseating_de00},
          {"single_reading_de00", s.single_reading_de00},
          {"seed", s.seed},
          {"draws", s.draws}};
}

}  // namespace

std::string tolerance_origin(const ChangeSettings& settings) {
  if (settings.tolerance_de00 != ChangeSettings{}.tolerance_de00) return "stated by the user";
  return "default 0.8: the difference that half of observers notice, from published dental studies";
}

std::string to_text(const DifferenceAnswer& answer) {
  const ChangeSettings& s = answer.settings;
  std::string text = "Difference: light " + listed(answer.lights) + "; observer " +
                     std::to_string(answer.observer_deg) + " degrees\n";
  text += "CIEDE2000 with kL " + shortest(s.factors.kL) + ", kC " + shortest(s.factors.kC) +
          ", kH " + shortest(s.factors.kH) + "; tolerance " + fixed(s.tolerance_de00, 2) + " (" +
          tolerance_origin(s) + ")\n\n";
  for (const Pair& pair : answer.pairs) text += block_of(pair, s.tolerance_de00) + "\n";
  for (const Brightener& b : answer.brighteners)
    text += "Brightener, " + b.name + ": " + (b.flagged ? "yes" : "not seen") +
            " (M1 against M2 under D50, 2 degrees: DeltaE00 " + fixed(b.de00, 2) + ", db* " +
            fixed_signed(b.db, 2) + ")\n";
  for (const NoPair& none : answer.refused)
    text += "Not compared: " + none.name + (none.light.empty() ? "" : " under " + none.light) +
            ": " + none.reason + "\n";
  for (const std::string& name : answer.only_before) text += "Only before: " + name + "\n";
  for (const std::string& name : answer.only_after) text += "Only after: " + name + "\n";
  for (const Warning& warning : answer.warnings) text += "! " + line_of(warning) + "\n";
  return text;
}

std::string to_json(const DifferenceAnswer& answer) {
  Json json = document("difference");
  json["lights"] = answer.lights;
  json["observer"] = answer.observer_deg;
  json["settings"] = settings_json(answer.settings);
  Json pairs = Json::array();
  for (const Pair& pair : answer.pairs) pairs.push_back(pair_json(pair));
  json["pairs"] = std::move(pairs);
  Json brighteners = Json::array();
  for (const Brightener& b : answer.brighteners)
    brighteners.push_back(
        {{"name", b.name}, {"de00", b.de00}, {"db", b.db}, {"flagged", b.flagged}});
  json["brighteners"] = std::move(brighteners);
  Json refused = Json::array();
  for (const NoPair& none : answer.refused)
    refused.push_back({{"name", none.name}, {"light", none.light}, {"reason", none.reason}});
  json["refused"] = std::move(refused);
  json["only_before"] = answer.only_before;
  json["only_after"] = answer.only_after;
  json["warnings"] = to_array(answer.warnings);
  return written(json);
}

std::string to_csv(const DifferenceAnswer& answer) {
  std::string text = csv_line({"name", "light", "observer", "de00", "de_ab", "dL", "da", "db", "dC",
                               "dH", "u95", "low95_de00", "high95_de00", "verdict", "n_before",
                               "n_after", "grey_scale", "conditions", "warnings"});
  for (const Pair& pair : answer.pairs) {
    std::string warnings;
    for (const std::string& warning : pair.warnings)
      warnings += (warnings.empty() ? "" : "; ") + warning;
    const Change& change = pair.change;
    const SignedDifference& d = pair.parts;
    text += csv_line({pair.name, pair.light, std::to_string(pair.observer_deg),
                      shortest(change.de00), shortest(pair.de_ab), shortest(d.dL), shortest(d.da),
                      shortest(d.db), shortest(d.dC), shortest(d.dH), shortest(change.u95),
                      shortest(change.interval95[0]), shortest(change.interval95[1]),
                      std::string(name_of(change.verdict)), std::to_string(pair.n_before),
                      std::to_string(pair.n_after), std::string(pair.grey_scale.step),
                      pair.conditions, warnings});
  }
  return text;
}

}  // namespace mendtone::app
