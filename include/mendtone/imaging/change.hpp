#pragma once
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"
#include "mendtone/imaging/region.hpp"
#include "mendtone/imaging/registration.hpp"

namespace mendtone {

/// Differences of some whole rows, after minus before; planar. Where the after picture does not
/// reach, `de00` is `not_covered` and the others are 0.
struct ChangeRows {
  static constexpr float not_covered = -1;
  int width = 0, y0 = 0, y1 = 0;
  std::vector<float> de00, dL, da, db;
};

/// Takes the differences in rising order of rows, each row once.
class ChangeSink {
 public:
  virtual ~ChangeSink() = default;
  virtual Result<void> take(const ChangeRows& rows) = 0;
};

struct ChangeOptions {
  PlaneMap after_from_before;
  double after_gain = 1;  ///< the light of the after picture is multiplied by it
  double tolerance_de00 = 0.8;
  std::vector<Region> regions;  ///< in the before picture; one figure set each
  int threads = 1;
};

/// Over the compared pixels of one region. Percentiles are good to 0.002.
struct ChangeFigures {
  std::string region;
  std::size_t pixels = 0, not_covered = 0;
  double mean_de00 = 0, median_de00 = 0, p90_de00 = 0, p95_de00 = 0, p99_de00 = 0, max_de00 = 0;
  double mean_dL = 0, mean_da = 0, mean_db = 0;
  double share_above = 0;  ///< fraction of the pixels above the tolerance
};

/// Pixel by pixel, D50/2 degrees: before in its own places, after fetched through the alignment
/// (cubic interpolation in Lab; none where the alignment is the identity). The figures do not
/// depend on `threads`. Memory: some dozen rows of both pictures and, where the after picture is
/// turned, the rows that one row crosses; refuses a turn that crosses more than 12 megapixels.
Result<std::vector<ChangeFigures>> compare_photographs(RowReader& before, RowReader& after,
                                                       const ChangeOptions& options,
                                                       ChangeSink* sink);

/// Light of `before` over light of `after` (ratio of mean Y) in an area that did not change, and
/// what then remains there.
struct Drift {
  double gain = 1;
  std::size_t pixels = 0;
  double remaining_de00 = 0;  ///< between the area's mean colours, after the gain
};
Result<Drift> drift_in(RowReader& before, RowReader& after, const PlaneMap& after_from_before,
                       const Region& unchanged);

}  // namespace mendtone
