#include "app/inputs/text.hpp"
#include "mendtone/app/tone/lamp.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string range_of(const LampFacts& lamp) {
  return fixed(lamp.wavelengths_nm.front(), 0) + " to " + fixed(lamp.wavelengths_nm.back(), 0) +
         " nm";
}

std::string temperature_line(const LampFacts& lamp) {
  if (!lamp.cct_K)
    return "no colour temperature: the colour is too far from that of a glowing body";
  const std::string duv = fixed_signed(*lamp.duv, 4);
  const bool of_a_glowing_body = duv == fixed_signed(0, 4);
  return "colour temperature " + fixed(*lamp.cct_K, 0) + " K, Duv " + duv +
         (of_a_glowing_body ? " (as a glowing body)"
          : *lamp.duv > 0   ? " (greener than a glowing body)"
                            : " (pinker than a glowing body)");
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
  text += "  " + counted(lamp.power.size(), "band", "bands") + " from " + range_of(lamp) +
          (lamp.quantity.empty() ? "" : "; " + lamp.quantity) + "\n";
  if (lamp.bands_held > 0)
    text += wrapped("  ! The end values are held for " + counted(lamp.bands_held, "band", "bands") +
                        " to reach 380 and 780 nm. The colour at the ends is assumed.",
                    4);
  for (const std::string& warning : lamp.warnings) text += wrapped("  ! " + warning, 4);
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

}  // namespace mendtone::app
