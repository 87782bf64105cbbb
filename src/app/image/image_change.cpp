#include "mendtone/app/image/image_change.hpp"

#include <cmath>
#include <filesystem>
#include <thread>

#include "app/image/photograph_kept.hpp"
#include "app/inputs/columns.hpp"
#include "mendtone/adapters/align.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/adapters/map_picture.hpp"
#include "mendtone/adapters/picture_file.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/table.hpp"
#include "mendtone/base/words.hpp"

namespace mendtone::app {
namespace {

/// What the record says of how two photographs were taken, where it differs: a change between them
/// may be that alone. Empty: nothing, or nothing is said of one of them.
std::string taken_otherwise(const ImageChangeRequest& request, const InputPlace& place) {
  const auto before = kept_photograph(place, request.before.file),
             after = kept_photograph(place, request.after.file);
  if (!before || !after) return {};
  std::vector<std::string> unlike;
  const auto compare = [&](const char* what, const std::string& one, const std::string& other) {
    if (!one.empty() && !other.empty() && one != other)
      unlike.push_back(std::string(what) + " '" + one + "' and '" + other + "'");
  };
  compare("lamps", before->light, after->light);
  compare("kind of light", before->lighting, after->lighting);
  compare("camera", before->camera, after->camera);
  compare("exposure", before->exposure, after->exposure);
  compare("colour target", before->target, after->target);
  if (unlike.empty()) return {};
  return "The photographs were not taken alike (" + joined(unlike, "; ") +
         "): part of what follows may be the taking, not the sheet";
}

Result<std::vector<PointPair>> read_points(const std::string& path, const InputPlace& place) {
  auto bytes = input_bytes(path, place);
  if (!bytes) return bytes.error();
  auto table = parse_number_table(*bytes, path);
  if (!table) return table.error();
  MENDTONE_TRY(check_columns(table->heading, {"before_x", "before_y", "after_x", "after_y"},
                             "a file of points", path + ", heading"));
  const auto *bx = table->find("before_x"), *by = table->find("before_y"),
             *ax = table->find("after_x"), *ay = table->find("after_y");
  if (!bx || !by || !ax || !ay)
    return bad_input("expected the columns before_x, before_y, after_x, after_y, in pixels", path);
  std::vector<PointPair> pairs;
  for (std::size_t i = 0; i < bx->size(); ++i)
    pairs.push_back({{(*bx)[i], (*by)[i]}, {(*ax)[i], (*ay)[i]}});
  return pairs;
}

Result<Registration> lay_on(const ImageChangeRequest& request, const InputPlace& place,
                            Photo& before, Photo& after) {
  if (request.align == "points") {
    auto pairs = read_points(request.points, place);
    if (!pairs) return pairs.error();
    auto found = register_pairs(*pairs, request.alignment);
    if (!found) return bad_input(found.error().message, request.points);
    return found;
  }
  if (request.align == "auto") return align(before.rows(), after.rows(), request.alignment);
  if (before.size() == after.size()) return Registration{};
  return bad_input(
      "the photographs differ in size, so they cannot be laid pixel upon pixel; "
      "leave --align out, or name points",
      request.after.file);
}

/// Map and values take the same rows.
class Both final : public ChangeSink {
 public:
  Both(ChangeMap& map, PictureWriter* values) : map_(map), values_(values) {}
  Result<void> take(const ChangeRows& rows) override {
    if (auto taken = map_.take(rows); !taken) return taken;
    return values_ ? values_->rows(rows.de00.data(), rows.y1 - rows.y0) : Result<void>();
  }

 private:
  ChangeMap& map_;
  PictureWriter* values_;
};

/// As the person named it: a photograph of the record by its name there.
std::string name_of(const PhotoRequest& asked, const PhotoStatement& photo,
                    const InputPlace& place) {
  const bool in_record = !place.record.empty() && !is_file(asked.file, place);
  return in_record ? asked.file : std::filesystem::path(photo.file).filename().string();
}

std::vector<std::string> notes_of(const ImageChangeRequest& request, const InputPlace& place,
                                  const ImageChangeAnswer& answer, const ChangeMap& map,
                                  MapKind kind) {
  std::vector<std::string> notes;
  notes.push_back("Before: " + name_of(request.before, answer.before, place) +
                  "   After: " + name_of(request.after, answer.after, place));
  if (kind == MapKind::de00)
    notes.push_back("The mark beside the scale is the tolerance, " +
                    fixed(answer.tolerance_de00, 2) + " \u0394E00; " +
                    fixed(100 * answer.regions.front().share_above, 1) +
                    " % of the picture is above it.");
  else
    notes.push_back("After minus before.");
  notes.push_back("CIELAB under D50, 2\u00b0 observer, absolute colorimetric. " +
                  (answer.registration.by == "none"
                       ? std::string("Laid pixel upon pixel.")
                       : "Laid on each other with a residual of " +
                             fixed(*answer.registration.residual_px, 2) + " pixels."));
  if (answer.brightness)
    notes.push_back("Light of the after photograph multiplied by " +
                    fixed(answer.brightness->drift.gain, 4) + ", so that '" +
                    answer.brightness->unchanged + "' is as bright as before.");
  if (answer.regions.front().not_covered > 0)
    notes.push_back("Ruled grey: outside the after photograph, not compared.");
  if (map.factor() > 1)
    notes.push_back("Each point of the map is the mean of " + std::to_string(map.factor()) + " x " +
                    std::to_string(map.factor()) + " pixels.");
  return notes;
}

Result<void> write_maps(const ImageChangeRequest& request, const InputPlace& place,
                        ImageChangeAnswer& answer, const ChangeMap& map) {
  auto fonts = ReportFonts::open();
  if (!fonts) return fonts.error();
  struct Kind {
    MapKind kind;
    const char *ending, *title;
  };
  for (const Kind& k : {Kind{MapKind::de00, "-de00", "Colour change, \u0394E00"},
                        {MapKind::dL, "-dL", "Change of lightness, \u0394L*"},
                        {MapKind::da, "-da", "Change from green to red, \u0394a*"},
                        {MapKind::db, "-db", "Change from blue to yellow, \u0394b*"}}) {
    const std::string path = request.maps + k.ending + "." + request.maps_ending;
    const DrawnMap drawn = draw_map(map, k.kind,
                                    {k.title, notes_of(request, place, answer, map, k.kind),
                                     answer.pixels_per_mm, answer.tolerance_de00},
                                    **fonts);
    if (auto written = write_picture(path, drawn.picture, {srgb_profile(), {}, k.title}); !written)
      return written;
    answer.pictures.push_back(path);
    answer.frames.push_back({path, drawn.quantity, drawn.low, drawn.high, drawn.low_word,
                             drawn.high_word, drawn.map, drawn.bar});
  }
  return {};
}

Result<void> check(const ImageChangeRequest& request) {
  if (!(request.tolerance_de00 > 0))
    return bad_request("the tolerance must be above 0", "--tolerance");
  if (!(request.residual_limit_px > 0))
    return bad_request("the limit must be above 0", "--residual-limit");
  if ((request.align == "points") != !request.points.empty())
    return bad_request("--align points and --points FILE belong together", "--align");
  if (request.alignment == Alignment::none)
    return bad_request("expected similarity, affine or projective", "--alignment");
  if (request.align != "auto" && request.align != "points" && request.align != "none")
    return bad_request("expected auto, points or none", "--align");
  return {};
}

results::RegistrationTold told(const Registration& r, const std::string& by) {
  results::RegistrationTold told{by, r.alignment, r.after_from_before.m, r.pairs, r.pairs_left_out,
                                 {}, {}};
  if (by != "none") {
    told.residual_px = r.residual_px;
    told.worst_px = r.worst_px;
  }
  return told;
}

}  // namespace

Result<ImageChangeAnswer> image_change(const ImageChangeRequest& request, const InputPlace& place) {
  if (auto sound = check_own(request.own); !sound) return sound.error();
  if (auto sound = check(request); !sound) return sound.error();
  auto before = Photo::open(request.before, place);
  if (!before) return before.error();
  auto after = Photo::open(request.after, place);
  if (!after) return after.error();

  ImageChangeAnswer answer;
  answer.tolerance_de00 = request.tolerance_de00;
  auto scale = scale_of(request.pixels_per_mm, before->file().facts());
  if (!scale) return scale.error();
  answer.pixels_per_mm = *scale;

  ChangeOptions options;
  options.tolerance_de00 = request.tolerance_de00;
  options.threads = request.threads > 0
                        ? request.threads
                        : static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
  options.regions.push_back(whole_picture(before->size()));
  for (const std::string& text : request.regions) {
    auto region = region_from(text, "region " + std::to_string(options.regions.size()),
                              before->size(), place);
    if (!region) return region.error();
    options.regions.push_back(*std::move(region));
  }

  if (const std::string unlike = taken_otherwise(request, place); !unlike.empty())
    answer.warnings.insert(answer.warnings.begin(), unlike);

  auto registration = lay_on(request, place, *before, *after);
  if (!registration) return registration.error();
  answer.registration = told(*registration, request.align);
  if (registration->residual_px > request.residual_limit_px)
    return bad_input("the photographs lie on each other with a residual of " +
                     fixed(registration->residual_px, 2) + " pixels; at most " +
                     fixed(request.residual_limit_px, 2) +
                     " was allowed, for edges would look like change. Name better points, or "
                     "another --alignment");
  options.after_from_before = registration->after_from_before;

  if (!request.unchanged.empty()) {
    auto area = region_from(request.unchanged, "unchanged area", before->size(), place);
    if (!area) return area.error();
    auto drift = drift_in(before->rows(), after->rows(), options.after_from_before, *area);
    if (!drift) return drift.error();
    answer.brightness = results::Brightness{area->name, *drift};
    options.after_gain = drift->gain;
    if (drift->remaining_de00 > request.tolerance_de00)
      answer.warnings.push_back(
          "the area named as unchanged still differs by " + fixed(drift->remaining_de00, 2) +
          " DeltaE00 when its brightness is equal: its colour has changed, or "
          "the light of the two photographs had another colour");
  }

  ChangeMap map(before->size(), 1400, 1000);
  std::unique_ptr<PictureWriter> values;
  if (!request.values.empty()) {
    auto writer = PictureWriter::create(request.values, before->size(), 1, true,
                                        {"", answer.pixels_per_mm,
                                         "DeltaE00 (CIEDE2000), CIELAB D50/2 degrees, after "
                                         "against before; -1 where not compared"});
    if (!writer) return writer.error();
    values = *std::move(writer);
  }
  Both sink(map, values.get());
  auto figures = compare_photographs(before->rows(), after->rows(), options, &sink);
  if (!figures) return figures.error();
  answer.regions = *std::move(figures);
  if (answer.regions.front().pixels == 0)
    return bad_input("the photographs have no place in common");
  if (values) {
    if (auto done = values->finish(); !done) return done.error();
    answer.pictures.push_back(request.values);
  }
  answer.before = before->statement();
  answer.after = after->statement();
  if (!request.maps.empty())
    if (auto written = write_maps(request, place, answer, map); !written) return written.error();
  return answer;
}

}  // namespace mendtone::app
