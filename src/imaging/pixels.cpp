#include "mendtone/imaging/pixels.hpp"

#include <cassert>

namespace mendtone {

CodedSpan CodedSpan::part(std::size_t first, std::size_t n) const {
  assert(first + n <= count);
  const std::size_t skip = first * static_cast<std::size_t>(channels);
  return {u16 ? u16 + skip : nullptr, f32 ? f32 + skip : nullptr, n, channels};
}

CodedSpan CodedRows::span() const {
  const std::size_t count = static_cast<std::size_t>(width) * static_cast<std::size_t>(y1 - y0);
  return {u16.empty() ? nullptr : u16.data(), f32.empty() ? nullptr : f32.data(), count, channels};
}

CodedSpan CodedRows::row(int y) const {
  assert(y0 <= y && y < y1);
  const auto w = static_cast<std::size_t>(width);
  return span().part(static_cast<std::size_t>(y - y0) * w, w);
}

void LabPixels::resize(std::size_t n) {
  L.resize(n);
  a.resize(n);
  b.resize(n);
}

void to_lab(const PixelTransform& transform, const CodedRows& rows, LabPixels& lab) {
  const CodedSpan span = rows.span();
  lab.resize(span.count);
  transform.to_lab(span, lab.L.data(), lab.a.data(), lab.b.data());
}

}  // namespace mendtone
