#include "app/image/image_statement.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/app/image/image_preview.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

constexpr const char* caution =
    "A preview on a screen shows which way a fill differs, not whether it matches. Test a trial on "
    "the added material first, read it dry, and lay it beside the sheet in the gallery's light.";

}  // namespace

std::string to_text(const ImagePreviewAnswer& answer) {
  std::string text = "Preview of a fill: CIELAB under " + std::string(image_conditions) + "\n" +
                     to_text(answer.photo, "Photograph  ");
  text += "Paper around the loss: " + text_of(answer.ground.ground.median) + "\n";
  if (!answer.light.empty())
    text += "Painted as the difference from the sheet under " + answer.light + ", " +
            std::to_string(answer.observer_deg) +
            " degrees, adapted to the display's D50 (Bradford)\n";
  for (const PreviewedFill& f : answer.fills) {
    text += "\n" + std::to_string(f.rank) + "  " + f.name + "\n   painted " + text_of(f.lab) +
            "; from the paper " + fixed(f.de00, 2) + " DeltaE00 (dL* " + fixed_signed(f.dL, 2) +
            ", da* " + fixed_signed(f.da, 2) + ", db* " + fixed_signed(f.db, 2) + ")\n";
    if (f.overlap_de00)
      text += "   overlap margin: " + fixed(*f.overlap_de00, 2) + " DeltaE00 from the sheet\n";
    if (f.overlap_shift)
      text += "   overlap painted with dL* " + fixed_signed(f.overlap_shift->L, 2) + ", da* " +
              fixed_signed(f.overlap_shift->a, 2) + ", db* " + fixed_signed(f.overlap_shift->b, 2) +
              " on the sheet\n";
    text += "   " + counted(f.painted.pixels, "pixel", "pixels") + " painted, " +
            std::to_string(f.painted.out_of_gamut) +
            " of them outside what the picture's profile can show (cut to it)\n";
  }
  text += "\n";
  for (const std::string& picture : answer.pictures) text += "Written: " + picture + "\n";
  text += std::string("! ") + caution + "\n";
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  return text;
}

std::string to_json(const ImagePreviewAnswer& answer) {
  Json json = document("image_preview");
  add_conditions(json);
  json["photograph"] = to_json_value(answer.photo);
  json["pixels_per_mm"] = or_null(answer.pixels_per_mm);
  json["ground_lab"] = to_array(answer.ground.ground.median);
  json["viewing_light"] = answer.light.empty() ? Json(nullptr) : Json(answer.light);
  json["viewing_observer"] = answer.light.empty() ? Json(nullptr) : Json(answer.observer_deg);
  json["adaptation"] = answer.light.empty() ? Json(nullptr) : Json("Bradford to D50");
  Json fills = Json::array();
  for (const PreviewedFill& f : answer.fills)
    fills.push_back({{"rank", f.rank},
                     {"name", f.name},
                     {"lab", to_array(f.lab)},
                     {"de00", f.de00},
                     {"dL", f.dL},
                     {"da", f.da},
                     {"db", f.db},
                     {"overlap_de00", or_null(f.overlap_de00)},
                     {"overlap", f.overlap_shift ? Json{{"dL", f.overlap_shift->L},
                                                        {"da", f.overlap_shift->a},
                                                        {"db", f.overlap_shift->b}}
                                                 : Json(nullptr)},
                     {"painted_pixels", f.painted.pixels},
                     {"out_of_gamut_pixels", f.painted.out_of_gamut}});
  json["fills"] = std::move(fills);
  json["pictures"] = answer.pictures;
  json["cautions"] = Json::array({caution});
  json["warnings"] = answer.warnings;
  return written(json);
}

std::string to_csv(const ImagePreviewAnswer& answer) {
  std::string text = csv_line({"rank", "name", "light", "observer", "L*", "a*", "b*", "de00", "dL",
                               "da", "db", "painted_pixels", "out_of_gamut_pixels"});
  for (const PreviewedFill& f : answer.fills)
    text += csv_line({std::to_string(f.rank), f.name, "D50", "2", shortest(f.lab.L),
                      shortest(f.lab.a), shortest(f.lab.b), shortest(f.de00), shortest(f.dL),
                      shortest(f.da), shortest(f.db), std::to_string(f.painted.pixels),
                      std::to_string(f.painted.out_of_gamut)});
  return text;
}

}  // namespace mendtone::app
