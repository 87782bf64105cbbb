#pragma once
#include <array>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/region.hpp"

namespace mendtone {

/// How one photograph of a sheet lies on another.
enum class Alignment { none, similarity, affine, projective };
std::string_view name_of(Alignment);

/// The same place in both photographs, in pixels.
struct PointPair {
  Point before, after;
};

/// Where a place of `before` lies in `after`: a 3 x 3 matrix, row-major, last element 1.
struct PlaneMap {
  std::array<double, 9> m{1, 0, 0, 0, 1, 0, 0, 0, 1};

  Point operator()(Point p) const;
  bool identity() const { return m == PlaneMap{}.m; }
};

struct Registration {
  PlaneMap after_from_before;
  Alignment alignment = Alignment::none;
  double residual_px = 0;  ///< root mean square, for the degrees of freedom used up
  double worst_px = 0;
  std::size_t pairs = 0, pairs_left_out = 0;
};

/// Least squares on distances in the after picture. Needs one pair more than the alignment has
/// unknowns to fill (3, 4, 5 pairs), so that there is a residual. Refuses fewer, and pairs that lie
/// on one line or in one place.
Result<Registration> register_pairs(const std::vector<PointPair>& pairs, Alignment alignment);

/// As above after leaving out, one at a time, pairs that stand off by more than three robust
/// deviations (and 0.25 px): places where the sheet itself has changed. Refuses when more than half
/// would go.
Result<Registration> register_robustly(std::vector<PointPair> pairs, Alignment alignment);

}  // namespace mendtone
