#include <algorithm>
#include <cmath>

#include "adapters/encoded.hpp"
#include "mendtone/adapters/photograph.hpp"
#include "mendtone/adapters/screen_colour.hpp"

namespace mendtone {
namespace {

struct Sum {
  double L = 0, a = 0, b = 0, n = 0;
};

ByteImage as_bytes(const std::vector<Sum>& sums, int width, int height,
                   const ScreenColours& colours) {
  std::vector<Lab> pixels;
  pixels.reserve(sums.size());
  for (const Sum& s : sums) {
    const double n = std::max(1.0, s.n);
    pixels.push_back({s.L / n, s.a / n, s.b / n});
  }
  return {width, height, colours.of_picture(pixels)};
}

bool is_inside(const PicturePart& part, const ImageSize& size) {
  return part.left >= 0 && part.top >= 0 && part.width > 0 && part.height > 0 &&
         part.width <= size.width - part.left && part.height <= size.height - part.top;
}

}  // namespace

Result<ReportPicture> report_picture(const std::string& path, int most_px, Encoding encoding,
                                     const std::optional<PicturePart>& wanted) {
  auto photograph = MENDTONE_TRY(Photograph::open(path, {{}, 0, true}));
  auto colours = MENDTONE_TRY(ScreenColours::open());
  const ImageSize size = photograph->size();
  const PicturePart part = wanted.value_or(PicturePart{0, 0, size.width, size.height});
  if (!is_inside(part, size))
    return bad_input("the picture is smaller than when its parts were noted", path);
  ReportPicture picture;
  if (photograph->facts().profile_from == declared_srgb) picture.mark = declared_srgb;
  picture.shrunk_by =
      std::max(1.0, static_cast<double>(std::max(part.width, part.height)) / most_px);
  picture.width_px = std::max(1, static_cast<int>(std::floor(part.width / picture.shrunk_by)));
  picture.height_px = std::max(1, static_cast<int>(std::floor(part.height / picture.shrunk_by)));
  std::vector<Sum> sums(static_cast<std::size_t>(picture.width_px) *
                        static_cast<std::size_t>(picture.height_px));
  const auto small = [&](int at, int most) {
    return static_cast<std::size_t>(std::min(most - 1, static_cast<int>(at / picture.shrunk_by)));
  };
  CodedRows rows;
  LabPixels lab;
  constexpr int rows_at_once = 64;
  for (int y0 = part.top; y0 < part.top + part.height; y0 += rows_at_once) {
    const int y1 = std::min(part.top + part.height, y0 + rows_at_once);
    MENDTONE_TRY(photograph->read(y0, y1, rows));
    to_lab(photograph->transform(), rows, lab);
    for (int y = y0; y < y1; ++y) {
      const std::size_t line =
          static_cast<std::size_t>(y - y0) * static_cast<std::size_t>(size.width);
      Sum* const to = sums.data() + small(y - part.top, picture.height_px) *
                                        static_cast<std::size_t>(picture.width_px);
      for (int x = 0; x < part.width; ++x) {
        const std::size_t i = line + static_cast<std::size_t>(part.left + x);
        Sum& sum = to[small(x, picture.width_px)];
        sum.L += lab.L[i];
        sum.a += lab.a[i];
        sum.b += lab.b[i];
        ++sum.n;
      }
    }
  }
  const ByteImage image = as_bytes(sums, picture.width_px, picture.height_px, colours);
  picture.bytes =
      MENDTONE_TRY(encoding == Encoding::photograph ? to_jpeg(image) : to_indexed_png(image));
  return picture;
}

}  // namespace mendtone
