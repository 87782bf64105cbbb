#pragma once
#include <type_traits>

#include "mendtone/record/values.hpp"

// The columns of every kind, once: the schema's description, encoding and decoding all walk these
// same lists, so that they cannot drift apart.

namespace mendtone::record {

struct Says {
  std::string_view help;
  std::string_view links_to = {};
  std::string_view one_of = {};  ///< words parted by '|'
  bool required = false;
  Limits limits = {};
};

constexpr Limits from_0{0, 1e12};
constexpr Limits from_1{1, 1e6};
constexpr Limits length_mm{0, 100000};
constexpr Limits weight_g_m2{0, 5000};  // the heaviest board is a tenth of this

/// The same, within limits.
constexpr Says within(Limits limits, Says says) {
  says.limits = limits;
  return says;
}

constexpr Says named{"what it is called", {}, {}, true};
constexpr Says free_note{"anything else"};
constexpr Says stage{"before, after, bath 2 …"};

inline std::optional<Quantity> quantity_from(std::string_view text) {
  for (Quantity quantity : {Quantity::reflectance, Quantity::transmittance})
    if (text == name_of(quantity)) return quantity;
  return std::nullopt;
}

inline std::optional<std::optional<bool>> yes_no_from(std::string_view text) {
  if (text == "yes") return std::optional(true);
  if (text == "no") return std::optional(false);
  return std::nullopt;
}

template <class S, class T>
concept Is = std::is_same_v<std::remove_const_t<S>, T>;

template <class V, Is<Sheet> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("object_id", s.object_id, Says{"the collection's identifier"});
  v("description", s.description, Says{"what it is"});
  v("support", s.support, Says{"what the paper is"});
  v("media", s.media, Says{"what stands on it"});
  v("width_mm", s.width_mm, within(length_mm, Says{"width in mm"}));
  v("height_mm", s.height_mm, within(length_mm, Says{"height in mm"}));
  v("grammage_g_m2", s.grammage_g_m2, within(weight_g_m2, Says{"weight of the sheet in g/m2"}));
  v("sizing", s.sizing, Says{"how it is sized"});
  v("stamps", s.stamps, Says{"stamps, inscriptions, later additions"});
  v("shown_over", s.shown_over, Says{"what lies behind it when it is shown: a backing's name"});
  v("shown_under", s.shown_under, Says{"the lamp that it is shown under", "lamp"});
  v("viewing_distance_cm", s.viewing_distance_cm, within(from_0, Says{"how far away it is looked at, in cm"}));
  v("seen_against_light", s.seen_against_light,
    Says{"whether it is ever seen against light", {}, "yes|no"});
}

template <class V, Is<Photograph> S>
void fields(V& v, S& s) {
  v("sheet", s.sheet, Says{"the sheet it shows", "sheet", {}, true});
  v("name", s.name, named);
  v("path", s.path, Says{"where the file is; it stays there", {}, {}, true});
  v("sha256", s.sha256, Says{"the hash of its bytes", {}, {}, true});
  v("stage", s.stage, stage);
  v("side", s.side, Says{"side shown", {}, "front|back"});
  v("width_px", s.width_px, within(from_1, Says{"width in pixels"}));
  v("height_px", s.height_px, within(from_1, Says{"height in pixels"}));
  v("light", s.light, Says{"the lamps it was taken under"});
  v("profile", s.profile, Says{"its ICC profile"});
  v("taken", s.taken, Says{"when it was taken"});
  v("note", s.note, free_note);
  v("lighting", s.lighting,
    Says{"kind of light", {}, "even|raking|transmitted|ultraviolet|infrared"});
  v("camera", s.camera, Says{"camera and lens"});
  v("target", s.target, Says{"the colour target in the picture"});
  v("exposure", s.exposure, Says{"aperture, time, sensitivity"});
}

template <class V, Is<Spot> S>
void fields(V& v, S& s) {
  v("sheet", s.sheet, Says{"the sheet it is on", "sheet", {}, true});
  v("name", s.name, named);
  v("place", s.place, Says{"where it is, in words"});
  v("template_name", s.template_name, Says{"the punched film that brings the head back"});
  v("side", s.side, Says{"side of the sheet", {}, "front|back"});
  v("photograph", s.photograph, Says{"the photograph that its outline is drawn on", "photograph"});
  v("outline", s.outline, Says{"corners in pixels: \"120,80 160,80 160,120\""});
}

template <class V, Is<Loss> S>
void fields(V& v, S& s) {
  v("sheet", s.sheet, Says{"the sheet it is in", "sheet", {}, true});
  v("name", s.name, named);
  v("nature", s.nature, Says{"loss or tear", {}, "loss|tear", true});
  v("place", s.place, Says{"where it is, in words"});
  v("area_cm2", s.area_cm2, within(from_0, Says{"its area in cm2"}));
  v("photograph", s.photograph, Says{"the photograph that its outline is drawn on", "photograph"});
  v("outline", s.outline, Says{"corners in pixels: \"120,80 160,80 160,120\""});
  v("mask", s.mask, Says{"a photograph whose white is the loss", "photograph"});
  v("note", s.note, free_note);
  v("media_near", s.media_near, Says{"media, stamps and sizing beside it"});
  v("ended", s.ended, Says{"how it ended", {}, "filled|left alone"});
  v("ended_why", s.ended_why, Says{"why it ended so"});
}

template <class V, Is<Instrument> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("serial", s.serial, Says{"its serial number"});
  v("geometry", s.geometry, Says{"45/0, d/8 specular included …"});
  v("aperture_mm", s.aperture_mm, within(length_mm, Says{"aperture in mm"}));
  v("reproducibility_de00", s.reproducibility_de00, within(from_0, Says{"as its maker states it, CIEDE2000"}));
  v("checked", s.checked, Says{"when last checked, and how"});
  v("note", s.note, free_note);
  v("repeatability_de00", s.repeatability_de00, within(from_0, Says{"as its maker states it, CIEDE2000"}));
  v("lab_light", s.lab_light, Says{"the light of the L*a*b* that it shows"});
  v("lab_observer_deg", s.lab_observer_deg,
    Says{"the observer of the L*a*b* that it shows, degrees", {}, "2|10"});
}

template <class V, Is<Lamp> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("place", s.place, Says{"where it hangs"});
  v.spectrum("power_nm", "power", s.power, "relative power");
  v("cct_k", s.cct_k, within(from_0, Says{"correlated colour temperature in K"}));
  v("illuminance_lx", s.illuminance_lx, within(from_0, Says{"on the object, in lx"}));
  v("uv_uw_lm", s.uv_uw_lm, within(from_0, Says{"ultraviolet in uW/lm"}));
  v("note", s.note, free_note);
  v("lux_hours_year", s.lux_hours_year, within(from_0, Says{"light on the object in a year, lux hours"}));
}

template <class V, Is<Tissue> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("lot", s.lot, Says{"its lot"});
  v("maker", s.maker, Says{"who made it"});
  v("fibre", s.fibre, Says{"its fibre"});
  v("grammage_g_m2", s.grammage_g_m2, within(weight_g_m2, Says{"weight in g/m2"}));
  v("left_cm2", s.left_cm2, within(from_0, Says{"amount left in cm2"}));
  v("place", s.place, Says{"which drawer"});
  v("toned_from", s.toned_from, Says{"the untoned tissue", "tissue"});
  v("recipe", s.recipe, Says{"the recipe that toned it", "recipe"});
  v("state", s.state, Says{"dry, pasted or sized", {}, "dry|pasted|sized|wet"});
  v("note", s.note, free_note);
  v("thickness", s.thickness, Says{"how thick it is, in words or with a unit"});
  v("texture", s.texture, Says{"its surface, in words"});
  v("grain", s.grain, Says{"direction and strength of its grain, in words"});
  v("sheen", s.sheen, Says{"its sheen, in words"});
  v("drape", s.drape, Says{"how it drapes, in words"});
}

template <class V, Is<Colorant> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("colour_index", s.colour_index, Says{"PY43, PR101 …"});
  v("medium", s.medium, Says{"acrylic, watercolour, dry pigment …"});
  v("maker", s.maker, Says{"who made it"});
  v("lot", s.lot, Says{"its lot"});
  v("caution", s.caution, Says{"what to beware of"});
  v("excluded", s.excluded, Says{"why it is never to be used"});
  v("note", s.note, free_note);
  v("blue_wool", s.blue_wool, Says{"light-fastness, blue wool class", {}, "1|2|3|4|5|6|7|8"});
  v("light_fastness", s.light_fastness, Says{"any other class of light-fastness, in words"});
}

template <class V, Is<Dropper> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("drop_ml", s.drop_ml, within(from_0, Says{"one drop in ml"}));
  v("drop_sd_ml", s.drop_sd_ml, within(from_0, Says{"its spread (one standard deviation) in ml"}));
  v("drops_weighed", s.drops_weighed, within(from_1, Says{"how many drops were weighed"}));
  v("note", s.note, free_note);
}

template <class V, Is<Stock> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("dry_g_ml", s.dry_g_ml, Says{"dry colorant in g per ml: \"ochre=0.012, carbon=0.002\""});
  v("dropper", s.dropper, Says{"the dropper that it is counted with", "dropper"});
  v("made", s.made, Says{"when it was made"});
  v("lot", s.lot, Says{"its lot"});
  v("note", s.note, free_note);
}

template <class V, Is<ImportedFile> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("sha256", s.sha256, Says{"the hash of its bytes, which are kept", {}, {}, true});
  v("scale", s.scale, Says{"what was said of its scale", {}, "fraction|percent"});
  v("warnings", s.warnings, Says{"what was done to it on the way in"});
}

template <class V, Is<Reading> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("repeat", s.repeat, Says{"which repeat"});
  v.word("role", s.role, role_from, "target, backing, tissue …");
  v.word("quantity", s.quantity, quantity_from, "reflectance or transmittance");
  v("backing", s.backing, Says{"the name of what lay behind"});
  v.count("plies", s.plies, "how many plies");
  v.word("side", s.side, side_from, "side read");
  v.word("state", s.state, state_from, "dry, pasted, sized, wet");
  v("geometry", s.geometry, Says{"45/0, d/8 specular included …"});
  v.word("condition", s.condition, condition_from, "M0, M1, M2, M3");
  v("instrument_name", s.instrument, Says{"as its file names it"});
  v("aperture_mm", s.aperture_mm, within(length_mm, Says{"aperture in mm"}));
  v("lot", s.lot, Says{"lot of the tissue"});
  v("stock", s.stock, Says{"stock used"});
  v("series", s.series, Says{"the series of swatches that were made in one go"});
  v("grammage_g_m2", s.grammage_g_m2, within(weight_g_m2, Says{"weight in g/m2"}));
  v.yes_no("bleeds", s.bleeds, "whether its colour moves when it is wetted again");
  v("loads", s.loads, Says{"load of each colorant"});
  v.word("load_unit", s.load_unit, load_unit_from, "unit of the loads");
  v.spectrum("wavelengths_nm", "factor", s.spectrum, "fraction of the perfect diffuser");
  v.bound_lab(s.lab);
  v("source_file", s.source.file, Says{"the file it stood in"});
  v.position("source_line", s.source.line);
  v.position("source_column", s.source.column);
}

template <class V, Is<KeptReading> S>
void fields(V& v, S& s) {
  fields(v, s.reading);
  v("file", s.file, Says{"the imported file", "file"});
  v("sheet", s.sheet, Says{"the sheet it belongs to", "sheet"});
  v("spot", s.spot, Says{"the spot that was read", "spot"});
  v("loss", s.loss, Says{"the loss it belongs to", "loss"});
  v("tissue", s.tissue, Says{"the tissue that was read", "tissue"});
  v("trial", s.trial, Says{"the trial that was read", "trial"});
  v("bath", s.bath, Says{"the bath that it was read after", "bath"});
  v("instrument", s.instrument, Says{"the instrument, as the record knows it", "instrument"});
  v("stage", s.stage, stage);
  v("operator_name", s.operator_name, Says{"who read it"});
  v("taken", s.taken, Says{"when it was read"});
  v("offcut", s.offcut, Says{"the pasted offcut that was read", "offcut"});
  v("light_dose_lx_h", s.light_dose_lx_h,
    within(from_0, Says{"light that the swatch was aged with, lux hours"}));
}

template <class V, Is<Mean> S>
void fields(V& v, S& s) {
  fields(v, s.reading);
  v("of", s.of, Says{"the raw readings that it is the mean of"});
  v("sheet", s.sheet, Says{"the sheet it belongs to", "sheet"});
  v("spot", s.spot, Says{"the spot that was read", "spot"});
  v("loss", s.loss, Says{"the loss it belongs to", "loss"});
  v("tissue", s.tissue, Says{"the tissue that was read", "tissue"});
  v("trial", s.trial, Says{"the trial that was read", "trial"});
  v("bath", s.bath, Says{"the bath that it was read after", "bath"});
  v("stage", s.stage, stage);
  v("offcut", s.offcut, Says{"the pasted offcut that was read", "offcut"});
  v("light_dose_lx_h", s.light_dose_lx_h,
    within(from_0, Says{"light that the swatch was aged with, lux hours"}));
}

template <class V, Is<Computation> S>
void fields(V& v, S& s) {
  v("name", s.name, Says{"what it is called"});
  v("verb", s.verb, Says{"what was computed", {}, {}, true});
  v("parameters", s.parameters, Says{"the whole request", {}, {}, true});
  v("lights", s.lights, Says{"the lights, with their hashes"});
  v("inputs", s.inputs, Says{"what it was computed from, with hashes"});
  v("tables", s.tables, Says{"the reference tables, with hashes"});
  v("program", s.program, Says{"the program that computed it", {}, {}, true});
  v("result", s.result, Says{"the result", {}, {}, true});
  v("outcome", s.outcome, Says{"whether there was an answer", {}, "answered|no answer", true});
  v("sheet", s.sheet, Says{"the sheet it belongs to", "sheet"});
  v("loss", s.loss, Says{"the loss it belongs to", "loss"});
  v("method", s.method, Says{"the version of the method"});
}

template <class V, Is<Recipe> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("loss", s.loss, Says{"the loss it is for", "loss"});
  v("tissue", s.tissue, Says{"the tissue to be toned", "tissue"});
  v("computation", s.computation, Says{"the computed list that it comes from", "computation"});
  v("number", s.number, within(from_1, Says{"its place in that list, from 1"}));
  v("loads", s.loads, Says{"load of each colorant: \"ochre=0.4, carbon=0.05\""});
  v("load_unit", s.load_unit, Says{"unit of the loads", {}, "g_m2|ml_m2|relative"});
  v("application", s.application, Says{"absorbed or film", {}, "absorbed|film"});
  v("method", s.method, Says{"bath or brush", {}, "bath|brush"});
  v("coats", s.coats, within(from_1, Says{"how many coats"}));
  v("note", s.note, free_note);
}

template <class V, Is<Trial> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("recipe", s.recipe, Says{"the recipe that was tried", "recipe", {}, true});
  v("tissue", s.tissue, Says{"the tissue it was made on", "tissue"});
  v("loads", s.loads, Says{"what was really laid down: \"ochre=0.38\""});
  v("load_unit", s.load_unit, Says{"unit of the loads", {}, "g_m2|ml_m2|relative"});
  v("coats", s.coats, within(from_1, Says{"how many coats"}));
  v("made", s.made, Says{"when it was made"});
  v("note", s.note, free_note);
}

template <class V, Is<Fill> S>
void fields(V& v, S& s) {
  v("loss", s.loss, Says{"the loss it is for", "loss", {}, true});
  v("name", s.name, named);
  v("tissue", s.tissue, Says{"the tissue", "tissue"});
  v("recipe", s.recipe, Says{"the recipe that tones it", "recipe"});
  v("computation", s.computation, Says{"the ranking that it comes from", "computation"});
  v("plies", s.plies, within(from_1, Says{"how many plies"}));
  v("use", s.use, Says{"what it does", {}, "loss|tear|lining"});
  v("side", s.side, Says{"where it lies", {}, "back|front"});
  v("verdict", s.verdict, Says{"what was decided", {}, "chosen|refused|considered", true});
  v("reasons", s.reasons, Says{"why"});
  v("used_cm2", s.used_cm2, within(from_0, Says{"amount used in cm2"}));
  v("adhesive", s.adhesive, Says{"what holds it"});
  v("note", s.note, free_note);
  v("carried_out", s.carried_out, Says{"when it was done"});
  v("carried_out_by", s.carried_out_by, Says{"who did it"});
  v("over", s.over, Says{"what lies behind it"});
  v("comes_off", s.comes_off, Says{"how it comes off again"});
  v("edge", s.edge, Says{"how its edge was made: water-cut, bevelled …"});
  v("overlap_mm", s.overlap_mm, within(length_mm, Says{"overlap on the sheet in mm"}));
}

template <class V, Is<Bath> S>
void fields(V& v, S& s) {
  v("sheet", s.sheet, Says{"the sheet that was washed", "sheet", {}, true});
  v("name", s.name, named);
  v("number", s.number, within(from_1, Says{"its place in the series, from 1"}));
  v("water", s.water, Says{"deionised, tap …"});
  v("minutes", s.minutes, within(from_0, Says{"how long"}));
  v("temperature_c", s.temperature_c, within({-20, 150}, Says{"temperature in degrees C"}));
  v("ph", s.ph, within({0, 14}, Says{"pH of the water afterwards"}));
  v("conductivity_us_cm", s.conductivity_us_cm, within(from_0, Says{"conductivity afterwards in uS/cm"}));
  v("volume_l", s.volume_l, within(from_0, Says{"volume in l"}));
  v("additive", s.additive, Says{"what was added"});
  v("given", s.given, Says{"when"});
  v("note", s.note, free_note);
}

template <class V, Is<PickUp> S>
void fields(V& v, S& s) {
  v("tissue", s.tissue, Says{"the tissue that was weighed", "tissue", {}, true});
  v("method", s.method, Says{"bath or brush", {}, "bath|brush", true});
  v("coat", s.coat, within(from_1, Says{"which coat, from 1"}));
  v("ml_m2", s.ml_m2, within(from_0, Says{"liquid taken up in ml per m2", {}, {}, true}));
  v("sd_ml_m2", s.sd_ml_m2, within(from_0, Says{"its spread (one standard deviation)"}));
  v("weighed", s.weighed, within(from_1, Says{"how many pieces were weighed"}));
  v("measured", s.measured, Says{"when"});
  v("note", s.note, free_note);
}

template <class V, Is<SpotTest> S>
void fields(V& v, S& s) {
  v("sheet", s.sheet, Says{"the sheet it was made on", "sheet", {}, true});
  v("tested", s.tested, Says{"the medium, the stamp, or the size", {}, {}, true});
  v("liquid", s.liquid, Says{"water, ethanol, paste …", {}, {}, true});
  v("place", s.place, Says{"where, in words"});
  v("outcome", s.outcome, Says{"whether anything moved", {}, "unchanged|changed|unsure", true});
  v("happened", s.happened, Says{"what happened, in words"});
  v("made", s.made, Says{"when"});
  v("note", s.note, free_note);
}

template <class V, Is<Step> S>
void fields(V& v, S& s) {
  v("sheet", s.sheet, Says{"the sheet it concerns", "sheet", {}, true});
  v("loss", s.loss, Says{"the loss it concerns", "loss"});
  v("name", s.name, Says{"what is to be done, or must not be", {}, {}, true});
  v("standing", s.standing, Says{"how it stands", {}, "owed|done|left open|barred|allowed", true});
  v("reason", s.reason, Says{"why"});
  v("note", s.note, free_note);
}

template <class V, Is<Offcut> S>
void fields(V& v, S& s) {
  v("name", s.name, named);
  v("tissue", s.tissue, Says{"the tissue it was cut from", "tissue", {}, true});
  v("trial", s.trial, Says{"the toned swatch it was cut from", "trial"});
  v("adhesive", s.adhesive, Says{"what it was pasted with", {}, {}, true});
  v("pasted_on", s.pasted_on, Says{"the spare paper it was pasted on", {}, {}, true});
  v("plies", s.plies, within(from_1, Says{"how many plies"}));
  v("made", s.made, Says{"when"});
  v("note", s.note, free_note);
}

template <class V, Is<Note> S>
void fields(V& v, S& s) {
  v("text", s.text, Says{"the note", {}, {}, true});
  v("sheet", s.sheet, Says{"about this sheet", "sheet"});
  v("spot", s.spot, Says{"about this spot", "spot"});
  v("loss", s.loss, Says{"about this loss", "loss"});
  v("tissue", s.tissue, Says{"about this tissue", "tissue"});
  v("recipe", s.recipe, Says{"about this recipe", "recipe"});
  v("trial", s.trial, Says{"about this trial", "trial"});
  v("fill", s.fill, Says{"about this fill", "fill"});
  v("photograph", s.photograph, Says{"about this photograph", "photograph"});
}

}  // namespace mendtone::record
