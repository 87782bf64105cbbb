#pragma once
#include <optional>
#include <span>

#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/weights.hpp"

namespace mendtone {

/// A pair of colours under the light in which it should match and under another.
struct MetamericPair {
  Xyz standard_reference, sample_reference;  ///< under the reference light
  Xyz standard_test, sample_test;            ///< under the test light
  Xyz white_reference, white_test;
};

/// One index: the distance that is left after the correction.
struct MetamerismDifference {
  double de_ab = 0;
  double de00 = 0;
};

/// Special metamerism index, change in illuminant: the difference that remains under the test
/// light after the difference under the reference light has been taken out of the sample, in four
/// ways. No value where a division by a tristimulus or Lab value near zero would make it.
/// Each is a CIELAB difference and a CIEDE2000 beside it. Always shown beside the plain
/// difference: for some lights the index is larger than what the visitor sees.
/// Ref: cie15, iso18314-4
struct MetamerismIndex {
  using Value = MetamerismDifference;
  Value additive_lab;
  std::optional<Value> multiplicative_lab;
  std::optional<Value> multiplicative_xyz;
  Value additive_xyz;
  std::optional<Value> spectral;  ///< matrix R; only from spectra
};

MetamerismIndex metamerism_index(const MetamericPair& pair);

/// The same from spectra on one grid, with the spectral (matrix R, Cohen & Kappauf) correction:
/// the sample keeps its own residual and takes the standard's fundamental under the reference
/// light. Refuses spectra and weights that do not share one grid. Ref: iso18314-4, cohen1982
Result<MetamerismIndex> metamerism_index(std::span<const double> standard,
                                         std::span<const double> sample,
                                         const TristimulusWeights& reference,
                                         const TristimulusWeights& test);

}  // namespace mendtone
