#include "app/image/image_correction.hpp"

#include "app/inputs/json.hpp"
#include "mendtone/adapters/files.hpp"

namespace mendtone::app {

Result<void> keep(const KeptCorrection& c, const std::string& path) {
  Json json = document("image_correction");
  json["kind"] = name_of(c.fit.correction.kind);
  json["light"] = "D50";
  json["observer"] = 2;
  json["coefficients"] = c.fit.correction.coefficients;
  json["photograph"] = c.photograph;
  json["profile"] = c.profile;
  json["reference"] = c.reference;
  json["patches"] = c.patches;
  json["uncorrected_mean_de00"] = c.uncorrected_mean_de00;
  json["fitted_mean_de00"] = c.fit.fitted_mean_de00;
  json["unseen_mean_de00"] = c.fit.unseen_mean_de00;
  json["unseen_p90_de00"] = c.fit.unseen_p90_de00;
  json["unseen_max_de00"] = c.fit.unseen_max_de00;
  return write_file(path, written(json) + "\n");
}

Result<KeptCorrection> read_correction(const std::string& path, const InputPlace& place) {
  auto bytes = input_bytes(path, place);
  if (!bytes) return bytes.error();
  const auto document = json_from(*bytes, path);
  if (!document) return document.error();
  const Json& json = *document;
  const auto refused = [&] {
    return bad_input("expected a correction kept by `mendtone image check`", path);
  };
  if (json_text(json_member(json, "schema")) != "mendtone.image_correction" ||
      !json_member(json, "coefficients").is_array())
    return refused();
  KeptCorrection kept;
  PixelCorrection& c = kept.fit.correction;
  const Json& kind = json_member(json, "kind");
  if (kind == "matrix") c.kind = PixelCorrection::Kind::matrix;
  if (kind == "root polynomial") c.kind = PixelCorrection::Kind::root_polynomial;
  for (const Json& number : json["coefficients"]) {
    if (!number.is_number()) return refused();
    c.coefficients.push_back(number.get<double>());
  }
  if (c.kind == PixelCorrection::Kind::none ||
      c.coefficients.size() != (c.kind == PixelCorrection::Kind::matrix ? 9u : 18u))
    return refused();
  kept.profile = json_text(json_member(json, "profile")).value_or("");
  return kept;
}

}  // namespace mendtone::app
