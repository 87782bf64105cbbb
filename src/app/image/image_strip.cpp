#include "app/image/image_strip.hpp"

#include <algorithm>
#include <cmath>

#include "mendtone/adapters/lettering.hpp"
#include "mendtone/adapters/picture_file.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

constexpr int tile = 300, gap = 20, text_px = 17, line = 21;

struct Crop {
  int x0 = 0, y0 = 0, width = 0, height = 0;
};

/// The loss with half its own size around it.
Crop crop_of(const Region& loss, ImageSize picture) {
  int x0 = picture.width, x1 = 0;
  for (const auto& row : loss.rows)
    if (!row.empty()) {
      x0 = std::min(x0, row.front().x0);
      x1 = std::max(x1, row.back().x1);
    }
  int y0 = loss.y0, y1 = loss.y1();
  while (y0 < y1 && loss.at(y0).empty()) ++y0;
  while (y1 > y0 && loss.at(y1 - 1).empty()) --y1;
  const int side = std::max({x1 - x0, y1 - y0, 8}), around = side / 2;
  Crop crop{std::max(0, (x0 + x1) / 2 - side / 2 - around),
            std::max(0, (y0 + y1) / 2 - side / 2 - around), 0, 0};
  crop.width = std::min(picture.width - crop.x0, side + 2 * around);
  crop.height = std::min(picture.height - crop.y0, side + 2 * around);
  return crop;
}

/// One tile: the crop with its fill, as many pixels each way as fit (whole steps up or down).
void put(Picture& strip, const std::vector<std::uint16_t>& codes, const Crop& crop, int left,
         int top, double step) {
  for (int y = 0; y < tile; ++y)
    for (int x = 0; x < tile; ++x) {
      const int sx = static_cast<int>(x * step), sy = static_cast<int>(y * step);
      if (sx >= crop.width || sy >= crop.height) continue;
      // A mean of what lies under the point, where the crop is made smaller.
      const int ex = std::max(sx + 1, std::min(crop.width, static_cast<int>((x + 1) * step))),
                ey = std::max(sy + 1, std::min(crop.height, static_cast<int>((y + 1) * step)));
      for (int c = 0; c < 3; ++c) {
        double sum = 0;
        for (int v = sy; v < ey; ++v)
          for (int u = sx; u < ex; ++u)
            sum += codes[3 * (static_cast<std::size_t>(v) * static_cast<std::size_t>(crop.width) +
                              static_cast<std::size_t>(u)) +
                         static_cast<std::size_t>(c)];
        strip.at(left + x, top + y)[c] =
            static_cast<std::uint16_t>(std::lround(sum / ((ex - sx) * (ey - sy))));
      }
    }
}

std::vector<std::string> lines_of(const PreviewedFill& fill, const ReportFonts& fonts) {
  std::vector<std::string> lines =
      broken(std::to_string(fill.rank) + "  " + fill.name, text_px, tile, fonts);
  if (lines.size() > 3) lines.resize(3);
  lines.push_back("\u0394E00 " + fixed(fill.de00, 2) + "   \u0394L* " + fixed_signed(fill.dL, 1) +
                  "  \u0394a* " + fixed_signed(fill.da, 1) + "  \u0394b* " +
                  fixed_signed(fill.db, 1));
  return lines;
}

/// The crop's codes as 16 bits, the fill painted in.
Result<std::vector<std::uint16_t>> painted(Photo& photo, const Region& loss, FillPaint paint,
                                           const Crop& crop, PreviewedFill& fill) {
  paint.base = fill.lab;
  if (const auto& shift = fill.overlap_shift)
    paint.overlap_shift = {shift->dL, shift->da, shift->db};
  if (!fill.overlap_shift) paint.overlap_px = 0;
  auto painter = FillPainter::plan(loss, paint, photo.rows().transform(), photo.size());
  if (!painter) return painter.error();
  const bool counted = fill.painted_pixels > 0;  // by the picture at full size
  Painted count;
  std::vector<std::uint16_t> codes;
  CodedRows rows;
  for (int y = crop.y0; y < crop.y0 + crop.height; ++y) {
    if (auto read = photo.rows().read(y, y + 1, rows); !read) return read.error();
    if (rows.u16.empty())
      for (const float value : rows.f32)
        rows.u16.push_back(static_cast<std::uint16_t>(std::lround(value * 65535.0f)));
    painter->paint(y, rows.u16.data(), count);
    const auto first = rows.u16.begin() + 3 * static_cast<std::ptrdiff_t>(crop.x0);
    codes.insert(codes.end(), first, first + 3 * static_cast<std::ptrdiff_t>(crop.width));
  }
  if (!counted) {
    fill.painted_pixels = count.pixels;
    fill.out_of_gamut_pixels = count.out_of_gamut;
  }
  return codes;
}

}  // namespace

Result<void> write_strip(Photo& photo, const Region& loss, const FillPaint& paint,
                         double pixels_per_mm, ImagePreviewAnswer& answer,
                         const std::string& path) {
  auto fonts = ReportFonts::open();
  if (!fonts) return fonts.error();
  const Crop crop = crop_of(loss, photo.size());
  const double step = std::max(crop.width, crop.height) / static_cast<double>(tile);
  std::vector<PreviewedFill*> fills;
  for (PreviewedFill& fill : answer.fills) fills.push_back(&fill);
  std::sort(fills.begin(), fills.end(),
            [](const PreviewedFill* p, const PreviewedFill* q) { return p->rank < q->rank; });
  std::size_t most_lines = 0;
  for (const PreviewedFill* fill : fills)
    most_lines = std::max(most_lines, lines_of(*fill, **fonts).size());
  const int count = static_cast<int>(fills.size());
  const int width = std::max(gap + count * (tile + gap), 2 * (tile + gap) + gap);
  const std::string note =
      answer.light.empty()
          ? "Predicted, not photographed. The colour as given, D50, 2\u00b0 observer."
          : "Predicted, not photographed. Differences under " + answer.light + ", " +
                std::to_string(answer.observer_deg.value_or(10)) +
                "\u00b0 observer, adapted to the display and added to the paper around the loss.";
  const auto notes = broken(note, text_px, width - 2.0 * gap, **fonts);
  const int text_top = gap + tile + 14,
            bar_top = text_top + static_cast<int>(most_lines) * line + 12, notes_top = bar_top + 24;
  Picture strip({width, notes_top + static_cast<int>(notes.size()) * line + gap},
                {65535, 65535, 65535});
  std::vector<Label> labels;
  for (int i = 0; i < count; ++i) {
    auto codes = painted(photo, loss, paint, crop, *fills[static_cast<std::size_t>(i)]);
    if (!codes) return codes.error();
    const int left = gap + i * (tile + gap);
    put(strip, *codes, crop, left, gap, step);
    const auto lines = lines_of(*fills[static_cast<std::size_t>(i)], **fonts);
    for (std::size_t k = 0; k < lines.size(); ++k)
      labels.push_back(
          {double(left), text_top + 6 + double(line) * static_cast<double>(k), lines[k], text_px});
  }
  double bar_mm = 1;
  while (bar_mm * 2 * pixels_per_mm / step < tile / 2.0) bar_mm *= bar_mm == 2 ? 2.5 : 2;
  const int bar = static_cast<int>(std::lround(bar_mm * pixels_per_mm / step));
  for (int y = bar_top; y < bar_top + 4; ++y)
    for (int x = gap; x < std::min(gap + bar, width - gap); ++x)
      std::fill_n(strip.at(x, y), 3, std::uint16_t{8000});
  labels.push_back({gap + bar + 8.0, bar_top + 2.0, shortest(bar_mm) + " mm", text_px});
  for (std::size_t k = 0; k < notes.size(); ++k)
    labels.push_back(
        {double(gap), notes_top + 8 + double(line) * static_cast<double>(k), notes[k], text_px});
  draw(strip, labels, **fonts);
  return write_picture(path, strip, {photo.file().profile().bytes, {}, "Preview of fills"});
}

}  // namespace mendtone::app
