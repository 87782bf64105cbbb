#include <map>
#include <memory>

#include "cli/verbs.hpp"
#include "mendtone/app/image_change.hpp"

namespace mendtone::cli {
namespace {

/// Options that every image verb has. Colours from a photograph have one light and one observer.
struct ImageCommon {
  Common common;

  void add(CLI::App& verb) {
    common.observer_deg = 2;
    add_common(verb, common);
    verb.get_option("--light")->description(
        "D50 only: the colours of a photograph are D50, 2 degrees");
  }
  /// Refuses a light or an observer that no photograph can answer for.
  Result<void> check() const {
    for (const std::string& light : common.lights)
      if (light != "D50")
        return bad_request(
            "the colours of a photograph are D50, 2 degrees; another light needs a "
            "reading with its spectrum",
            "--light " + light);
    if (common.observer_deg != 2)
      return bad_request("the colours of a photograph are D50, 2 degrees", "--observer");
    return {};
  }
};

void add_scale(CLI::App& verb, std::optional<double>& pixels_per_mm) {
  verb.add_option("--pixels-per-mm", pixels_per_mm,
                  "the scale on the object; else the file's resolution tag is used");
}

void add_change(CLI::App& image, Context& context) {
  struct Options {
    ImageCommon common;
    app::ImageChangeRequest request;
  };
  const auto o = std::make_shared<Options>();
  CLI::App* verb = image.add_subcommand(
      "change", "before and after of one sheet: laid on each other, maps and figures of change");
  verb->add_option("BEFORE", o->request.before.file, "the photograph before")->required();
  verb->add_option("AFTER", o->request.after.file, "the photograph after")->required();
  verb->add_option("--profile-before", o->request.before.profile,
                   "ICC profile for BEFORE, where it carries none");
  verb->add_option("--profile-after", o->request.after.profile,
                   "ICC profile for AFTER, where it carries none");
  verb->add_option("--correction-before", o->request.before.correction,
                   "a correction kept by `image check`, for BEFORE");
  verb->add_option("--correction-after", o->request.after.correction,
                   "a correction kept by `image check`, for AFTER");
  verb->add_option("--align", o->request.align,
                   "auto (from the pictures), points (--points FILE) or none (pixel upon pixel)")
      ->capture_default_str();
  verb->add_option("--alignment", o->request.alignment, "similarity, affine or projective")
      ->transform(CLI::CheckedTransformer(
          std::map<std::string, Alignment>{{"similarity", Alignment::similarity},
                                           {"affine", Alignment::affine},
                                           {"projective", Alignment::projective}}));
  verb->add_option("--points", o->request.points,
                   "CSV of the same places: before_x,before_y,after_x,after_y, in pixels");
  verb->add_option("--residual-limit", o->request.residual_limit_px,
                   "pixels; a poorer alignment is refused")
      ->capture_default_str();
  verb->add_option("--unchanged", o->request.unchanged,
                   "an area that did not change, as rect:x,y,width,height, polygon:x,y,… or "
                   "mask:FILE; only then is a drift of brightness taken out");
  verb->add_option("--region", o->request.regions,
                   "figures for a part: [NAME=]rect:…, polygon:… or mask:FILE; may be repeated")
      ->allow_extra_args(false);
  verb->add_option("--tolerance", o->request.tolerance_de00,
                   "DeltaE00; 0.8 is about what half of all people just see")
      ->capture_default_str();
  add_scale(*verb, o->request.pixels_per_mm);
  verb->add_option("--maps", o->request.maps,
                   "write pictures NAME-de00.png, NAME-dL.png, NAME-da.png, NAME-db.png");
  verb->add_option("--maps-as", o->request.maps_ending, "png or tif")
      ->transform(CLI::CheckedTransformer(
          std::map<std::string, std::string>{{"png", ".png"}, {"tif", ".tif"}}));
  verb->add_option("--values", o->request.values,
                   "write DeltaE00 of every pixel as a TIFF of numbers");
  verb->add_option("--threads", o->request.threads, "0: as many as the machine has");
  o->common.add(*verb);
  verb->callback([o, &context] {
    context.run = [o] {
      if (auto sound = o->common.check(); !sound) return refuse(sound.error());
      return deliver(app::image_change(o->request), o->common.common.format);
    };
  });
}

}  // namespace

void add_image(CLI::App& program, Context& context) {
  CLI::App* image =
      program.add_subcommand("image", "photographs as measurements: check, tone, change, preview");
  image->require_subcommand(1);
  add_change(*image, context);
}

}  // namespace mendtone::cli
