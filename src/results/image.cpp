#include "mendtone/results/image.hpp"

namespace mendtone {

std::span<const PixelCorrection::Kind> every(PixelCorrection::Kind) {
  static constexpr PixelCorrection::Kind all[] = {PixelCorrection::Kind::none,
                                                  PixelCorrection::Kind::matrix,
                                                  PixelCorrection::Kind::root_polynomial};
  return all;
}
std::span<const Foreign::Kind> every(Foreign::Kind) {
  static constexpr Foreign::Kind all[] = {Foreign::Kind::ink, Foreign::Kind::stain,
                                          Foreign::Kind::lighter, Foreign::Kind::other};
  return all;
}

}  // namespace mendtone

namespace mendtone::results {
namespace {

void conditions(Describe& v, PhotographConditions& s) {
  v("light", s.light, {.help = "of every colour in this answer"});
  v("observer", s.observer_deg, {.unit = "degrees"});
  v("intent", s.intent, {});
}

/// A photograph, and the options that its own words would have where there are two of them.
void photograph(Describe& v, PhotoRequest& s, std::string_view profile, std::string_view correction,
                std::string_view page) {
  v("file", s.file, {.help = "the photograph: TIFF, PNG, JPEG or OpenEXR", .required = true});
  v("profile", s.profile,
    {.help = "the ICC profile of the camera or scanner, where the file carries none (kept in the "
             "result)",
     .option = profile});
  v("correction", s.correction,
    {.help = "apply a correction kept by `image check`; never applied unless named",
     .option = correction});
  v("page", s.page,
    {.help = "which picture of a file that holds several; 1 is the first",
     .option = page,
     .least = 0});
}

Says scale_option() {
  return {.help = "the scale on the object; else the file's resolution tag is used",
          .option = "--pixels-per-mm"};
}

Says ring_option() {
  return {.help = "the ring of paper: from,to in mm from the loss's edge", .option = "--ring"};
}

}  // namespace

void fields(Describe& v, PhotoRequest& s) {
  v.name("PhotoRequest");
  photograph(v, s, "--profile", "--correction", "--page");
}

void fields(Describe& v, PhotographsOwn& s) {
  v.name("PhotographsOwn");
  v("lights", s.lights,
    {.help = "D50 only: the colours of a photograph are D50, 2 degrees; another light needs a "
             "reading with its spectrum",
     .option = "--light",
     .one_of = "D50",
     .only_typed = true});
  v("observer_deg", s.observer_deg,
    {.help = "2 degrees only", .option = "--observer", .one_of = "2", .only_typed = true});
}

void fields(Describe& v, PhotoStatement& s) {
  v.name("PhotoStatement");
  v("file", s.file, {});
  v("format", s.format, {});
  v("width_px", s.width_px, {});
  v("height_px", s.height_px, {});
  v("channels", s.channels, {});
  v("sample", s.sample, {});
  v("page", s.page, {});
  v("pages", s.pages, {});
  v("orientation", s.orientation, {});
  v("profile", s.profile, {});
  v("profile_from", s.profile_from, {});
  v("pixels_per_mm", s.pixels_per_mm, {});
  v("correction", s.correction, {.help = "that was applied", .blank = Blank::null});
  v("clipped_pixels", s.clipped_pixels, {});
  v("warnings", s.warnings, {.prose = true});
}

void fields(Describe& v, ImageCheckRequest& s) {
  v.name("ImageCheckRequest");
  v("photo", s.photo, {.help = "the photograph", .option = "PHOTO", .required = true});
  v("reference", s.reference,
    {.help = "readings of the target's patches (CGATS, CSV …), by name",
     .option = "--reference",
     .required = true,
     .greedy = true});
  v("patches", s.patches,
    {.help = "CSV of the patches in the photograph: name,x,y,width,height, in pixels",
     .option = "--patches"});
  v("corners", s.corners,
    {.help = "or a grid: x,y of the outer corners top left, top right, bottom right, bottom left",
     .option = "--corners"});
  v("columns", s.columns, {.help = "patches across", .option = "--columns", .least = 0});
  v("rows", s.rows, {.help = "patches down", .option = "--rows", .least = 0});
  v("part", s.part,
    {.help = "how much of a patch's width and height is read",
     .option = "--part",
     .least = 0,
     .above_least = true,
     .most = 1});
  v("flat", s.flat,
    {.help = "a photograph of one even card in the same light: how even is the field?",
     .option = "--flat"});
  v("keep_correction", s.keep_correction,
    {.help = "write the correction that helps, if one does, to this file",
     .option = "--keep-correction",
     .only_typed = true,
     .writes = "*"});
  v("own", s.own, {.only_typed = true});
}

void fields(Describe& v, CheckedPatch& s) {
  v.name("CheckedPatch");
  v("name", s.name, {});
  v("pixels", s.pixels, {});
  v("lab", s.measured, {.help = "as photographed"});
  v("reference_lab", s.reference, {});
  v("de00", s.de00, {.unit = "DeltaE00"});
  v("dL", s.dL, {.help = "photograph minus reference: L*"});
  v("da", s.da, {.help = "a*"});
  v("db", s.db, {.help = "b*"});
  v("spread_dL", s.spread_dL, {.help = "of its pixels"});
}

void fields(Describe& v, ToleranceRow& s) {
  v.name("ToleranceRow");
  v("standard", s.standard, {});
  v("criterion", s.criterion, {});
  v("limit", s.limit, {});
  v("limit_included", s.limit_included, {});
  v("found", s.found, {});
  v("within", s.within, {});
}

void fields(Describe& v, FlatField& s) {
  v.name("FlatField");
  v("photograph", s.photo, {});
  v("L", s.L, {.help = "L* of 5 x 5 fields, row by row"});
  v("range_dL", s.range_dL, {});
  v("largest_da_db", s.largest_da_db, {});
  v("limit_dL", s.limit_dL, {});
  v("limit_why", s.limit_why, {.prose = true});
}

void fields(Describe& v, TriedCorrection& s) {
  v.name("TriedCorrection");
  v("kind", s.fit.correction.kind, {});
  v("coefficients", s.fit.correction.coefficients, {});
  v("fitted_mean_de00", s.fit.fitted_mean_de00, {.unit = "DeltaE00"});
  v("unseen_mean_de00", s.fit.unseen_mean_de00, {.unit = "DeltaE00"});
  v("unseen_p90_de00", s.fit.unseen_p90_de00, {.unit = "DeltaE00"});
  v("unseen_max_de00", s.fit.unseen_max_de00, {.unit = "DeltaE00"});
  v("helps", s.helps, {});
}

void fields(Describe& v, ImageCheckAnswer& s) {
  v.name("ImageCheckAnswer");
  v.document("image_check", 2);
  v.method({});
  conditions(v, s.conditions);
  v("photograph", s.photo, {});
  v("patches", s.patches, {});
  v("mean_de00", s.mean_de00, {.unit = "DeltaE00"});
  v("p90_de00", s.p90_de00, {.unit = "DeltaE00"});
  v("max_de00", s.max_de00, {.unit = "DeltaE00"});
  v("worst_patch", s.worst_patch, {});
  v("neutral_patches", s.neutrals, {});
  v("white_balance_mean", s.balance_mean, {});
  v("white_balance_max", s.balance_max, {});
  v("mean_dL", s.mean_dL, {});
  v("lightness_range_over_target_dL", s.tilt_dL, {});
  v("tolerances", s.tolerances, {});
  v("caution", s.caution, {.prose = true});
  v("flat_field", s.flat, {});
  v("corrections", s.corrections, {});
  v("advice", s.correction_advice, {.prose = true});
  v("kept", s.kept, {.blank = Blank::null, .prose = true});
  v("warnings", s.warnings, {.prose = true});
  v.table("patches", {{"patch", "name"},
                      {"light", "../light"},
                      {"observer", "../observer"},
                      {"L*", "lab/0"},
                      {"a*", "lab/1"},
                      {"b*", "lab/2"},
                      {"reference L*", "reference_lab/0"},
                      {"reference a*", "reference_lab/1"},
                      {"reference b*", "reference_lab/2"},
                      {"de00", "de00"},
                      {"dL", "dL"},
                      {"da", "da"},
                      {"db", "db"},
                      {"pixels", "pixels"}});
}

void fields(Describe& v, ImageToneRequest& s) {
  v.name("ImageToneRequest");
  v("photo", s.photo, {.help = "the photograph", .option = "PHOTO", .required = true});
  v("regions", s.regions,
    {.help = "the part to read: [NAME=]rect:x,y,width,height, polygon:x,y,… or mask:FILE; may be "
             "repeated",
     .option = "--region"});
  v("losses", s.losses,
    {.help = "a loss, written the same way: the paper in a ring around it is read; may be repeated",
     .option = "--loss"});
  v("ring_mm", s.ring_mm, ring_option());
  v("pixels_per_mm", s.pixels_per_mm, scale_option());
  v("near", s.near,
    {.help = "L*,a*,b* of the paper, where ink is commoner than paper", .option = "--near"});
  v("grain_mm", s.grain_mm,
    {.help = "mottling finer than this many mm is texture", .option = "--grain"});
  v("tones_at_most", s.tones_at_most, {.help = "1 to 8", .option = "--tones-at-most"});
  v("keep_readings", s.keep_readings,
    {.help = "write the tones as a readings CSV, a target for `tissue` and `wash`",
     .option = "--keep-readings",
     .only_typed = true,
     .writes = "*"});
  v("compare", s.compare,
    {.help = "readings of the same places, to hold the photograph against; recomputed from their "
             "spectra under D50, 2 degrees",
     .option = "--compare",
     .greedy = true});
  v("reading", s.reading,
    {.help = "which reading to take; else the one of the region's or loss's name",
     .option = "--reading"});
  v("own", s.own, {.only_typed = true});
}

void fields(Describe& v, ToneOfGround& s) {
  v.name("ToneOfGround");
  v("role", s.role, {.help = "base, or stipple"});
  v("lab", s.tone.lab, {});
  v("share", s.tone.share, {.help = "of the ground's area"});
  v("de00_from_base", s.tone.de00_from_base, {.unit = "DeltaE00"});
  v("dL", s.dL, {.help = "minus the base: L*"});
  v("da", s.da, {.help = "a*"});
  v("db", s.db, {.help = "b*"});
  v("lighter_than_base", s.tone.lighter_than_base, {.help = "cannot be stippled on"});
}

void fields(Describe& v, Foreign& s) {
  v.name("Foreign");
  v("kind", s.kind, {});
  v("share", s.share, {.help = "of the region's pixels"});
  v("lab", s.median, {});
}

void fields(Describe& v, Ground& s) {
  v.name("Ground");
  v("lab", s.median, {});
  v("covariance", s.covariance, {.help = "of L*, a*, b*, row by row"});
  v("share", s.share, {.help = "of the region's pixels"});
  v("spread_de00", s.spread_de00, {.unit = "DeltaE00"});
  v("p90_de00", s.p90_de00, {.unit = "DeltaE00"});
}

void fields(Describe& v, RegionOfPaper& s) {
  v.name("RegionOfPaper");
  v("name", s.name, {});
  v("pixels", s.pixels, {});
  v("sampled", s.sampled, {});
  v("ground", s.ground, {.help = "the bare paper"});
  v("left_out", s.left_out, {.help = "what is not paper; the paper's own scatter is not listed"});
  v("tones", s.tones, {.help = "of the mottling, the base first"});
  v("grains", s.grains, {});
  v("within_de00", s.within_de00, {.help = "of the grains from their own tone"});
}

void fields(Describe& v, ReadingComparison& s) {
  v.name("ReadingComparison");
  v("region", s.region, {});
  v("reading", s.reading, {});
  v("conditions", s.conditions, {});
  v("n", s.n, {.help = "repeats in the reading"});
  v("reading_lab", s.lab, {});
  v("de00", s.de00, {.unit = "DeltaE00"});
  v("dL", s.dL, {.help = "photograph minus reading: L*"});
  v("da", s.da, {.help = "a*"});
  v("db", s.db, {.help = "b*"});
  v("warnings", s.warnings, {.prose = true});
}

void fields(Describe& v, ImageToneAnswer& s) {
  v.name("ImageToneAnswer");
  v.document("image_tone", 2);
  v.method({"edges of drawn lines are told from stains, and the paper's scatter from both",
            "a ring around a loss is read at the paper's own reading, where that is given"});
  conditions(v, s.conditions);
  v("photograph", s.photo, {});
  v("pixels_per_mm", s.pixels_per_mm, {});
  v("grain_px", s.grain_px, {});
  v("regions", s.regions, {});
  v("comparisons", s.comparisons, {});
  v("kept", s.kept, {.blank = Blank::null, .prose = true});
  v("warnings", s.warnings, {.prose = true});
}

void fields(Describe& v, ImageChangeRequest& s) {
  v.name("ImageChangeRequest");
  v.group_at("before", s.before, {.help = "the photograph before", .option = "BEFORE", .required = true},
             [&](Describe& g, PhotoRequest& p) {
               photograph(g, p, "--profile-before", "--correction-before", "--page-before");
             });
  v.group_at("after", s.after, {.help = "the photograph after", .option = "AFTER", .required = true},
             [&](Describe& g, PhotoRequest& p) {
               photograph(g, p, "--profile-after", "--correction-after", "--page-after");
             });
  v("align", s.align,
    {.help = "auto (from the pictures), points (--points FILE) or none (pixel upon pixel)",
     .option = "--align",
     .one_of = "auto|points|none"});
  v("alignment", s.alignment,
    {.help = "similarity, affine or projective", .option = "--alignment"});
  v("points", s.points,
    {.help = "CSV of the same places: before_x,before_y,after_x,after_y, in pixels",
     .option = "--points"});
  v("residual_limit_px", s.residual_limit_px,
    {.help = "pixels; a poorer alignment is refused", .option = "--residual-limit"});
  v("unchanged", s.unchanged,
    {.help = "an area that did not change, as rect:x,y,width,height, polygon:x,y,… or mask:FILE; "
             "only then is a drift of brightness taken out",
     .option = "--unchanged"});
  v("regions", s.regions,
    {.help = "figures for a part: [NAME=]rect:…, polygon:… or mask:FILE; may be repeated",
     .option = "--region"});
  v("tolerance_de00", s.tolerance_de00,
    {.help = "DeltaE00; 0.8 is about what half of all people just see", .option = "--tolerance"});
  v("pixels_per_mm", s.pixels_per_mm, scale_option());
  v("maps", s.maps,
    {.help = "write pictures NAME-de00.png, NAME-dL.png, NAME-da.png, NAME-db.png",
     .option = "--maps",
     .only_typed = true,
     .writes = "*-de00.@maps_ending|*-dL.@maps_ending|*-da.@maps_ending|*-db.@maps_ending"});
  v("maps_ending", s.maps_ending,
    {.help = "png or tif", .option = "--maps-as", .one_of = "png|tif", .only_typed = true});
  v("values", s.values,
    {.help = "write DeltaE00 of every pixel as a TIFF of numbers",
     .option = "--values",
     .only_typed = true,
     .writes = "*"});
  v("threads", s.threads,
    {.help = "0: as many as the machine has", .option = "--threads", .least = 0, .only_typed = true});
  v("own", s.own, {.only_typed = true});
}

void fields(Describe& v, ChangeFigures& s) {
  v.name("ChangeFigures");
  v("name", s.region, {});
  v("pixels", s.pixels, {});
  v("not_covered", s.not_covered, {});
  v("mean_de00", s.mean_de00, {.unit = "DeltaE00"});
  v("median_de00", s.median_de00, {.unit = "DeltaE00"});
  v("p90_de00", s.p90_de00, {.unit = "DeltaE00"});
  v("p95_de00", s.p95_de00, {.unit = "DeltaE00"});
  v("p99_de00", s.p99_de00, {.unit = "DeltaE00"});
  v("max_de00", s.max_de00, {.unit = "DeltaE00"});
  v("dL", s.mean_dL, {.help = "after minus before: L*"});
  v("da", s.mean_da, {.help = "a*"});
  v("db", s.mean_db, {.help = "b*"});
  v("share_above_tolerance", s.share_above, {});
}

void fields(Describe& v, RegistrationTold& s) {
  v.name("RegistrationTold");
  v("by", s.by, {});
  v("alignment", s.alignment, {});
  v("after_from_before", s.after_from_before, {.help = "3 x 3, row by row"});
  v("pairs", s.pairs, {});
  v("pairs_left_out", s.pairs_left_out, {});
  v("residual_px", s.residual_px, {});
  v("worst_px", s.worst_px, {});
}

void fields(Describe& v, Brightness& s) {
  v.name("Brightness");
  v("unchanged", s.unchanged, {});
  v("gain", s.drift.gain, {});
  v("pixels", s.drift.pixels, {});
  v("remaining_de00", s.drift.remaining_de00, {.unit = "DeltaE00"});
}

void fields(Describe& v, MapFrame& s) {
  v.name("MapFrame");
  v("file", s.file, {});
  v("quantity", s.quantity, {});
  v("low", s.low, {.help = "what the foot of the bar means"});
  v("high", s.high, {.help = "what its head means"});
  v("low_word", s.low_word, {});
  v("high_word", s.high_word, {});
  v("map", s.map, {.help = "left, top, width, height in the picture, pixels"});
  v("bar", s.bar, {.help = "the same of the bar"});
}

void fields(Describe& v, ImageChangeAnswer& s) {
  v.name("ImageChangeAnswer");
  v.document("image_change", 2);
  v.method({});
  conditions(v, s.conditions);
  v("before", s.before, {});
  v("after", s.after, {});
  v("registration", s.registration, {});
  v("brightness", s.brightness, {.help = "where an unchanged area was named"});
  v("tolerance_de00", s.tolerance_de00, {.unit = "DeltaE00"});
  v("pixels_per_mm", s.pixels_per_mm, {});
  v("regions", s.regions, {.help = "the whole first"});
  v("pictures", s.pictures, {.help = "files that were written", .prose = true});
  v("frames", s.frames,
    {.help = "where their parts lie", .blank = Blank::left_out, .prose = true});
  v("warnings", s.warnings, {.prose = true});
  v.table("regions", {{"region", "name"},
                      {"light", "../light"},
                      {"observer", "../observer"},
                      {"pixels", "pixels"},
                      {"not_covered", "not_covered"},
                      {"mean_de00", "mean_de00"},
                      {"median_de00", "median_de00"},
                      {"p90_de00", "p90_de00"},
                      {"p95_de00", "p95_de00"},
                      {"p99_de00", "p99_de00"},
                      {"max_de00", "max_de00"},
                      {"dL", "dL"},
                      {"da", "da"},
                      {"db", "db"},
                      {"tolerance_de00", "../tolerance_de00"},
                      {"share_above_tolerance", "share_above_tolerance"},
                      {"residual_px", "../registration/residual_px"}});
}

void fields(Describe& v, ImagePreviewRequest& s) {
  v.name("ImagePreviewRequest");
  v("photo", s.photo, {.help = "the photograph", .option = "PHOTO", .required = true});
  v("loss", s.loss,
    {.help = "the loss: rect:x,y,width,height, polygon:x,y,… or mask:FILE",
     .option = "--loss",
     .required = true});
  v("fills", s.fills,
    {.help = "what `tissue` or `wash` gave with --format json", .option = "--fills"});
  v("lab", s.lab, {.help = "or one colour: L*,a*,b* under D50, 2 degrees", .option = "--lab"});
  v("rank", s.rank, {.help = "which of them", .option = "--rank"});
  v("light", s.light,
    {.help = "one of the lights in --fills; else the first", .option = "--viewing-light"});
  v("ring_mm", s.ring_mm, ring_option());
  v("pixels_per_mm", s.pixels_per_mm, scale_option());
  v("feather_mm", s.feather_mm, {.help = "width of the soft edge, mm", .option = "--feather"});
  v("overlap_mm", s.overlap_mm,
    {.help = "width of the margin where tissue and sheet overlap, mm", .option = "--overlap"});
  v("overlap_shift", s.overlap_shift,
    {.help = "dL*,da*,db* that the overlap adds to the sheet; else what --fills says",
     .option = "--overlap-shift"});
  v("stipple", s.stipple,
    {.help = "with the mottling of the paper around the loss", .option = "--stipple"});
  v("out", s.out,
    {.help = "the picture to write: .tif or .png, 16 bits", .option = "--out", .only_typed = true, .writes = "*"});
  v("strip", s.strip,
    {.help = "also the best ones side by side, into this file",
     .option = "--strip",
     .only_typed = true,
     .writes = "*"});
  v("strip_count", s.strip_count, {.help = "how many", .option = "--strip-of", .only_typed = true});
  v("own", s.own, {.only_typed = true});
}

void fields(Describe& v, PreviewedFill& s) {
  v.name("PreviewedFill");
  v("rank", s.rank, {});
  v("name", s.name, {});
  v("lab", s.lab, {.help = "painted"});
  v("de00", s.de00, {.help = "from the paper around the loss", .unit = "DeltaE00"});
  v("dL", s.dL, {.help = "minus the paper: L*"});
  v("da", s.da, {.help = "a*"});
  v("db", s.db, {.help = "b*"});
  v("overlap_de00", s.overlap_de00, {.unit = "DeltaE00"});
  v("overlap", s.overlap_shift, {});
  v("painted_pixels", s.painted_pixels, {});
  v("out_of_gamut_pixels", s.out_of_gamut_pixels, {});
}

void fields(Describe& v, ImagePreviewAnswer& s) {
  v.name("ImagePreviewAnswer");
  v.document("image_preview", 2);
  v.method({});
  conditions(v, s.conditions);
  v("photograph", s.photo, {});
  v("pixels_per_mm", s.pixels_per_mm, {});
  v("ground_lab", s.ground, {.help = "the paper around the loss"});
  v("viewing_light", s.light, {.blank = Blank::null});
  v("viewing_observer", s.observer_deg, {});
  v("adaptation", s.adaptation, {.blank = Blank::null});
  v("fills", s.fills, {});
  v("pictures", s.pictures, {.help = "files that were written", .prose = true});
  v("cautions", s.cautions, {.prose = true});
  v("warnings", s.warnings, {.prose = true});
  v.table("fills", {{"rank", "rank"},
                    {"name", "name"},
                    {"light", "../light"},
                    {"observer", "../observer"},
                    {"L*", "lab/0"},
                    {"a*", "lab/1"},
                    {"b*", "lab/2"},
                    {"de00", "de00"},
                    {"dL", "dL"},
                    {"da", "da"},
                    {"db", "db"},
                    {"painted_pixels", "painted_pixels"},
                    {"out_of_gamut_pixels", "out_of_gamut_pixels"}});
}

}  // namespace mendtone::results
