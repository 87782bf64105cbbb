#pragma once
#include <cstddef>
#include <cstdint>
#include <vector>

#include "mendtone/base/result.hpp"

namespace mendtone {

/// In pixels; x to the right, y downwards, (0, 0) the first pixel of the file.
struct ImageSize {
  int width = 0, height = 0;
  std::size_t pixels() const {
    return static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
  }
  bool operator==(const ImageSize&) const = default;
};

/// A run of encoded colour pixels, interleaved: either 16-bit (0 … 65535) or float (0 … 1).
struct CodedSpan {
  const std::uint16_t* u16 = nullptr;
  const float* f32 = nullptr;  ///< used when `u16` is null
  std::size_t count = 0;       ///< pixels
  int channels = 3;            ///< 1 or 3

  CodedSpan part(std::size_t first, std::size_t n) const;
};

/// Whole rows of a photograph as its file encodes them, 8-bit files widened to 16 without loss.
struct CodedRows {
  int width = 0, channels = 3;
  int y0 = 0, y1 = 0;              ///< rows y0 <= y < y1
  std::vector<std::uint16_t> u16;  ///< one of the two is filled
  std::vector<float> f32;

  CodedSpan span() const;
  CodedSpan row(int y) const;
};

/// CIELAB pixels, planar; D50, 2 degrees, always.
struct LabPixels {
  std::vector<float> L, a, b;

  std::size_t size() const { return L.size(); }
  void resize(std::size_t n);
};

/// What an ICC profile means, planned once and shared read-only by threads. Lab is D50/2 degrees,
/// absolute colorimetric: the paper's own yellow stays.
class PixelTransform {
 public:
  virtual ~PixelTransform() = default;
  /// Writes `coded.count` values to each plane. Contract: channels as the profile has.
  virtual void to_lab(const CodedSpan& coded, float* L, float* a, float* b) const = 0;
  /// Whether `from_lab` is possible: some input profiles are one-way.
  virtual bool writable() const = 0;
  /// Encodes to 16 bits, interleaved. Returns how many pixels were out of the profile's gamut;
  /// those are cut to it channel by channel. Contract: `writable()`.
  virtual std::size_t from_lab(const float* L, const float* a, const float* b, std::size_t count,
                               std::uint16_t* coded) const = 0;
};

/// A photograph as a stream of rows, so that memory does not grow with the picture.
class RowReader {
 public:
  virtual ~RowReader() = default;
  virtual ImageSize size() const = 0;
  virtual const PixelTransform& transform() const = 0;
  /// Rows y0 <= y < y1 into `rows` (its storage is reused). Not for two threads at once. Cheapest
  /// in rising order. Refuses where the file ends early or holds values that are not numbers.
  virtual Result<void> read(int y0, int y1, CodedRows& rows) = 0;
};

/// `rows` to Lab; `lab` is resized.
void to_lab(const PixelTransform& transform, const CodedRows& rows, LabPixels& lab);

}  // namespace mendtone
