#include "app/wash/palette_json.hpp"

#include <cmath>

#include "mendtone/adapters/files.hpp"
#include "mendtone/app/wash/palette.hpp"

namespace mendtone::app {
namespace {

constexpr std::string_view schema = "mendtone.colorant";

/// What a field holds and where, for a reader that stops at the first fault.
class PaletteReader {
 public:
  const Json* at(const Json& parent, const std::string& name, const std::string& path) {
    const auto found = parent.is_object() ? parent.find(name) : parent.end();
    if (!parent.is_object() || found == parent.end()) {
      fail(path + "/" + name, "is missing");
      return nullptr;
    }
    return &*found;
  }
  double number(const Json& parent, const std::string& name, const std::string& path) {
    const Json* value = at(parent, name, path);
    if (!value) return 0;
    if (!value->is_number()) fail(path + "/" + name, "must be a number");
    return value->is_number() ? value->get<double>() : 0;
  }
  std::string text(const Json& parent, const std::string& name, const std::string& path) {
    const Json* value = at(parent, name, path);
    if (!value) return {};
    if (!value->is_string()) fail(path + "/" + name, "must be a text");
    return value->is_string() ? value->get<std::string>() : std::string();
  }
  std::vector<double> numbers(const Json& value, const std::string& path, std::size_t count) {
    std::vector<double> list;
    if (!value.is_array()) {
      fail(path, "must be a list of numbers");
      return list;
    }
    for (const Json& item : value) {
      if (!item.is_number()) {
        fail(path + "/" + std::to_string(list.size()), "must be a number");
        return {};
      }
      list.push_back(item.get<double>());
    }
    if (count > 0 && list.size() != count) {
      fail(path,
           "has " + std::to_string(list.size()) + " numbers, expected " + std::to_string(count));
      return {};
    }
    return list;
  }
  std::vector<double> numbers(const Json& parent, const std::string& name, const std::string& path,
                              std::size_t count) {
    const Json* value = at(parent, name, path);
    return value ? numbers(*value, path + "/" + name, count) : std::vector<double>();
  }
  std::vector<std::vector<double>> rows(const Json& parent, const std::string& name,
                                        const std::string& path, std::size_t count) {
    std::vector<std::vector<double>> all;
    const Json* value = at(parent, name, path);
    if (!value) return all;
    if (!value->is_array()) fail(path + "/" + name, "must be a list of lists");
    for (const Json& row : *value)
      all.push_back(numbers(row, path + "/" + name + "/" + std::to_string(all.size()), count));
    return all;
  }
  std::vector<std::string> texts(const Json& parent, const std::string& name,
                                 const std::string& path) {
    std::vector<std::string> list;
    const Json* value = at(parent, name, path);
    if (!value) return list;
    for (const Json& item : *value)
      if (item.is_string()) list.push_back(item.get<std::string>());
    return list;
  }
  void not_negative(const std::vector<double>& values, const std::string& path) {
    for (std::size_t i = 0; i < values.size(); ++i)
      if (values[i] < 0) fail(path + "/" + std::to_string(i), "is below 0");
  }
  void fail(const std::string& path, const std::string& what) {
    if (!error_) error_ = bad_input("this is no calibrated palette: " + path + " " + what);
  }
  const std::optional<Error>& error() const { return error_; }

 private:
  std::optional<Error> error_;
};

Json law_of(const LoadLaw& law) {
  return {{"kind", name_of(law.kind)}, {"parameter", law.parameter}};
}

LoadLaw law_in(PaletteReader& in, const Json& colorant, const std::string& path) {
  LoadLaw law;
  const Json* json = in.at(colorant, "law", path);
  if (!json) return law;
  const std::string kind = in.text(*json, "kind", path + "/law");
  law.parameter = in.number(*json, "parameter", path + "/law");
  if (kind == "power")
    law.kind = LoadLaw::Kind::power;
  else if (kind == "saturating")
    law.kind = LoadLaw::Kind::saturating;
  else if (kind != "linear")
    in.fail(path + "/law/kind", "must be linear, power or saturating");
  if (!(law.parameter > 0)) in.fail(path + "/law/parameter", "must be above 0");
  return law;
}

Json colorant_of(const Colorant& colorant) {
  return {{"name", colorant.name},
          {"colour_index", colorant.colour_index},
          {"k", colorant.k},
          {"s", colorant.s},
          {"k_se", colorant.k_se},
          {"s_se", colorant.s_se},
          {"law", law_of(colorant.law)},
          {"filling", colorant.filling},
          {"load_range", colorant.load_range},
          {"cross_validated_de00", colorant.cross_validated_de00},
          {"warnings", colorant.warnings}};
}

Colorant colorant_in(PaletteReader& in, const Json& json, const std::string& path,
                     std::size_t bands) {
  Colorant colorant;
  colorant.name = in.text(json, "name", path);
  colorant.colour_index = in.text(json, "colour_index", path);
  colorant.k = in.numbers(json, "k", path, bands);
  colorant.s = in.numbers(json, "s", path, bands);
  in.not_negative(colorant.k, path + "/k");
  in.not_negative(colorant.s, path + "/s");
  colorant.k_se = in.numbers(json, "k_se", path, 0);
  colorant.s_se = in.numbers(json, "s_se", path, 0);
  colorant.law = law_in(in, json, path);
  colorant.filling = in.number(json, "filling", path);
  const std::vector<double> range = in.numbers(json, "load_range", path, 2);
  if (range.size() == 2) colorant.load_range = {range[0], range[1]};
  colorant.cross_validated_de00 = in.number(json, "cross_validated_de00", path);
  colorant.warnings = in.texts(json, "warnings", path);
  return colorant;
}

void put_learnt(Json& json, const std::optional<LearntResidual>& learnt) {
  if (!learnt) {
    json["learnt"] = nullptr;
    return;
  }
  json["learnt"] = {
      {"share", learnt->share}, {"reach", learnt->reach}, {"load_scale", learnt->load_scale},
      {"shape", learnt->shape}, {"site", learnt->site},   {"weight", learnt->weight}};
}

std::optional<LearntResidual> learnt_in(PaletteReader& in, const Json& document, std::size_t bands,
                                        std::size_t colorants) {
  const Json* json = in.at(document, "learnt", "");
  if (!json || json->is_null()) return std::nullopt;
  LearntResidual learnt;
  learnt.share = in.number(*json, "share", "/learnt");
  learnt.reach = in.number(*json, "reach", "/learnt");
  learnt.load_scale = in.numbers(*json, "load_scale", "/learnt", colorants);
  learnt.shape = in.rows(*json, "shape", "/learnt", bands);
  learnt.site = in.rows(*json, "site", "/learnt", colorants);
  learnt.weight = in.rows(*json, "weight", "/learnt", learnt.site.size());
  if (learnt.weight.size() != learnt.shape.size())
    in.fail("/learnt/weight", "must have one row a shape");
  if (!(learnt.reach > 0)) in.fail("/learnt/reach", "must be above 0");
  return learnt;
}

}  // namespace

void put_palette(Json& json, const Palette& palette) {
  json["application"] = name_of(palette.application);
  json["load_unit"] = name_of(palette.load_unit);
  json["substrate"] = palette.substrate;
  json["lot"] = palette.lot;
  json["stock"] = palette.stock;
  json["state"] = name_of(palette.state);
  json["wavelengths_nm"] = palette.grid.nm();
  if (palette.application == Application::film)
    json["support"] = palette.support;
  else
    json["ply"] = {{"K", palette.ply.K}, {"S", palette.ply.S}, {"opaque", palette.ply.opaque}};
  json["backings"] = Json::object();
  for (const auto& [name, R] : palette.backings) json["backings"][name] = R;
  json["interface"] = {
      {"k1", palette.interface.k1}, {"ke", palette.interface.ke}, {"k2", palette.interface.k2}};
  json["screening"] = palette.screening;
  json["quenching"] = palette.quenching;
  json["cross_validated_de00"] = palette.cross_validated_de00;
  json["brightener"] = palette.brightener;
  json["colorants"] = Json::array();
  for (const Colorant& colorant : palette.colorants)
    json["colorants"].push_back(colorant_of(colorant));
  put_learnt(json, palette.learnt);
  json["posterior"] = {{"dosing_sd", palette.posterior.dosing_sd},
                       {"error_de00", palette.posterior.error_de00},
                       {"inflation", palette.posterior.inflation},
                       {"mixture_inflation", palette.posterior.mixture_inflation},
                       {"direction", palette.posterior.direction}};
  json["palette_warnings"] = palette.warnings;
}

Result<Palette> palette_in(const Json& json) {
  PaletteReader in;
  if (in.text(json, "schema", "") != schema)
    in.fail("/schema", "must be '" + std::string(schema) + "'");
  if (in.error()) return *in.error();
  Palette palette;
  const auto application = application_from(in.text(json, "application", ""));
  if (!application) in.fail("/application", "must be absorbed or film");
  palette.application = application.value_or(Application::absorbed);
  const std::string unit = in.text(json, "load_unit", "");
  palette.load_unit = load_unit_from(unit).value_or(LoadUnit::unstated);
  palette.substrate = in.text(json, "substrate", "");
  palette.lot = in.text(json, "lot", "");
  palette.stock = in.text(json, "stock", "");
  palette.state = state_from(in.text(json, "state", "")).value_or(State::unstated);
  auto grid = WavelengthGrid::from_nm(in.numbers(json, "wavelengths_nm", "", 0));
  if (!grid) in.fail("/wavelengths_nm", grid.error().message);
  if (in.error()) return *in.error();
  palette.grid = *std::move(grid);
  const std::size_t bands = palette.grid.size();
  if (palette.application == Application::film) {
    palette.support = in.numbers(json, "support", "", bands);
  } else if (const Json* ply = in.at(json, "ply", "")) {
    palette.ply = {palette.grid,
                   in.numbers(*ply, "K", "/ply", bands),
                   in.numbers(*ply, "S", "/ply", bands),
                   {}};
    in.not_negative(palette.ply.K, "/ply/K");
    in.not_negative(palette.ply.S, "/ply/S");
    if (const Json* opaque = in.at(*ply, "opaque", "/ply"))
      for (const Json& band : *opaque)
        palette.ply.opaque.push_back(band.is_boolean() && band.get<bool>());
  }
  if (const Json* backings = in.at(json, "backings", ""); backings && backings->is_object())
    for (const auto& [name, R] : backings->items())
      palette.backings[name] = in.numbers(R, "/backings/" + name, bands);
  palette.screening = in.number(json, "screening", "");
  if (palette.screening < 0) in.fail("/screening", "is below 0");
  palette.quenching = in.number(json, "quenching", "");
  if (palette.quenching < 0) in.fail("/quenching", "is below 0");
  if (const Json* interface = in.at(json, "interface", ""))
    palette.interface = {in.number(*interface, "k1", "/interface"),
                         in.number(*interface, "ke", "/interface"),
                         in.number(*interface, "k2", "/interface")};
  palette.cross_validated_de00 = in.number(json, "cross_validated_de00", "");
  if (const Json* colorants = in.at(json, "colorants", ""); colorants && colorants->is_array())
    for (const Json& colorant : *colorants)
      palette.colorants.push_back(colorant_in(
          in, colorant, "/colorants/" + std::to_string(palette.colorants.size()), bands));
  if (palette.colorants.empty()) in.fail("/colorants", "must hold at least one colorant");
  palette.learnt = learnt_in(in, json, bands, palette.colorants.size());
  if (const Json* posterior = in.at(json, "posterior", "")) {
    palette.posterior.dosing_sd = in.number(*posterior, "dosing_sd", "/posterior");
    palette.posterior.error_de00 = in.number(*posterior, "error_de00", "/posterior");
    palette.posterior.inflation = in.number(*posterior, "inflation", "/posterior");
    palette.posterior.mixture_inflation = in.number(*posterior, "mixture_inflation", "/posterior");
    palette.posterior.direction =
        in.rows(*posterior, "direction", "/posterior", parameter_count(palette));
  }
  // A palette of an older program was not looked at for one.
  if (const auto found = json.find("brightener"); found != json.end())
    palette.brightener = found->is_boolean() && found->get<bool>();
  palette.warnings = in.texts(json, "palette_warnings", "");
  if (in.error()) return *in.error();
  return palette;
}

Result<Palette> palette_from(std::string_view text, const std::string& name) {
  const auto json = json_from(text, name);
  if (!json)
    return bad_input(
        "expected a palette that 'mendtone colorant --out' wrote; " + json.error().message,
        json.error().where);
  auto palette = palette_in(*json);
  if (!palette) return bad_input(palette.error().message, name);
  return palette;
}

Result<Palette> load_palette(const std::string& path, const InputPlace& place) {
  auto bytes = input_bytes(path, place);
  if (!bytes) return bytes.error();
  return palette_from(*bytes, path);
}

}  // namespace mendtone::app
