#pragma once
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/imaging/region.hpp"

namespace mendtone {

struct GroundOptions {
  /// Where the paper's colour is looked for; empty: at the commonest colour of the region.
  std::optional<Lab> near;
  double grain_px = 8;          ///< mottling finer than this is texture, and averaged
  int tones_at_most = 4;        ///< 1 … 8
  double tone_step_de00 = 0.8;  ///< tones are added until the ground is this near to its own
};

/// The bare paper of a region: robust location and scatter (reweighted minimum covariance
/// determinant, 97.5 %). Ref: rousseeuw1999
struct Ground {
  Lab median;
  std::array<double, 9> covariance{};  ///< of L*, a*, b*, row-major
  double share = 0;                    ///< of the region's pixels
  double spread_de00 = 0;              ///< median distance of its pixels from the median
  double p90_de00 = 0;
};

/// What is not ground, told by how dark it is, its direction from the ground, and whether it is a
/// mixture of ground and drawn line (`ink` is lines and their edges). The ground's own scatter is
/// none of it.
struct Foreign {
  enum class Kind { ink, stain, lighter, other };
  Kind kind = Kind::other;
  double share = 0;  ///< of the region's pixels
  Lab median;
};
std::string_view name_of(Foreign::Kind);

/// One tone of the mottling.
struct MottleTone {
  Lab lab;
  double share = 0;   ///< of the ground's area
  bool base = false;  ///< the tone for the fill: the lightest with at least a fifth of it
  double de00_from_base = 0;
  bool lighter_than_base = false;  ///< cannot be stippled on, since colour only darkens here
};

struct GroundAnalysis {
  std::string region;
  std::size_t pixels = 0, sampled = 0;
  Ground ground;
  std::vector<Foreign> foreign;   ///< largest share first; shares below 0.1 % left out
  std::vector<MottleTone> tones;  ///< the base first, then by share
  double within_de00 = 0;         ///< mean distance of the ground's grains from their own tone
  std::size_t grains = 0;
};

/// The tone of a region's paper. Two passes; at most 200 000 pixels are sampled (the same ones
/// every time), all are used for the mottling. Refuses a region of fewer than 200 pixels, and one
/// where no colour holds a tenth of it.
Result<GroundAnalysis> analyse_ground(RowReader& picture, const Region& region,
                                      const GroundOptions& options);

}  // namespace mendtone
