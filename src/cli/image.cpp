#include <map>
#include <memory>

#include "cli/operator.hpp"
#include "cli/verbs.hpp"
#include "mendtone/app/image/image_change.hpp"
#include "mendtone/app/image/image_check.hpp"
#include "mendtone/app/image/image_preview.hpp"
#include "mendtone/app/image/image_tone.hpp"

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

void add_photo(CLI::App& verb, app::PhotoRequest& photo) {
  verb.add_option("PHOTO", photo.file, "the photograph: TIFF, PNG, JPEG or OpenEXR")->required();
  verb.add_option("--profile", photo.profile,
                  "the ICC profile of the camera or scanner, where the file carries none (kept in "
                  "the result)");
  verb.add_option("--page", photo.page,
                  "which picture of a file that holds several; 1 is the first");
}

void add_correction(CLI::App& verb, app::PhotoRequest& photo) {
  verb.add_option("--correction", photo.correction,
                  "apply a correction kept by `image check`; never applied unless named");
}

void add_check(CLI::App& image, Context& context) {
  struct Options {
    ImageCommon common;
    KeepOptions keep;
    app::ImageCheckRequest request;
    std::vector<std::string> reference;
  };
  const auto o = std::make_shared<Options>();
  CLI::App* verb = image.add_subcommand(
      "check", "a colour target in a photograph against its reference: may it be measured at all?");
  add_photo(*verb, o->request.photo);
  add_correction(*verb, o->request.photo);
  verb->add_option("--reference", o->reference,
                   "readings of the target's patches (CGATS, CSV …), by name")
      ->required();
  verb->add_option("--patches", o->request.patches,
                   "CSV of the patches in the photograph: name,x,y,width,height, in pixels");
  verb->add_option("--corners", o->request.corners,
                   "or a grid: x,y of the outer corners top left, top right, bottom right, bottom "
                   "left")
      ->delimiter(',');
  verb->add_option("--columns", o->request.columns, "patches across");
  verb->add_option("--rows", o->request.rows, "patches down");
  verb->add_option("--part", o->request.part, "how much of a patch's width and height is read")
      ->capture_default_str();
  verb->add_option("--flat", o->request.flat,
                   "a photograph of one even card in the same light: how even is the field?");
  verb->add_option("--keep-correction", o->request.keep_correction,
                   "write the correction that helps, if one does, to this file");
  o->common.add(*verb);
  add_keep_options(*verb, o->keep, "--for-loss");
  verb->callback([o, &context] {
    context.run = [o] {
      if (auto sound = o->common.check(); !sound) return refuse(sound.error());
      o->request.reference = o->common.common.sources(o->reference);
      return compute(app::image_check, o->request, o->common.common, o->keep);
    };
  });
}

void add_tone_of_image(CLI::App& image, Context& context) {
  struct Options {
    ImageCommon common;
    KeepOptions keep;
    app::ImageToneRequest request;
    std::vector<double> ring{1, 6}, near;
    std::vector<std::string> compare;
  };
  const auto o = std::make_shared<Options>();
  CLI::App* verb = image.add_subcommand(
      "tone", "the tone of the paper in a photograph, without its inks and stains");
  add_photo(*verb, o->request.photo);
  add_correction(*verb, o->request.photo);
  verb->add_option("--region", o->request.regions,
                   "the part to read: [NAME=]rect:x,y,width,height, polygon:x,y,… or mask:FILE; "
                   "may be repeated")
      ->allow_extra_args(false);
  verb->add_option("--loss", o->request.losses,
                   "a loss, written the same way: the paper in a ring around it is read; may be "
                   "repeated")
      ->allow_extra_args(false);
  verb->add_option("--ring", o->ring, "the ring: from,to in mm from the loss's edge")
      ->delimiter(',')
      ->expected(2)
      ->capture_default_str();
  add_scale(*verb, o->request.pixels_per_mm);
  verb->add_option("--near", o->near, "L*,a*,b* of the paper, where ink is commoner than paper")
      ->delimiter(',')
      ->expected(3);
  verb->add_option("--grain", o->request.grain_mm, "mottling finer than this many mm is texture")
      ->capture_default_str();
  verb->add_option("--tones-at-most", o->request.tones_at_most, "1 to 8")->capture_default_str();
  verb->add_option("--keep-readings", o->request.keep_readings,
                   "write the tones as a readings CSV, a target for `tissue` and `wash`");
  verb->add_option("--compare", o->compare,
                   "readings of the same places, to hold the photograph against; recomputed from "
                   "their spectra under D50, 2 degrees");
  verb->add_option("--reading", o->request.reading,
                   "which reading to take; else the one of the region's or loss's name");
  o->common.add(*verb);
  add_keep_options(*verb, o->keep, "--for-loss");
  verb->callback([o, &context] {
    context.run = [o] {
      if (auto sound = o->common.check(); !sound) return refuse(sound.error());
      o->request.compare = o->common.common.sources(o->compare);
      o->request.ring_mm = {o->ring[0], o->ring[1]};
      if (!o->near.empty()) o->request.near = Lab{o->near[0], o->near[1], o->near[2]};
      return compute(app::image_tone, o->request, o->common.common, o->keep);
    };
  });
}

void add_change(CLI::App& image, Context& context) {
  struct Options {
    ImageCommon common;
    KeepOptions keep;
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
  verb->add_option("--page-before", o->request.before.page,
                   "which picture, where BEFORE holds several; 1 is the first");
  verb->add_option("--page-after", o->request.after.page,
                   "which picture, where AFTER holds several");
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
  add_keep_options(*verb, o->keep, "--for-loss");
  verb->callback([o, &context] {
    context.run = [o] {
      if (auto sound = o->common.check(); !sound) return refuse(sound.error());
      return compute(app::image_change, o->request, o->common.common, o->keep);
    };
  });
}

void add_preview(CLI::App& image, Context& context) {
  struct Options {
    ImageCommon common;
    app::ImagePreviewRequest request;
    std::vector<double> ring{1, 6}, lab, shift;
  };
  const auto o = std::make_shared<Options>();
  CLI::App* verb = image.add_subcommand(
      "preview", "a predicted fill seen in its place, before any paper is cut");
  add_photo(*verb, o->request.photo);
  verb->add_option("--loss", o->request.loss,
                   "the loss: rect:x,y,width,height, polygon:x,y,… or mask:FILE")
      ->required();
  verb->add_option("--fills", o->request.fills, "what `tissue` or `wash` gave with --format json");
  verb->add_option("--rank", o->request.rank, "which of them")->capture_default_str();
  verb->add_option("--viewing-light", o->request.light,
                   "one of the lights in --fills; else the first");
  verb->add_option("--lab", o->lab, "or one colour: L*,a*,b* under D50, 2 degrees")
      ->delimiter(',')
      ->expected(3);
  verb->add_option("--ring", o->ring,
                   "paper from,to so many mm around the loss is the sheet's tone")
      ->delimiter(',')
      ->expected(2)
      ->capture_default_str();
  add_scale(*verb, o->request.pixels_per_mm);
  verb->add_option("--feather", o->request.feather_mm, "width of the soft edge, mm")
      ->capture_default_str();
  verb->add_option("--overlap", o->request.overlap_mm,
                   "width of the margin where tissue and sheet overlap, mm");
  verb->add_option("--overlap-shift", o->shift,
                   "dL*,da*,db* that the overlap adds to the sheet; else what --fills says")
      ->delimiter(',')
      ->expected(3);
  verb->add_flag("--stipple", o->request.stipple, "with the mottling of the paper around the loss");
  verb->add_option("--out", o->request.out, "the picture to write: .tif or .png, 16 bits");
  verb->add_option("--strip", o->request.strip, "also the best ones side by side, into this file");
  verb->add_option("--strip-of", o->request.strip_count, "how many")->capture_default_str();
  o->common.add(*verb);
  verb->callback([o, &context] {
    context.run = [o] {
      if (auto sound = o->common.check(); !sound) return refuse(sound.error());
      o->request.ring_mm = {o->ring[0], o->ring[1]};
      if (!o->lab.empty()) o->request.lab = Lab{o->lab[0], o->lab[1], o->lab[2]};
      if (!o->shift.empty()) o->request.overlap_shift = Lab{o->shift[0], o->shift[1], o->shift[2]};
      o->request.photo.record = o->common.common.record;
      return deliver(app::image_preview(o->request), o->common.common.format);
    };
  });
}

}  // namespace

void add_image(CLI::App& program, Context& context) {
  CLI::App* image =
      program.add_subcommand("image", "photographs as measurements: check, tone, change, preview");
  image->require_subcommand(1);
  add_check(*image, context);
  add_tone_of_image(*image, context);
  add_change(*image, context);
  add_preview(*image, context);
}

}  // namespace mendtone::cli
