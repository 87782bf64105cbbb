#include "mendtone/imaging/reduced.hpp"

#include <algorithm>

#include "mendtone/imaging/planar.hpp"

namespace mendtone {
namespace {

constexpr std::size_t most_pixels = 100'000'000;

int parts(int whole, int part) {
  return whole / part + (whole % part != 0 ? 1 : 0);
}

Result<void> check(const Window& w, int factor, ImageSize picture) {
  if (factor < 1) return bad_request("a picture is made 1 or more times smaller");
  if (w.x0 < 0 || w.y0 < 0 || w.size.width < 1 || w.size.height < 1 ||
      w.size.width > picture.width - w.x0 || w.size.height > picture.height - w.y0)
    return bad_request("the window is empty or leaves the picture of " +
                       std::to_string(picture.width) + " x " + std::to_string(picture.height) +
                       " pixels");
  return {};
}

/// Adds each run of `factor` values to one sum.
void add_runs(const std::vector<float>& values, std::size_t factor, float* sums) {
  for (std::size_t i = 0; i < values.size(); ++sums)
    for (const std::size_t end = std::min(values.size(), i + factor); i < end; ++i)
      *sums += values[i];
}

}  // namespace

Result<LabPicture> reduced(RowReader& picture, const Window& window, int factor) {
  MENDTONE_TRY(check(window, factor, picture.size()));
  LabPicture small;
  small.size = {parts(window.size.width, factor), parts(window.size.height, factor)};
  if (small.size.pixels() > most_pixels)
    return bad_request("more than 100 megapixels would remain; make the picture smaller");
  small.lab.resize(small.size.pixels());
  const auto n = static_cast<std::size_t>(window.size.width);
  const auto step = static_cast<std::size_t>(factor);
  // Several rows a reading, for the file's sake; whole groups of them, for ours.
  const int at_once = std::max(1, 32 / factor) * factor;
  CodedRows rows;
  LabPixels light;
  light.resize(n);
  const int end = window.y0 + window.size.height;
  for (int y0 = window.y0; y0 < end; y0 += at_once) {
    const int y1 = std::min(end, y0 + at_once);
    MENDTONE_TRY(picture.read(y0, y1, rows));
    for (int y = y0; y < y1; ++y) {
      picture.transform().to_lab(rows.row(y).part(static_cast<std::size_t>(window.x0), n),
                                 light.L.data(), light.a.data(), light.b.data());
      if (factor > 1) lab_to_relative_xyz(light.L.data(), light.a.data(), light.b.data(), n);
      const std::size_t to = static_cast<std::size_t>((y - window.y0) / factor) *
                             static_cast<std::size_t>(small.size.width);
      add_runs(light.L, step, &small.lab.L[to]);
      add_runs(light.a, step, &small.lab.a[to]);
      add_runs(light.b, step, &small.lab.b[to]);
    }
  }
  if (factor == 1) return small;
  for (int y = 0; y < small.size.height; ++y) {
    const int high = std::min(factor, window.size.height - y * factor);
    for (int x = 0; x < small.size.width; ++x) {
      const int wide = std::min(factor, window.size.width - x * factor);
      const float share = 1 / (static_cast<float>(high) * static_cast<float>(wide));
      const std::size_t i =
          static_cast<std::size_t>(y) * static_cast<std::size_t>(small.size.width) +
          static_cast<std::size_t>(x);
      small.lab.L[i] *= share;
      small.lab.a[i] *= share;
      small.lab.b[i] *= share;
    }
  }
  relative_xyz_to_lab(small.lab.L.data(), small.lab.a.data(), small.lab.b.data(),
                      small.size.pixels());
  return small;
}

}  // namespace mendtone
