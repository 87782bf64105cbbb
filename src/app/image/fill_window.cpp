#include "mendtone/app/image/fill_window.hpp"

#include <algorithm>
#include <cmath>

#include "app/image/image_fills.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/imaging/fill.hpp"
#include "mendtone/imaging/ground.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone::app {
namespace {

/// Rows with the fill painted into them.
class PaintedRows final : public RowReader {
 public:
  PaintedRows(RowReader& rows, const FillPainter& painter) : rows_(rows), painter_(painter) {}
  ImageSize size() const override { return rows_.size(); }
  const PixelTransform& transform() const override { return rows_.transform(); }

  Result<void> read(int y0, int y1, CodedRows& rows) override {
    if (auto read = rows_.read(y0, y1, rows); !read) return read;
    if (rows.u16.empty()) {
      rows.u16.resize(rows.f32.size());
      std::transform(rows.f32.begin(), rows.f32.end(), rows.u16.begin(), [](float value) {
        return static_cast<std::uint16_t>(std::lround(std::clamp(value, 0.0f, 1.0f) * 65535));
      });
      rows.f32.clear();
    }
    const auto row = static_cast<std::size_t>(rows.width) * static_cast<std::size_t>(rows.channels);
    Painted count;
    for (int y = y0; y < y1; ++y)
      painter_.paint(y, rows.u16.data() + static_cast<std::size_t>(y - y0) * row, count);
    return {};
  }

 private:
  RowReader& rows_;
  const FillPainter& painter_;
};

std::vector<std::string> parts_of(const std::string& text, char at) {
  std::vector<std::string> parts;
  std::string part;
  for (char c : text + at) {
    if (c != at) {
      part += c;
    } else if (!trimmed(part).empty()) {
      parts.push_back(trimmed(part));
      part.clear();
    }
  }
  return parts;
}

Result<Region> polygon_of(const std::string& text, ImageSize picture) {
  std::vector<Point> corners;
  for (const std::string& corner : parts_of(text, ' ')) {
    const auto numbers = parts_of(corner, ',');
    const auto x = numbers.size() == 2 ? parse_number(numbers[0]) : std::nullopt;
    const auto y = numbers.size() == 2 ? parse_number(numbers[1]) : std::nullopt;
    if (!x || !y)
      return bad_input("expected corners as X,Y parted by blanks, found '" + corner + "'", "loss");
    corners.push_back({*x, *y});
  }
  return polygon_region("loss", corners, picture);
}

/// What lies in an odd number of the two.
Region odd_of(const Region& one, const Region& other) {
  Region both{one.name, std::min(one.y0, other.y0), {}};
  for (int y = both.y0; y < std::max(one.y1(), other.y1()); ++y) {
    std::vector<int> edges;
    for (const Region* region : {&one, &other})
      for (const Span& span : region->at(y)) edges.insert(edges.end(), {span.x0, span.x1});
    std::sort(edges.begin(), edges.end());
    std::vector<Span>& spans = both.rows.emplace_back();
    for (std::size_t i = 0; i + 1 < edges.size(); i += 2) {
      if (edges[i] == edges[i + 1]) continue;
      if (!spans.empty() && spans.back().x1 == edges[i])
        spans.back().x1 = edges[i + 1];
      else
        spans.push_back({edges[i], edges[i + 1]});
    }
  }
  return both;
}

Result<Region> loss_region(const FillWindowRequest& request, const InputPlace& place,
                           ImageSize picture) {
  const std::string& text = request.loss;
  const bool corners = !text.empty() && text.find_first_not_of("0123456789.,-; ") == text.npos;
  if (!corners) return region_from(text, "loss", picture, place);
  Region all{"loss", 0, {}};
  for (const std::string& polygon : parts_of(text, ';')) {
    auto one = polygon_of(polygon, picture);
    if (!one) return one;
    all = all.rows.empty() ? *std::move(one) : odd_of(all, *one);
  }
  if (all.empty()) return bad_input("the outline holds no pixel", "loss");
  return all;
}

Window window_around(const Region& loss, ImageSize picture) {
  int x0 = picture.width, x1 = 0, y0 = picture.height, y1 = 0;
  for (int y = loss.y0; y < loss.y1(); ++y)
    for (const Span& span : loss.at(y)) {
      x0 = std::min(x0, span.x0);
      x1 = std::max(x1, span.x1);
      y0 = std::min(y0, y);
      y1 = std::max(y1, y + 1);
    }
  const int margin = std::max({x1 - x0, y1 - y0, 40}) / 2;
  x0 = std::max(0, x0 - margin);
  y0 = std::max(0, y0 - margin);
  x1 = std::min(picture.width, x1 + margin);
  y1 = std::min(picture.height, y1 + margin);
  return {x0, y0, {x1 - x0, y1 - y0}};
}

/// As an eye used to that light sees it on the display's D50.
Lab on_display(const Lab& lab, const Xyz& white) {
  return xyz_to_lab(adapt(lab_to_xyz(lab, white), white, image_white), image_white);
}

struct Widths {
  double feather = 1, from = 4, to = 40, grain = 8;
};

Widths widths_of(const PhotographFacts& facts) {
  if (!facts.pixels_per_mm) return {};
  const double mm = *facts.pixels_per_mm;
  return {0.3 * mm, mm, 6 * mm, std::max(2.0, mm)};
}

Result<FillPaint> paint_of(const FillWindowRequest& request, const InputPlace& place, Photo& photo,
                           const Region& loss, std::vector<std::string>& warnings) {
  auto seen = viewing(request.viewing, {"D65"}, place);
  if (!seen) return seen.error();
  auto white = white_point(seen->lights.front(), seen->observer);
  if (!white) return white.error();
  const Widths widths = widths_of(photo.file().facts());
  auto ring = ring_region("around the loss", loss, widths.from, widths.to, photo.size());
  if (!ring) return ring.error();
  GroundOptions options;
  options.grain_px = std::max(1.0, widths.grain / 2);
  std::optional<Lab> read;
  if (request.sheet_lab) read = on_display(*request.sheet_lab, *white);
  auto ground = paper_around(photo.rows(), *ring, options, read, warnings);
  if (!ground) return in_file(ground.error(), request.photo.file);
  FillPaint paint;
  paint.sheet = ground->ground.median;
  paint.base = on_display(*request.lab, *white);
  if (request.sheet_lab) {
    const Lab sheet = on_display(*request.sheet_lab, *white);
    paint.base = {paint.sheet.L + paint.base.L - sheet.L, paint.sheet.a + paint.base.a - sheet.a,
                  paint.sheet.b + paint.base.b - sheet.b};
  }
  paint.feather_px = widths.feather;
  paint.grain_px = widths.grain;
  return paint;
}

}  // namespace

Result<FillWindow> fill_window(const FillWindowRequest& request, const InputPlace& place) {
  if (request.most_px < 16 || request.most_px > 4096)
    return bad_request("16 to 4096 pixels", "max_px");
  auto photo = Photo::open(request.photo, place);
  if (!photo) return photo.error();
  auto loss = loss_region(request, place, photo->size());
  if (!loss) return loss.error();
  FillWindow window;
  window.place = window_around(*loss, photo->size());
  const int longer = std::max(window.place.size.width, window.place.size.height);
  window.factor = (longer + request.most_px - 1) / request.most_px;
  if (!request.lab) {
    auto picture = reduced(photo->rows(), window.place, window.factor);
    if (!picture) return in_file(picture.error(), request.photo.file);
    window.picture = *std::move(picture);
    return window;
  }
  if (!photo->rows().transform().writable())
    return bad_input(
        "the photograph's profile leads from pixels to colours only, not back; save it as RGB in a "
        "working space first",
        request.photo.file);
  auto paint = paint_of(request, place, *photo, *loss, window.warnings);
  if (!paint) return paint.error();
  auto painter = FillPainter::plan(*loss, *paint, photo->rows().transform(), photo->size());
  if (!painter) return painter.error();
  PaintedRows painted(photo->rows(), *painter);
  auto picture = reduced(painted, window.place, window.factor);
  if (!picture) return in_file(picture.error(), request.photo.file);
  window.picture = *std::move(picture);
  return window;
}

}  // namespace mendtone::app
