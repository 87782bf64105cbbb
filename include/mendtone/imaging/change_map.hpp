#pragma once
#include <vector>

#include "mendtone/imaging/change.hpp"

namespace mendtone {

/// The map at the size of a screen: each cell is the mean over `factor` x `factor` pixels.
class ChangeMap final : public ChangeSink {
 public:
  /// The smallest factor that keeps the map within `most_width` x `most_height` cells.
  ChangeMap(ImageSize picture, int most_width, int most_height);
  Result<void> take(const ChangeRows& rows) override;

  int factor() const { return factor_; }
  ImageSize cells() const { return cells_; }
  struct Cell {
    float de00 = 0, dL = 0, da = 0, db = 0;
    int pixels = 0;  ///< compared ones; 0: the after picture does not reach here
  };
  Cell at(int x, int y) const;
  /// The value that `share` of the covered cells do not exceed (of the magnitude, for the signed
  /// ones). 0 when nothing is covered.
  double percentile(double share, float Cell::*field) const;

 private:
  int factor_ = 1;
  ImageSize picture_, cells_;
  std::vector<Cell> sums_;
};

}  // namespace mendtone
