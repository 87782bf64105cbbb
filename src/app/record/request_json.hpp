#pragma once
#include <nlohmann/json.hpp>

#include "mendtone/app/image/image_change.hpp"
#include "mendtone/app/image/image_check.hpp"
#include "mendtone/app/image/image_tone.hpp"
#include "mendtone/app/tissue/tissue.hpp"
#include "mendtone/app/tone/difference.hpp"
#include "mendtone/app/tone/tone.hpp"
#include "mendtone/app/wash/colorant.hpp"
#include "mendtone/app/wash/correct.hpp"
#include "mendtone/app/wash/swatch.hpp"
#include "mendtone/app/wash/wash.hpp"

// Requests as JSON: every parameter that a result depends on, and nothing of where inputs lie.
// A field that is missing, as in a record of an older program, keeps its default.

namespace nlohmann {

template <class T>
struct adl_serializer<std::optional<T>> {
  static void to_json(json& j, const std::optional<T>& value) {
    if (value)
      j = *value;
    else
      j = nullptr;
  }
  static void from_json(const json& j, std::optional<T>& value) {
    if (j.is_null())
      value.reset();
    else
      value = j.get<T>();
  }
};

}  // namespace nlohmann

namespace mendtone {

NLOHMANN_JSON_SERIALIZE_ENUM(Scale, {{Scale::fraction, "fraction"}, {Scale::percent, "percent"}})
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(De00Factors, kL, kC, kH)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ChangeSettings, factors, reproducibility_de00,
                                                reseating_de00, single_reading_de00, tolerance_de00,
                                                seed, draws)
NLOHMANN_JSON_SERIALIZE_ENUM(Use,
                             {{Use::loss, "loss"}, {Use::tear, "tear"}, {Use::lining, "lining"}})
NLOHMANN_JSON_SERIALIZE_ENUM(Side,
                             {{Side::unstated, ""}, {Side::front, "front"}, {Side::back, "back"}})
NLOHMANN_JSON_SERIALIZE_ENUM(Joint, {{Joint::contact, "contact"}, {Joint::air, "air"}})
NLOHMANN_JSON_SERIALIZE_ENUM(Application,
                             {{Application::absorbed, "absorbed"}, {Application::film, "film"}})
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(InterfaceCorrection, k1, ke, k2)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Surfaces, interface, joint)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(RankWeights, viewing, worst, overlap, light_sheet,
                                                unknown_overlap_de00, unknown_light_sheet_de00)
NLOHMANN_JSON_SERIALIZE_ENUM(Method, {{Method::bath, "bath"}, {Method::brush, "brush"}})
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(RecipeWeights, viewing, worst, transmitted,
                                                colorants, load)
NLOHMANN_JSON_SERIALIZE_ENUM(Alignment, {{Alignment::affine, "affine"},
                                         {Alignment::similarity, "similarity"},
                                         {Alignment::projective, "projective"}})
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Lab, L, a, b)

}  // namespace mendtone

namespace mendtone::app {

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Sources, files, scale)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ViewingRequest, lights, observer_deg)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ToneRequest, sources, viewing)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(DifferenceRequest, before, after, viewing, settings,
                                                brightener)
NLOHMANN_JSON_SERIALIZE_ENUM(LeaveOut, {{LeaveOut::darker, "darker"},
                                        {LeaveOut::heavier, "heavier"},
                                        {LeaveOut::bleeding, "bleeding"}})
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(TissueQuestion, viewing, uses, side, fewest_plies,
                                                most_plies, light_sheet, tolerance_de00,
                                                tolerance_is_default, aim_dL, aim_dC, leave_out,
                                                top, weights, trials, seed)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(TissueRequest, target, target_name, tissues, over,
                                                scale, surfaces, question)

// Not `out`: to compute again writes no file.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ColorantRequest, sources, application, advise,
                                                colour_index)

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(SwatchRequest, palette, loads_file, loads, on,
                                                on_name, over, plies, viewing, light_sheet,
                                                pick_up_sd)
// Not `threads`: the answer is the same for any number.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(
    WashRequest, target, target_name, backings, on, on_name, palette, over, plies, use, side,
    application, at_most, top, exclude, max_load, aim_dL, aim_dC, weights, viewing, light_sheet,
    tolerance_de00, tolerance_is_default, method, stocks, pick_up_ml_m2, pick_up_sd, volume_ml,
    laid_ml, area_m2, sheets, coats, tray_ml, let_down, gaps, scale)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(CorrectRequest, recipe_file, recipe, after_coat,
                                                trials, dosing_sd, pick_up_sd, strength_sd)

// Of the image verbs, not the files that they write: to compute again writes none.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(PhotoRequest, file, profile, correction, page)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ImageCheckRequest, photo, reference, patches,
                                                corners, columns, rows, part, flat)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ImageToneRequest, photo, regions, losses, ring_mm,
                                                pixels_per_mm, near, grain_mm, tones_at_most,
                                                compare, reading)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ImageChangeRequest, before, after, align, alignment,
                                                points, residual_limit_px, unchanged, regions,
                                                tolerance_de00, pixels_per_mm)

}  // namespace mendtone::app
