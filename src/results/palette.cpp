#include "mendtone/results/palette.hpp"

#include <algorithm>
#include <iterator>

namespace mendtone::results {
namespace {

std::string place(const std::string& what, std::size_t i) {
  return what + "/" + std::to_string(i);
}

/// What is wrong with a spectrum of the palette; empty: nothing.
std::string wrong_bands(const std::vector<double>& values, const std::string& what,
                        std::size_t bands, bool may_be_below_0 = false) {
  if (values.size() != bands)
    return what + " has " + std::to_string(values.size()) + " numbers, expected " +
           std::to_string(bands);
  for (std::size_t i = 0; i < bands; ++i)
    if (!may_be_below_0 && values[i] < 0) return place(what, i) + " is below 0";
  return {};
}

std::string wrong_rows(const std::vector<std::vector<double>>& rows, const std::string& what,
                       std::size_t count) {
  for (std::size_t i = 0; i < rows.size(); ++i)
    if (rows[i].size() != count)
      return place(what, i) + " has " + std::to_string(rows[i].size()) + " numbers, expected " +
             std::to_string(count);
  return {};
}

std::string wrong_colorant(const Colorant& colorant, const std::string& at, std::size_t bands) {
  if (auto said = wrong_bands(colorant.k, at + "/absorption", bands); !said.empty()) return said;
  if (auto said = wrong_bands(colorant.s, at + "/scattering", bands); !said.empty()) return said;
  if (!(colorant.law.parameter > 0)) return at + "/law/parameter must be above 0";
  return {};
}

std::string wrong_learnt(const LearntResidual& learnt, std::size_t bands, std::size_t colorants) {
  if (learnt.load_scale.size() != colorants)
    return "learnt/load_scale must have one number a colorant";
  if (auto said = wrong_rows(learnt.shape, "learnt/shape", bands); !said.empty()) return said;
  if (auto said = wrong_rows(learnt.site, "learnt/site", colorants); !said.empty()) return said;
  if (auto said = wrong_rows(learnt.weight, "learnt/weight", learnt.site.size()); !said.empty())
    return said;
  if (learnt.weight.size() != learnt.shape.size()) return "learnt/weight must have one row a shape";
  return learnt.reach > 0 ? std::string() : "learnt/reach must be above 0";
}

/// Every part of a palette must fit the others: what uses it does not look again.
std::string wrong(const Palette& palette) {
  const std::size_t bands = palette.grid.size();
  if (palette.application == Application::film) {
    if (auto said = wrong_bands(palette.support, "support", bands); !said.empty()) return said;
  } else {
    if (auto said = wrong_bands(palette.ply.K, "ply/absorption", bands); !said.empty()) return said;
    if (auto said = wrong_bands(palette.ply.S, "ply/scattering", bands); !said.empty()) return said;
    if (!palette.ply.opaque.empty() && palette.ply.opaque.size() != bands)
      return "ply/opaque must have one entry a band";
  }
  for (const auto& [name, R] : palette.backings)
    if (auto said = wrong_bands(R, "backings/" + name, bands, true); !said.empty()) return said;
  if (palette.screening < 0) return "screening is below 0";
  if (palette.model != LayerModel::two_fluxes && palette.screening + palette.quenching > 0)
    return "screening and quenching belong to two fluxes, model is '" +
           std::string(name_of(palette.model)) + "'";
  if (palette.quenching < 0) return "quenching is below 0";
  if (palette.colorants.empty()) return "colorants must hold at least one colorant";
  for (std::size_t c = 0; c < palette.colorants.size(); ++c)
    if (auto said = wrong_colorant(palette.colorants[c], place("colorants", c), bands);
        !said.empty())
      return said;
  if (palette.learnt)
    if (auto said = wrong_learnt(*palette.learnt, bands, palette.colorants.size()); !said.empty())
      return said;
  return wrong_rows(palette.posterior.direction, "posterior/direction", parameter_count(palette));
}

}  // namespace

std::string Numbers<WavelengthGrid>::set(WavelengthGrid& v, const std::vector<double>& read) {
  auto grid = WavelengthGrid::from_nm(read);
  if (!grid) return grid.error().message;
  v = *std::move(grid);
  return {};
}

namespace {

constexpr double Slab::*lit_numbers[] = {&Slab::seen,        &Slab::in,  &Slab::out,
                                         &Slab::thrown,      &Slab::lit, &Slab::straight_in,
                                         &Slab::straight_out};

}  // namespace

std::vector<double> Numbers<Slab>::get(const Slab& v) {
  std::vector<double> numbers{v.R12, v.R21, v.T};
  const Slab diffuse(v.R12, v.R21, v.T);
  const bool all = std::all_of(std::begin(lit_numbers), std::end(lit_numbers),
                               [&](auto number) { return v.*number == diffuse.*number; });
  if (!all)
    for (auto number : lit_numbers) numbers.push_back(v.*number);
  return numbers;
}

std::string Numbers<Slab>::set(Slab& v, const std::vector<double>& read) {
  if (read.size() != 3 && read.size() != 3 + std::size(lit_numbers))
    return "expected 3 or 10 numbers, found " + std::to_string(read.size());
  v = Slab(read[0], read[1], read[2]);
  for (std::size_t i = 3; i < read.size(); ++i) v.*lit_numbers[i - 3] = read[i];
  return {};
}

std::vector<Load> loads_of(const Palette& palette, const std::vector<double>& loads) {
  std::vector<Load> named;
  for (std::size_t c = 0; c < loads.size(); ++c)
    if (loads[c] > 0) named.push_back({palette.colorants[c].name, loads[c]});
  return named;
}

std::vector<double> loads_in(const Palette& palette, const std::vector<Load>& loads) {
  std::vector<double> all(palette.colorants.size(), 0.0);
  for (const Load& one : loads)
    for (std::size_t c = 0; c < all.size(); ++c)
      if (palette.colorants[c].name == one.colorant) all[c] = one.load;
  return all;
}

void fields(Describe& v, Ply& s) {
  v.name("Ply");
  v("absorption", s.K, {.help = "of one ply, band by band, as the model means it", .was = "K"});
  v("scattering", s.S, {.help = "of one ply, band by band, as the model means it", .was = "S"});
  v("opaque", s.opaque, {.help = "bands where it is too opaque to measure what it lets through"});
  v.blank([](const void* ply) { return static_cast<const Ply*>(ply)->K.empty(); });
}

void fields(Describe& v, LoadLaw& s) {
  v.name("LoadLaw");
  v("kind", s.kind, {.help = "how the effect grows with the load"});
  v("parameter", s.parameter, {});
}

void fields(Describe& v, Colorant& s) {
  v.name("Colorant");
  v("name", s.name, {});
  v("colour_index", s.colour_index, {.help = "PY43, PR101 …"});
  v("absorption", s.k, {.help = "a unit of load, band by band, as the model means it", .was = "k"});
  v("scattering", s.s, {.help = "a unit of load, band by band, as the model means it", .was = "s"});
  v("absorption_se", s.k_se, {.help = "standard errors", .was = "k_se"});
  v("scattering_se", s.s_se, {.help = "standard errors", .was = "s_se"});
  v("law", s.law, {});
  v("filling", s.filling, {.help = "what its binder takes from the ply's own scattering"});
  v("load_range", s.load_range, {.help = "loads that were read"});
  v("cross_validated_de00", s.cross_validated_de00,
    {.help = "median of held-out swatches", .unit = "DeltaE00"});
  v("warnings", s.warnings, {.prose = true});
}

void fields(Describe& v, LearntResidual& s) {
  v.name("LearntResidual");
  v("share", s.share, {});
  v("reach", s.reach, {});
  v("load_scale", s.load_scale, {});
  v("shape", s.shape, {});
  v("site", s.site, {});
  v("weight", s.weight, {});
}

void fields(Describe& v, Posterior& s) {
  v.name("Posterior");
  v("dosing_sd", s.dosing_sd, {.help = "relative spread of a load"});
  v("error_de00", s.error_de00, {.help = "the model's own error an axis"});
  v("inflation", s.inflation, {});
  v("mixture_inflation", s.mixture_inflation, {});
  v("direction", s.direction, {});
}

void fields(Describe& v, Palette& s) {
  v.name("Palette");
  v("application", s.application, {.help = "absorbed by the tissue, or a film on it"});
  v("model", s.model,
    {.help = "how a layer is computed, and what its absorption and scattering are", .since = 2});
  v("load_unit", s.load_unit, {});
  v("substrate", s.substrate, {.help = "the tissue or support that was read bare"});
  v("lot", s.lot, {});
  v("stock", s.stock, {});
  v("state", s.state, {});
  v("wavelengths_nm", s.grid, {});
  v("support", s.support, {.help = "film: what lay below", .blank = Blank::left_out});
  v("ply", s.ply, {.help = "absorbed: one untoned ply", .blank = Blank::left_out});
  v("backings", s.backings, {.help = "backings that were read with the swatches"});
  v("interface", s.interface, {});
  v("screening", s.screening, {.help = "of a palette of version 1; else 0"});
  v("quenching", s.quenching, {.help = "of a palette of version 1; else 0"});
  v("cross_validated_de00", s.cross_validated_de00,
    {.help = "median of held-out swatches", .unit = "DeltaE00"});
  v("brightener", s.brightener, {.help = "one was found in the substrate", .since = 2});
  v("colorants", s.colorants, {});
  v("learnt", s.learnt, {});
  v("posterior", s.posterior, {.help = "what is not known of it"});
  v("palette_warnings", s.warnings, {.prose = true});
}

namespace {

/// A palette that was just read.
std::string settle_palette(Palette& palette) {
  palette.ply.grid = palette.grid;
  palette.ply.model = palette.model;
  const std::string said = wrong(palette);
  return said.empty() ? said : "this is no calibrated palette: " + said;
}

}  // namespace

void fields(Describe& v, LawTried& s) {
  v.name("LawTried");
  v("name", s.name, {});
  v("constants", s.constants, {.help = "2: the colorants scatter"});
  v("load_law", s.load, {});
  v("interface", s.interface, {});
  v("filling", s.filling, {});
  v("screening", s.screening, {.help = "no longer tried"});
  v("learnt", s.learnt, {});
  v("many_fluxes", s.many_fluxes, {.help = "light followed in many directions", .since = 2});
  v("cross_validated_de00", s.cross_validated_de00, {.unit = "DeltaE00"});
  v("mean_de00", s.mean_de00, {.unit = "DeltaE00"});
  v("p95_de00", s.p95_de00, {.unit = "DeltaE00"});
  v("fit_de00", s.fit_de00, {.unit = "DeltaE00"});
  v("beyond_dosing_de00", s.beyond_dosing_de00, {.unit = "DeltaE00"});
  v("chosen", s.chosen, {});
}

void fields(Describe& v, PaletteDocument& s) {
  v.name("PaletteDocument");
  v.document("colorant", 2);
  fields(v, s.palette);
  v.name("PaletteDocument");
  v.open();
  v.settle([](void* into) { return settle_palette(static_cast<PaletteDocument*>(into)->palette); });
}

void fields(Describe& v, ColorantRequest& s) {
  v.name("ColorantRequest");
  v("sources", s.sources,
    {.help = "readings that carry loads, bare sheet, backings; with --record, 'trials' is every "
             "trial in it",
     .option = "READINGS",
     .required = true,
     .greedy = true});
  v("application", s.application,
    {.help = "absorbed: taken up by the tissue; film: laid on top of it, or of any opaque support",
     .option = "--application"});
  v("out", s.out,
    {.help = "file to keep the palette in", .option = "--out", .only_typed = true, .writes = "*"});
  v("advise", s.advise,
    {.help = "name so many swatches (1 if no number is given) that would teach the most",
     .option = "--advise",
     .least = 0,
     .most = 50,
     .alone = "1"});
  v("colour_index", s.colour_index,
    {.help = "Colour Index name of a colorant, as ochre=PY43; may be repeated",
     .option = "--colour-index"});
}

void fields(Describe& v, SwatchResidual& s) {
  v.name("SwatchResidual");
  v("name", s.name, {});
  v("where", s.where, {.help = "file and line of its first reading"});
  v.by_name<&Load::colorant, &Load::load>("loads", s.loads, {});
  v("de00", s.de00, {.help = "in the fit", .unit = "DeltaE00"});
  v("cross_validated_de00", s.cross_validated_de00,
    {.help = "with the swatch held out", .unit = "DeltaE00"});
  v("dL", s.dL, {.help = "read minus fitted: L*"});
  v("da", s.da, {.help = "a*"});
  v("db", s.db, {.help = "b*"});
  v("weight", s.weight, {.help = "what the fit believed of it"});
  v("doubtful", s.doubtful, {});
  v("remark", s.remark, {.prose = true});
}

void fields(Describe& v, AdvisedSwatch& s) {
  v.name("AdvisedSwatch");
  v.by_name<&Load::colorant, &Load::load>("loads", s.loads, {});
  v("before_de00", s.before_de00, {.help = "how well mixtures are known now", .unit = "DeltaE00"});
  v("after_de00", s.after_de00, {.help = "and once it is read", .unit = "DeltaE00"});
}

void fields(Describe& v, ColorantAnswer& s) {
  v.name("ColorantAnswer");
  v.document("colorant", 2);
  v.method({"repeats that stand apart are left out of the mean",
            "layers solved in many directions of light are tried too"});
  fields(v, s.palette);
  v.name("ColorantAnswer");
  v("laws", s.laws, {.help = "models that were tried"});
  v("residuals", s.residuals, {.help = "swatch by swatch"});
  v("condition_number", s.condition_number, {});
  v("held_out_folds", s.held_out_folds, {});
  v("advice", s.advice, {.help = "swatches worth making, in order"});
  v("warnings", s.warnings, {.prose = true});
  v.settle([](void* into) { return settle_palette(static_cast<ColorantAnswer*>(into)->palette); });
  v.table("colorants/absorption[]", {{"colorant", "../name"},
                                     {"nm", "../../wavelengths_nm/@index"},
                                     {"absorption", "../absorption/@index"},
                                     {"absorption_se", "../absorption_se/@index"},
                                     {"scattering", "../scattering/@index"},
                                     {"scattering_se", "../scattering_se/@index"}});
}

void fields(Describe& v, SwatchRequest& s) {
  v.name("SwatchRequest");
  v("palette", s.palette,
    {.help = "the palette that 'colorant --out' kept", .option = "--from", .required = true});
  v("loads_file", s.loads_file,
    {.help = "mixtures: name and load:<colorant> columns", .option = "LOADS"});
  v("loads", s.loads,
    {.help = "a colorant's load, as ochre=0.4; may be repeated", .option = "--load"});
  v("on", s.on,
    {.help = "readings of the tissue to be toned and of backings, or the name of the palette's own "
             "tissue; may be repeated",
     .option = "--on"});
  v("on_name", s.on_name, {.help = "the palette's own tissue by name"});
  v("over", s.over, {.help = "what lies behind: a backing's name", .option = "--over"});
  v("plies", s.plies,
    {.help = "plies of toned tissue", .option = "--plies", .least = 1, .most = 8});
  v("viewing", s.viewing, {});
  v("light_sheet", s.light_sheet, {.help = "lamp of the light sheet", .option = "--light-sheet"});
  v("pick_up_sd", s.pick_up_sd,
    {.help = "relative spread of the pick-up, as measured (0.05: 5 %)",
     .option = "--pick-up-spread",
     .least = 0,
     .most = 1});
  v("care", s.care, {});
}

void fields(Describe& v, SwatchColour& s) {
  v.name("SwatchColour");
  v("lab", s.lab, {.help = "L*a*b*"});
  v("not_predictable", s.not_predictable,
    {.help = "why it is not what would be seen", .blank = Blank::left_out, .prose = true});
}

void fields(Describe& v, PredictedSwatch& s) {
  v.name("PredictedSwatch");
  v("name", s.name, {});
  v.by_name<&Load::colorant, &Load::load>("loads", s.loads, {});
  v("lab", s.lab, {.help = "under the viewing light"});
  v.by_name<&SwatchColour::light>("by_light", s.by_light, {});
  v("transmitted", s.transmitted, {.help = "on the light sheet"});
  v("wavelengths_nm", s.wavelengths_nm, {});
  v("reflectance", s.reflectance, {});
  v("u95_de00", s.u95_de00, {.help = "95 % of such swatches come within this", .unit = "DeltaE00"});
  v("warnings", s.warnings, {.prose = true});
}

void fields(Describe& v, SwatchAnswer& s) {
  v.name("SwatchAnswer");
  v.document("swatch", 2);
  v.method({"repeats that stand apart are left out of the mean"});
  v("substrate", s.substrate, {.help = "the tissue"});
  v("application", s.application, {});
  v("load_unit", s.load_unit, {});
  v("over", s.over, {.help = "what lies behind"});
  v("plies", s.plies, {});
  v("observer", s.observer_deg, {.unit = "degrees"});
  v("swatches", s.swatches, {});
  v("warnings", s.warnings, {.prose = true});
  v("cautions", s.cautions, {.blank = Blank::left_out, .prose = true});
  v.table("swatches", {{"name", "name"},
                       {"light", "by_light/0/@name"},
                       {"observer", "../observer"},
                       {"L*", "lab/0"},
                       {"a*", "lab/1"},
                       {"b*", "lab/2"},
                       {"u95_de00", "u95_de00"},
                       {"*wavelengths_nm", "reflectance/*"}});
}

}  // namespace mendtone::results
