#pragma once
#include <span>
#include <vector>

#include "mendtone/materials/palette.hpp"

namespace mendtone {

/// What the colorants would absorb unscreened, and what all would scatter unquenched; `unfilled`:
/// the share of the ply's own S that is left.
struct Unscreened {
  std::vector<double> A, S;
  double unfilled = 1;
};
Unscreened unscreened(const Palette& palette, std::span<const double> loads);

/// A reading of a body over `below`, and its derivatives by one ply's K and S.
struct Response {
  std::vector<double> R, T, by_K, by_S, T_by_K, T_by_S;
};
Response response(const Palette& palette, const Body& body, int plies,
                  std::span<const double> below);

}  // namespace mendtone
