#include "mendtone/app/image/image_preview.hpp"

#include <algorithm>
#include <cmath>

#include "app/image/image_fills.hpp"
#include "app/image/image_strip.hpp"
#include "mendtone/adapters/picture_file.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/spectral/limits.hpp"

namespace mendtone::app {
namespace {

constexpr const char* screen_caution =
    "A preview on a screen shows which way a fill differs, not whether it matches. Test a trial on "
    "the added material first, read it dry, and lay it beside the sheet in the gallery's light.";

Result<void> check(const ImagePreviewRequest& r) {
  if (r.fills.empty() == !r.lab.has_value())
    return bad_request(
        "name the fill: either --fills with the JSON of `tissue` or `wash`, or --lab");
  if (r.lab)
    if (const std::string wrong = fault_of_lab(r.lab->L, r.lab->a, r.lab->b); !wrong.empty())
      return bad_request(wrong, "--lab");
  if (r.lab && !r.light.empty())
    return bad_request("--lab is a colour under D50, 2 degrees; --viewing-light goes with --fills");
  if (r.out.empty() && r.strip.empty())
    return bad_request("name the picture to write with --out, or --strip");
  if (r.rank < 1) return bad_request("the first is 1", "--rank");
  if (r.strip_count < 1 || r.strip_count > 8) return bad_request("1 to 8", "--strip-of");
  if (!(r.feather_mm >= 0) || !(r.overlap_mm >= 0))
    return bad_request("the soft edge and the overlap cannot be below 0 mm");
  if (r.overlap_shift && !(r.overlap_mm > 0))
    return bad_request("--overlap-shift needs the width of the margin, --overlap MM");
  if (r.overlap_mm > 0 && !r.overlap_shift && r.fills.empty())
    return bad_request(
        "an overlap margin of a colour as given needs --overlap-shift dL,da,db (what the tissue "
        "behind or in front adds to the sheet's colour)");
  return {};
}

struct Scene {
  Photo& photo;
  Region loss;
  double pixels_per_mm = 1;
  FillPaint paint;  ///< all but the base
};

Lab painted_lab(const RankedFill& fill, const Lab& ground) {
  return {ground.L + fill.lab.L - fill.sheet.L, ground.a + fill.lab.a - fill.sheet.a,
          ground.b + fill.lab.b - fill.sheet.b};
}

/// What the person said goes before what was computed.
std::optional<Lab> overlap_of(const ImagePreviewRequest& request, const RankedFill& fill) {
  if (!(request.overlap_mm > 0)) return {};
  return request.overlap_shift ? request.overlap_shift : fill.overlap_shift;
}

PreviewedFill described(int rank, const std::string& name, const Lab& lab, const Lab& ground,
                        std::optional<double> overlap_de00, std::optional<Lab> overlap_shift) {
  const SignedDifference d = signed_difference(ground, lab);
  std::optional<results::Shift> shift;
  if (overlap_shift) shift = results::Shift{overlap_shift->L, overlap_shift->a, overlap_shift->b};
  return {rank, name, lab, de00(ground, lab), d.dL, d.da, d.db, overlap_de00, shift, 0, 0};
}

std::uint16_t code_of(float value) {
  return static_cast<std::uint16_t>(std::lround(value * 65535.0f));
}

/// All rows through the painter, into a file.
Result<void> write_out(const ImagePreviewRequest& request, Scene& scene, PreviewedFill& fill,
                       const FillPainter& painter) {
  const Photograph& file = scene.photo.file();
  auto writer = PictureWriter::create(
      request.out, file.size(), 3, false,
      {file.profile().bytes, scene.pixels_per_mm, "Preview of a fill; not a photograph of one"});
  if (!writer) return writer.error();
  CodedRows rows;
  Painted painted;
  for (int y = 0; y < file.size().height; ++y) {
    if (auto read = scene.photo.rows().read(y, y + 1, rows); !read) return read;
    if (rows.u16.empty()) {
      rows.u16.resize(rows.f32.size());
      std::transform(rows.f32.begin(), rows.f32.end(), rows.u16.begin(), code_of);
    }
    painter.paint(y, rows.u16.data(), painted);
    if (auto done = (*writer)->rows(rows.u16.data(), 1); !done) return done;
  }
  fill.painted_pixels = painted.pixels;
  fill.out_of_gamut_pixels = painted.out_of_gamut;
  return (*writer)->finish();
}

Result<Scene> scene_of(const ImagePreviewRequest& request, const InputPlace& place, Photo& photo,
                       const std::optional<Lab>& read, ImagePreviewAnswer& answer) {
  auto scale = scale_of(request.pixels_per_mm, photo.file().facts());
  if (!scale) return scale.error();
  if (!*scale)
    return bad_request(
        "the soft edge and the ring are in mm, and the photograph has no resolution "
        "tag that can be used",
        "--pixels-per-mm");
  if (!photo.rows().transform().writable())
    return bad_input(
        "the photograph's profile leads from pixels to colours only, not back; save it "
        "as RGB in a working space first",
        request.photo.file);
  answer.pixels_per_mm = *scale;
  auto loss = region_from(request.loss, "loss", photo.size(), place);
  if (!loss) return loss.error();
  const double mm = **scale;
  auto ring = ring_region("around " + loss->name, *loss, request.ring_mm[0] * mm,
                          request.ring_mm[1] * mm, photo.size());
  if (!ring) return ring.error();
  GroundOptions options;
  options.grain_px = std::max(1.0, 0.5 * mm);
  auto ground = paper_around(photo.rows(), *ring, options, read, answer.warnings);
  if (!ground) return in_file(ground.error(), request.photo.file);
  answer.ground = ground->ground.median;
  FillPaint paint;
  paint.sheet = answer.ground;
  paint.grain_px = std::max(2.0, mm);
  paint.feather_px = request.feather_mm * mm;
  paint.overlap_px = request.overlap_mm * mm;
  if (request.stipple) {
    const Lab base = ground->tones.front().lab;
    for (std::size_t i = 1; i < ground->tones.size(); ++i) {
      const MottleTone& t = ground->tones[i];
      if (!t.lighter_than_base)
        paint.stipple.push_back({{t.lab.L - base.L, t.lab.a - base.a, t.lab.b - base.b}, t.share});
    }
    if (paint.stipple.empty())
      answer.warnings.push_back("the paper around the loss is of one tone: nothing to stipple");
  }
  return Scene{photo, *std::move(loss), mm, std::move(paint)};
}

}  // namespace

Result<ImagePreviewAnswer> image_preview(const ImagePreviewRequest& request,
                                         const InputPlace& place) {
  if (auto sound = check_own(request.own); !sound) return sound.error();
  if (auto sound = check(request); !sound) return sound.error();
  RankedFills ranked;
  if (!request.fills.empty()) {
    auto read = read_fills(request.fills, request.light, place);
    if (!read) return read.error();
    ranked = *std::move(read);
    if (static_cast<std::size_t>(request.rank) > ranked.fills.size())
      return bad_request(
          "there are only " + std::to_string(ranked.fills.size()) + " in " + request.fills,
          "--rank");
  }
  auto photo = Photo::open(request.photo, place);
  if (!photo) return photo.error();
  ImagePreviewAnswer answer;
  std::optional<Lab> read;
  if (!ranked.fills.empty()) read = ranked.fills[static_cast<std::size_t>(request.rank - 1)].sheet;
  auto scene = scene_of(request, place, *photo, read, answer);
  if (!scene) return scene.error();

  const Lab ground = answer.ground;
  if (request.lab) {
    answer.fills.push_back(
        described(1, "colour as given", *request.lab, ground, {}, request.overlap_shift));
  } else {
    answer.light = ranked.light;
    answer.observer_deg = ranked.observer_deg;
    answer.adaptation = "Bradford to D50";
    std::vector<int> order{request.rank};
    if (!request.strip.empty())
      for (int rank = 1; rank <= request.strip_count; ++rank)
        if (rank != request.rank && static_cast<std::size_t>(rank) <= ranked.fills.size())
          order.push_back(rank);
    for (const int rank : order) {
      const RankedFill& fill = ranked.fills[static_cast<std::size_t>(rank - 1)];
      answer.fills.push_back(described(rank, fill.name, painted_lab(fill, ground), ground,
                                       fill.overlap_de00, overlap_of(request, fill)));
      if (request.overlap_mm > 0 && !answer.fills.back().overlap_shift)
        answer.warnings.push_back("the overlap margin of '" + fill.name +
                                  "' is not shown: what it adds to the sheet is not in " +
                                  request.fills + " for " + ranked.light +
                                  "; give it with --overlap-shift dL,da,db");
    }
  }
  if (!request.out.empty()) {
    FillPaint paint = scene->paint;
    paint.base = answer.fills.front().lab;
    if (const auto& shift = answer.fills.front().overlap_shift)
      paint.overlap_shift = {shift->dL, shift->da, shift->db};
    if (!answer.fills.front().overlap_shift) paint.overlap_px = 0;
    auto painter = FillPainter::plan(scene->loss, paint, photo->rows().transform(), photo->size());
    if (!painter) return painter.error();
    if (auto done = write_out(request, *scene, answer.fills.front(), *painter); !done)
      return done.error();
    answer.pictures.push_back(request.out);
  }
  if (!request.strip.empty()) {
    auto done =
        write_strip(*photo, scene->loss, scene->paint, scene->pixels_per_mm, answer, request.strip);
    if (!done) return done.error();
    answer.pictures.push_back(request.strip);
  }
  answer.photo = photo->statement();
  answer.cautions = {screen_caution};
  return answer;
}

}  // namespace mendtone::app
