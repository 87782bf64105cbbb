#pragma once
#include <array>
#include <cstdint>
#include <vector>

#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// A picture that the program makes: 16-bit RGB, interleaved.
struct Picture {
  ImageSize size;
  std::vector<std::uint16_t> rgb;

  Picture() = default;
  Picture(ImageSize size_in, std::array<std::uint16_t, 3> fill);
  std::uint16_t* at(int x, int y) {
    return rgb.data() + 3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(size.width) +
                             static_cast<std::size_t>(x));
  }
  const std::uint16_t* at(int x, int y) const { return const_cast<Picture*>(this)->at(x, y); }
};

}  // namespace mendtone
