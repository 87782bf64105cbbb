#include "mendtone/adapters/mask_file.hpp"

#include <OpenImageIO/imageio.h>

#include <filesystem>
#include <opencv2/imgproc.hpp>

namespace mendtone {

namespace {

Result<std::unique_ptr<OIIO::ImageInput>> open_mask(const std::string& path) {
  if (!std::filesystem::exists(path)) return outside_world("cannot open the mask", path);
  auto input = OIIO::ImageInput::open(path);
  if (!input) return bad_input("the mask cannot be read: " + OIIO::geterror(), path);
  return input;
}

}  // namespace

Result<ImageSize> mask_size(const std::string& path) {
  auto input = MENDTONE_TRY(open_mask(path));
  const OIIO::ImageSpec& spec = input->spec();
  if (spec.get_int_attribute("Orientation", 1) != 1)
    return bad_input("the mask is stored turned or mirrored; save it upright", path);
  return ImageSize{spec.width, spec.height};
}

Result<Region> read_mask(const std::string& path, const std::string& name, ImageSize picture) {
  auto opened = MENDTONE_TRY(open_mask(path));
  OIIO::ImageInput* const input = opened.get();
  const OIIO::ImageSpec spec = input->spec();
  if (spec.width != picture.width || spec.height != picture.height)
    return bad_input("the mask has " + std::to_string(spec.width) + " x " +
                         std::to_string(spec.height) + " pixels, the photograph " +
                         std::to_string(picture.width) + " x " + std::to_string(picture.height),
                     path);
  if (spec.get_int_attribute("Orientation", 1) != 1)
    return bad_input("the mask is stored turned or mirrored; save it upright", path);
  Region region{name, 0, {}};
  const int at_once = spec.tile_width > 0 ? spec.tile_height : 64;
  std::vector<unsigned char> rows(static_cast<std::size_t>(spec.width) *
                                  static_cast<std::size_t>(at_once));
  for (int y = 0; y < spec.height; y += at_once) {
    const int end = std::min(spec.height, y + at_once);
    const bool whole =
        spec.tile_width > 0
            ? input->read_tiles(0, 0, spec.x, spec.x + spec.width, spec.y + y, spec.y + end, 0, 1,
                                0, 1, OIIO::TypeUInt8, rows.data())
            : input->read_scanlines(0, 0, spec.y + y, spec.y + end, 0, 0, 1, OIIO::TypeUInt8,
                                    rows.data());
    if (!whole)
      return bad_input("the mask ends early or is damaged (" + input->geterror() + ")", path);
    for (int r = 0; r < end - y; ++r) {
      const unsigned char* row = rows.data() + static_cast<std::ptrdiff_t>(r) * spec.width;
      region.rows.emplace_back();
      for (int x = 0; x < spec.width;) {
        while (x < spec.width && row[x] < 128) ++x;
        const int start = x;
        while (x < spec.width && row[x] >= 128) ++x;
        if (x > start) region.rows.back().push_back({start, x});
      }
    }
  }
  if (region.empty()) return bad_input("the mask holds no white pixel, so nothing is inside", path);
  return region;
}

Result<std::vector<Point>> mask_outline(const std::string& path) {
  auto opened = MENDTONE_TRY(open_mask(path));
  const OIIO::ImageSpec spec = opened->spec();
  const auto region = MENDTONE_TRY(read_mask(path, "", {spec.width, spec.height}));
  cv::Mat white = cv::Mat::zeros(spec.height, spec.width, CV_8U);
  for (std::size_t r = 0; r < region.rows.size(); ++r)
    for (const auto& run : region.rows[r])
      white.row(region.y0 + static_cast<int>(r)).colRange(run.x0, run.x1).setTo(255);
  std::vector<std::vector<cv::Point>> edges;
  cv::findContours(white, edges, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  const auto largest = std::max_element(
      edges.begin(), edges.end(),
      [](const auto& a, const auto& b) { return cv::contourArea(a) < cv::contourArea(b); });
  std::vector<cv::Point> corners;
  cv::approxPolyDP(*largest, corners, 1, true);
  std::vector<Point> outline;
  for (const cv::Point& corner : corners)
    outline.push_back({static_cast<double>(corner.x), static_cast<double>(corner.y)});
  return outline;
}

}  // namespace mendtone
