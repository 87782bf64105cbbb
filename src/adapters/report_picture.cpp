#include <cairo.h>

#include <algorithm>
#include <cmath>

#include "mendtone/adapters/photograph.hpp"
#include "mendtone/adapters/screen_colour.hpp"

namespace mendtone {
namespace {

// White of D50, 2 degrees, as the profile connection space has it.
constexpr Xyz d50{96.42, 100, 82.49};

cairo_status_t append(void* closure, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

struct Sum {
  double L = 0, a = 0, b = 0, n = 0;
};

std::string as_png(const std::vector<Sum>& sums, int width, int height,
                   const ScreenColours& colours) {
  cairo_surface_t* surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  unsigned char* data = cairo_image_surface_get_data(surface);
  const int stride = cairo_image_surface_get_stride(surface);
  for (int y = 0; y < height; ++y) {
    auto* row = reinterpret_cast<std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * stride);
    for (int x = 0; x < width; ++x) {
      const Sum& s = sums[static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                          static_cast<std::size_t>(x)];
      const double n = std::max(1.0, s.n);
      const report::ScreenColour c = colours.of({s.L / n, s.a / n, s.b / n}, d50);
      row[x] = static_cast<std::uint32_t>(c.r) << 16 | static_cast<std::uint32_t>(c.g) << 8 | c.b;
    }
  }
  cairo_surface_mark_dirty(surface);
  std::string png;
  cairo_surface_write_to_png_stream(surface, append, &png);
  cairo_surface_destroy(surface);
  return png;
}

}  // namespace

Result<ReportPicture> report_picture(const std::string& path, int most_px) {
  auto photograph = MENDTONE_TRY(Photograph::open(path, {{}, 0, true}));
  auto colours = MENDTONE_TRY(ScreenColours::open());
  const ImageSize size = photograph->size();
  ReportPicture picture;
  if (photograph->facts().profile_from == declared_srgb) picture.mark = declared_srgb;
  picture.shrunk_by =
      std::max(1.0, static_cast<double>(std::max(size.width, size.height)) / most_px);
  picture.width_px = std::max(1, static_cast<int>(std::floor(size.width / picture.shrunk_by)));
  picture.height_px = std::max(1, static_cast<int>(std::floor(size.height / picture.shrunk_by)));
  std::vector<Sum> sums(static_cast<std::size_t>(picture.width_px) *
                        static_cast<std::size_t>(picture.height_px));
  CodedRows rows;
  LabPixels lab;
  constexpr int rows_at_once = 64;
  for (int y0 = 0; y0 < size.height; y0 += rows_at_once) {
    const int y1 = std::min(size.height, y0 + rows_at_once);
    MENDTONE_TRY(photograph->read(y0, y1, rows));
    to_lab(photograph->transform(), rows, lab);
    std::size_t i = 0;
    for (int y = y0; y < y1; ++y) {
      const int to_y = std::min(picture.height_px - 1, static_cast<int>(y / picture.shrunk_by));
      for (int x = 0; x < size.width; ++x, ++i) {
        const int to_x = std::min(picture.width_px - 1, static_cast<int>(x / picture.shrunk_by));
        Sum& sum =
            sums[static_cast<std::size_t>(to_y) * static_cast<std::size_t>(picture.width_px) +
                 static_cast<std::size_t>(to_x)];
        sum.L += lab.L[i];
        sum.a += lab.a[i];
        sum.b += lab.b[i];
        ++sum.n;
      }
    }
  }
  picture.png = as_png(sums, picture.width_px, picture.height_px, colours);
  return picture;
}

}  // namespace mendtone
