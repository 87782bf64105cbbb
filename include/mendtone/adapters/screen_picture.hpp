#pragma once
#include <cstdint>
#include <memory>
#include <string>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// CIELAB pixels (D50, 2 degrees) to 8-bit sRGB, for looking at, not for measuring: through the
/// matrix and the curve of the ICC profile, within one code of LittleCMS itself. Colours outside
/// are cut to it channel by channel. Shared read-only by threads. Ref: icc1, iec61966-2-1
class ScreenPixels {
 public:
  static Result<ScreenPixels> open();
  /// Writes 3 * `count` codes. `L`, `a`, `b` are used up.
  void convert(float* L, float* a, float* b, std::size_t count, std::uint8_t* rgb) const;

 private:
  struct Plan;
  std::shared_ptr<const Plan> plan_;
};

/// 8-bit RGB, interleaved, as PNG with an sRGB mark.
Result<std::string> screen_png(const std::uint8_t* rgb, ImageSize size);

}  // namespace mendtone
