#include "mendtone/imaging/picture.hpp"

namespace mendtone {

Picture::Picture(ImageSize size_in, std::array<std::uint16_t, 3> fill)
    : size(size_in), rgb(3 * size_in.pixels()) {
  for (std::size_t i = 0; i < rgb.size(); ++i) rgb[i] = fill[i % 3];
}

}  // namespace mendtone
