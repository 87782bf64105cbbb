#include "mendtone/materials/tissue.hpp"

#include <cassert>

namespace mendtone {

std::vector<Slab> stacked(const Ply& ply, int plies) {
  assert(plies >= 0);
  std::vector<Slab> slabs(ply.K.size());
  for (std::size_t i = 0; i < slabs.size(); ++i)
    slabs[i] = layer(plies * ply.K[i], plies * ply.S[i]);
  return slabs;
}

}  // namespace mendtone
