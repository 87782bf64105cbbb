#include "app/inputs/json.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/app/tone/lamp.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string range_of(const LampFacts& lamp) {
  return fixed(lamp.power.grid.first(), 0) + " to " + fixed(lamp.power.grid.last(), 0) + " nm";
}

std::string temperature_line(const LampFacts& lamp) {
  if (!lamp.cct_K)
    return "no colour temperature: the colour is too far from that of a glowing body";
  return "colour temperature " + fixed(*lamp.cct_K, 0) + " K, Duv " + fixed_signed(*lamp.duv, 4) +
         (*lamp.duv >= 0 ? " (greener" : " (pinker") + " than a glowing body)";
}

std::string below_400_line(const LampFacts& lamp) {
  if (!lamp.below_400_percent)
    return "power below 400 nm: not known, the lamp was read from " + range_of(lamp);
  return "power below 400 nm: " + fixed(*lamp.below_400_percent, 2) + " % of the power from " +
         range_of(lamp);
}

std::string stated_line(const LampFacts& lamp) {
  std::string text;
  const auto add = [&](const std::string& part) { text += (text.empty() ? "" : ", ") + part; };
  if (lamp.stated_x) add("x " + shortest(*lamp.stated_x));
  if (lamp.stated_y) add("y " + shortest(*lamp.stated_y));
  if (lamp.stated_cct_K) add(shortest(*lamp.stated_cct_K) + " K");
  return text;
}

std::string block_of(const LampFacts& lamp) {
  std::string text = lamp.name + "   " + lamp.origin + "\n";
  text += "  x " + fixed(lamp.x, 4) + "  y " + fixed(lamp.y, 4) + "   u' " +
          fixed(lamp.u_prime, 4) + "  v' " + fixed(lamp.v_prime, 4) + "\n";
  text += "  " + temperature_line(lamp) + "\n";
  if (const std::string stated = stated_line(lamp); !stated.empty())
    text += "  the file states: " + stated + "\n";
  text += "  " + below_400_line(lamp) + "\n";
  text += "  " + counted(lamp.power.grid.size(), "band", "bands") + " from " + range_of(lamp) +
          (lamp.quantity.empty() ? "" : "; " + lamp.quantity) + "\n";
  if (lamp.bands_held > 0)
    text += wrapped("  ! The end values are held for " + counted(lamp.bands_held, "band", "bands") +
                        " to reach 380 and 780 nm. The colour at the ends is assumed.",
                    4);
  for (const Warning& warning : lamp.warnings) text += wrapped("  ! " + line_of(warning), 4);
  return text;
}

}  // namespace

std::string to_text(const LampAnswer& answer) {
  std::string text =
      "Lamps: CIE 1931 observer (2 degrees), sums from 380 to 780 nm. Colour temperature: nearest "
      "point of the\nPlanckian locus in CIE 1960 u, v (CIE 15).\n\n";
  for (const LampFacts& lamp : answer.lamps) text += block_of(lamp) + "\n";
  return text;
}

std::string to_json(const LampAnswer& answer) {
  Json json = document("lamp");
  Json lamps = Json::array();
  for (const LampFacts& lamp : answer.lamps)
    lamps.push_back({{"name", lamp.name},
                     {"origin", lamp.origin},
                     {"quantity", lamp.quantity},
                     {"x", lamp.x},
                     {"y", lamp.y},
                     {"u_prime", lamp.u_prime},
                     {"v_prime", lamp.v_prime},
                     {"cct_K", or_null(lamp.cct_K)},
                     {"cct_method", "nearest Planckian radiator in CIE 1960 u, v (CIE 15)"},
                     {"duv", or_null(lamp.duv)},
                     {"below_400_percent", or_null(lamp.below_400_percent)},
                     {"bands_held", lamp.bands_held},
                     {"stated_x", or_null(lamp.stated_x)},
                     {"stated_y", or_null(lamp.stated_y)},
                     {"stated_cct_K", or_null(lamp.stated_cct_K)},
                     {"wavelengths_nm", lamp.power.grid.nm()},
                     {"power", lamp.power.value},
                     {"warnings", to_array(lamp.warnings)}});
  json["lamps"] = std::move(lamps);
  return written(json);
}

std::string to_csv(const LampAnswer& answer) {
  std::string text = csv_line({"name", "origin", "x", "y", "u_prime", "v_prime", "cct_K", "duv",
                               "below_400_percent", "bands_held"});
  const auto cell = [](const std::optional<double>& value) {
    return value ? shortest(*value) : std::string();
  };
  for (const LampFacts& lamp : answer.lamps)
    text +=
        csv_line({lamp.name, lamp.origin, shortest(lamp.x), shortest(lamp.y),
                  shortest(lamp.u_prime), shortest(lamp.v_prime), cell(lamp.cct_K), cell(lamp.duv),
                  cell(lamp.below_400_percent), std::to_string(lamp.bands_held)});
  return text;
}

}  // namespace mendtone::app
