#include "app/image/image_statement.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/app/image/image_change.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string alignment_text(const ImageChangeAnswer& answer) {
  const results::RegistrationTold& r = answer.registration;
  if (r.by == "none")
    return "Laid pixel upon pixel, as asked; no residual is known.\n";
  return "Laid on each other by " + std::string(name_of(r.alignment)) + " alignment from " +
         (r.by == "points" ? "the points named" : "the pictures themselves") + ": " +
         std::to_string(r.pairs) + " places, residual " + fixed(r.residual_px.value_or(0), 2) +
         " pixels (worst " + fixed(r.worst_px.value_or(0), 2) + ")" +
         (r.pairs_left_out > 0 ? "; " + std::to_string(r.pairs_left_out) + " left out" : "") +
         ".\n";
}

std::string percent(double share) {
  return fixed(100 * share, 1) + " %";
}

}  // namespace

std::string to_text(const ImageChangeAnswer& answer) {
  std::string text = "Change between two photographs: CIELAB under " +
                     std::string(image_conditions) + "; DeltaE00 is CIEDE2000\n";
  text += to_text(answer.before, "Before  ") + to_text(answer.after, "After   ");
  text += alignment_text(answer);
  if (answer.brightness)
    text +=
        "Brightness: the light of the after photograph was multiplied by " +
        fixed(answer.brightness->drift.gain, 4) + ", so that '" + answer.brightness->unchanged +
        "' is as bright as before; what remains there: " + fixed(answer.brightness->drift.remaining_de00, 2) +
        " DeltaE00.\n";
  else
    text += "Brightness was left as photographed: no unchanged area was named.\n";
  text += "Scale: " +
          (answer.pixels_per_mm ? fixed(*answer.pixels_per_mm, 2) + " pixels per mm"
                                : std::string("not known")) +
          ".\n";
  // What limits the figures stands before them.
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  text += "\n" + padded("", 20) + "  pixels compared   mean  median    90 %    95 %    99 %     max" +
          "     dL*     da*     db*   above " + fixed(answer.tolerance_de00, 2) + "\n";
  const auto cell = [](const std::string& value, std::size_t width) {
    return std::string(width > value.size() ? width - value.size() : 1, ' ') + value;
  };
  for (const ChangeFigures& f : answer.regions) {
    text += padded(f.region, 20) + cell(std::to_string(f.pixels), 17);
    text += cell(fixed(f.mean_de00, 2), 7);
    for (const double value : {f.median_de00, f.p90_de00, f.p95_de00, f.p99_de00, f.max_de00})
      text += cell(fixed(value, 2), 8);
    for (const double value : {f.mean_dL, f.mean_da, f.mean_db})
      text += cell(fixed_signed(value, 2), 8);
    text += cell(percent(f.share_above), 13) + "\n";
    if (f.not_covered > 0)
      text += "  ! " + std::to_string(f.not_covered) + " pixels lie outside the after photograph\n";
  }
  text +=
      "\nA photograph shows where a sheet has changed; how much, a reading on the spot tells "
      "better. Run `mendtone image check` on the colour target of the same session.\n";
  for (const std::string& picture : answer.pictures) text += "Written: " + picture + "\n";
  return text;
}

}  // namespace mendtone::app
