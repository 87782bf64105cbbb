#pragma once
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"

// Small pictures as bytes of a file, for reports.
namespace mendtone {

/// Three bytes a pixel, row by row, sRGB.
struct ByteImage {
  int width = 0, height = 0;
  std::vector<std::uint8_t> rgb;
};

bool is_jpeg(std::string_view bytes);

/// JPEG (ITU-T T.81), quality 88 of 100, colour at half the resolution.
Result<std::string> to_jpeg(const ByteImage& image);
Result<ByteImage> from_jpeg(std::string_view bytes);

/// PNG with a palette. Where there are more than 256 colours, each channel is rounded until there
/// are not: to 6 bits, to 5, to 4 …
Result<std::string> to_indexed_png(const ByteImage& image);

}  // namespace mendtone
