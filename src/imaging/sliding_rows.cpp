#include "imaging/sliding_rows.hpp"

#include <algorithm>
#include <cstddef>

namespace mendtone {
namespace {

/// Drops the rows before y0 and appends `fresh`.
template <class T>
void slide(std::vector<T>& held, std::size_t drop, const std::vector<T>& fresh) {
  held.erase(held.begin(), held.begin() + static_cast<std::ptrdiff_t>(drop));
  held.insert(held.end(), fresh.begin(), fresh.end());
}

}  // namespace

Result<void> SlidingRows::fetch(int y0, int y1, CodedRows& out) {
  const bool overlaps = y0 >= held_.y0 && y0 < held_.y1;
  if (!overlaps) {
    if (auto read = reader_.read(y0, y1, held_); !read) return read;
  } else if (y1 > held_.y1) {
    if (auto read = reader_.read(held_.y1, y1, fresh_); !read) return read;
    const std::size_t drop = static_cast<std::size_t>(y0 - held_.y0) *
                             static_cast<std::size_t>(held_.width * held_.channels);
    if (held_.u16.empty())
      slide(held_.f32, drop, fresh_.f32);
    else
      slide(held_.u16, drop, fresh_.u16);
    held_.y0 = y0;
    held_.y1 = y1;
  }
  const CodedSpan span = held_.span();
  const auto row = static_cast<std::size_t>(held_.width * held_.channels);
  const std::size_t first = static_cast<std::size_t>(y0 - held_.y0) * row,
                    count = static_cast<std::size_t>(y1 - y0) * row;
  out.width = held_.width;
  out.channels = held_.channels;
  out.y0 = y0;
  out.y1 = y1;
  out.u16.clear();
  out.f32.clear();
  if (span.u16)
    out.u16.assign(span.u16 + first, span.u16 + first + count);
  else
    out.f32.assign(span.f32 + first, span.f32 + first + count);
  return {};
}

}  // namespace mendtone
