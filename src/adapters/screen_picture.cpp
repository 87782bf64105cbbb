#include "mendtone/adapters/screen_picture.hpp"

#include <lcms2.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "adapters/picture_writers.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone {

struct ScreenPixels::Plan {
  std::array<float, 9> to_light{};  ///< X, Y, Z relative to D50 to linear R, G, B
  std::vector<std::uint8_t> code;   ///< of light from 0 to 1 in equal steps
};

namespace {

constexpr std::size_t steps = 1u << 16;  // the curve is steep near black

/// Columns are the colorants; rows are divided by the white.
std::array<double, 9> colorants(cmsHPROFILE profile) {
  std::array<double, 9> matrix{};
  const cmsTagSignature tags[] = {cmsSigRedColorantTag, cmsSigGreenColorantTag,
                                  cmsSigBlueColorantTag};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto* xyz = static_cast<const cmsCIEXYZ*>(cmsReadTag(profile, tags[i]));
    if (!xyz) return {};
    matrix[i] = 100 * xyz->X / image_white.X;
    matrix[3 + i] = 100 * xyz->Y / image_white.Y;
    matrix[6 + i] = 100 * xyz->Z / image_white.Z;
  }
  return matrix;
}

std::array<float, 9> inverse(const std::array<double, 9>& m) {
  const double minors[9] = {
      m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
      m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
      m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]};
  const double determinant = m[0] * minors[0] + m[1] * minors[3] + m[2] * minors[6];
  std::array<float, 9> inverted{};
  for (std::size_t i = 0; i < 9; ++i) inverted[i] = static_cast<float>(minors[i] / determinant);
  return inverted;
}

}  // namespace

Result<ScreenPixels> ScreenPixels::open() {
  cmsHPROFILE profile = cmsCreate_sRGBProfile();
  const auto* curve = static_cast<cmsToneCurve*>(cmsReadTag(profile, cmsSigRedTRCTag));
  cmsToneCurve* back = curve ? cmsReverseToneCurve(curve) : nullptr;
  auto plan = std::make_shared<Plan>();
  plan->to_light = inverse(colorants(profile));
  plan->code.resize(steps);
  for (std::size_t i = 0; back && i < steps; ++i) {
    const float light = static_cast<float>(i) / static_cast<float>(steps - 1);
    const float code = 255 * std::clamp(cmsEvalToneCurveFloat(back, light), 0.0f, 1.0f);
    plan->code[i] = static_cast<std::uint8_t>(std::lround(code));
  }
  const bool sound = back && std::isfinite(plan->to_light[0]);
  if (back) cmsFreeToneCurve(back);
  cmsCloseProfile(profile);
  if (!sound) return outside_world("LittleCMS cannot make its own sRGB profile");
  ScreenPixels pixels;
  pixels.plan_ = std::move(plan);
  return pixels;
}

void ScreenPixels::convert(float* L, float* a, float* b, std::size_t count,
                           std::uint8_t* rgb) const {
  lab_to_relative_xyz(L, a, b, count);
  const float* m = plan_->to_light.data();
  const std::uint8_t* code = plan_->code.data();
  for (std::size_t i = 0; i < count; ++i)
    for (std::size_t c = 0; c < 3; ++c) {
      const float light = m[3 * c] * L[i] + m[3 * c + 1] * a[i] + m[3 * c + 2] * b[i];
      // The comparison also brings what is not a number to black.
      const float cut = light > 0 ? std::min(light, 1.0f) : 0.0f;
      rgb[3 * i + c] = code[static_cast<std::size_t>(cut * (steps - 1) + 0.5f)];
    }
}

Result<std::string> screen_png(const std::uint8_t* rgb, ImageSize size) {
  std::string bytes;
  const auto sink = [&bytes](const void* more, std::size_t count) {
    bytes.append(static_cast<const char*>(more), count);
    return true;
  };
  PictureTags tags;
  tags.srgb = true;
  const auto writer = png_writer(sink, size, 3, 8, tags, 3);
  if (!writer || !writer->rows(rgb, size.height) || !writer->finish())
    return outside_world("a picture for the screen could not be made");
  return bytes;
}

}  // namespace mendtone
