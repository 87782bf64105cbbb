#include "mendtone/adapters/screen_colour.hpp"

#include <lcms2.h>

#include <algorithm>
#include <cmath>

namespace mendtone {

struct ScreenColours::State {
  cmsHTRANSFORM transform = nullptr;
  ~State() {
    if (transform) cmsDeleteTransform(transform);
  }
};

ScreenColours::ScreenColours(std::unique_ptr<State> state) : state_(std::move(state)) {}
ScreenColours::~ScreenColours() = default;
ScreenColours::ScreenColours(ScreenColours&&) noexcept = default;
ScreenColours& ScreenColours::operator=(ScreenColours&&) noexcept = default;

Result<ScreenColours> ScreenColours::open() {
  cmsHPROFILE lab = cmsCreateLab4Profile(nullptr);
  cmsHPROFILE srgb = cmsCreate_sRGBProfile();
  auto state = std::make_unique<State>();
  // Floating point keeps values beyond 0 and 1, which is how a colour outside is known.
  state->transform = cmsCreateTransform(lab, TYPE_Lab_DBL, srgb, TYPE_RGB_DBL,
                                        INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOCACHE);
  cmsCloseProfile(lab);
  cmsCloseProfile(srgb);
  if (!state->transform) return outside_world("LittleCMS cannot make its own sRGB profile");
  return ScreenColours(std::move(state));
}

report::ScreenColour ScreenColours::of(const Lab& lab, const Xyz& white) const {
  const Xyz xyz = lab_to_xyz(lab, white);
  const cmsCIEXYZ from{white.X / 100, white.Y / 100, white.Z / 100};
  const cmsCIEXYZ seen{xyz.X / 100, xyz.Y / 100, xyz.Z / 100};
  cmsCIEXYZ adapted;
  cmsAdaptToIlluminant(&adapted, &from, cmsD50_XYZ(), &seen);
  cmsCIELab under_d50;
  cmsXYZ2Lab(cmsD50_XYZ(), &under_d50, &adapted);
  double rgb[3];
  cmsDoTransform(state_->transform, &under_d50, rgb, 1);
  report::ScreenColour colour;
  std::uint8_t* parts[] = {&colour.r, &colour.g, &colour.b};
  for (int i = 0; i < 3; ++i) {
    constexpr double half_a_step = 0.5 / 255;
    colour.outside = colour.outside || rgb[i] < -half_a_step || rgb[i] > 1 + half_a_step;
    *parts[i] = static_cast<std::uint8_t>(std::lround(255 * std::clamp(rgb[i], 0.0, 1.0)));
  }
  return colour;
}

std::vector<std::uint8_t> ScreenColours::of_picture(const std::vector<Lab>& pixels) const {
  static_assert(sizeof(Lab) == 3 * sizeof(double));
  std::vector<std::uint8_t> bytes;
  bytes.reserve(3 * pixels.size());
  std::vector<double> rgb;
  constexpr std::size_t at_once = 4096;
  for (std::size_t first = 0; first < pixels.size(); first += at_once) {
    const std::size_t count = std::min(at_once, pixels.size() - first);
    rgb.resize(3 * count);
    cmsDoTransform(state_->transform, &pixels[first], rgb.data(),
                   static_cast<cmsUInt32Number>(count));
    for (const double value : rgb)
      bytes.push_back(static_cast<std::uint8_t>(255 * std::clamp(value, 0.0, 1.0) + 0.5));
  }
  return bytes;
}

}  // namespace mendtone
