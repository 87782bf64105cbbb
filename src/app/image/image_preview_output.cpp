#include "app/image/image_statement.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/app/image/image_preview.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {

std::string to_text(const ImagePreviewAnswer& answer) {
  std::string text = "Preview of a fill: CIELAB under " + std::string(image_conditions) + "\n" +
                     to_text(answer.photo, "Photograph  ");
  text += "Paper around the loss: " + text_of(answer.ground) + "\n";
  if (!answer.light.empty())
    text += "Painted as the difference from the sheet under " + answer.light + ", " +
            std::to_string(answer.observer_deg.value_or(0)) +
            " degrees, adapted to the display's D50 (Bradford)\n";
  for (const PreviewedFill& f : answer.fills) {
    text += "\n" + std::to_string(f.rank) + "  " + f.name + "\n   painted " + text_of(f.lab) +
            "; from the paper " + fixed(f.de00, 2) + " DeltaE00 (dL* " + fixed_signed(f.dL, 2) +
            ", da* " + fixed_signed(f.da, 2) + ", db* " + fixed_signed(f.db, 2) + ")\n";
    if (f.overlap_de00)
      text += "   overlap margin: " + fixed(*f.overlap_de00, 2) + " DeltaE00 from the sheet\n";
    if (f.overlap_shift)
      text += "   overlap painted with dL* " + fixed_signed(f.overlap_shift->dL, 2) + ", da* " +
              fixed_signed(f.overlap_shift->da, 2) + ", db* " + fixed_signed(f.overlap_shift->db, 2) +
              " on the sheet\n";
    text += "   " + counted(f.painted_pixels, "pixel", "pixels") + " painted, " +
            std::to_string(f.out_of_gamut_pixels) +
            " of them outside what the picture's profile can show (cut to it)\n";
  }
  text += "\n";
  for (const std::string& picture : answer.pictures) text += "Written: " + picture + "\n";
  for (const std::string& caution : answer.cautions) text += "! " + caution + "\n";
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  return text;
}

}  // namespace mendtone::app
