#pragma once
#include <cmath>

// Palettes of version 1 hold it, so they are read with it; no calibration asks for it any more.
// Where light runs slantwise through an absorbing sheet, two fluxes know one path length only; the
// many directions of real light lose theirs at different rates, so that much absorption counts for
// less than the sum of its parts, and what is absorbed is no longer there to be scattered. Many
// fluxes have both by themselves. The forms hold within 1 % of K and 2 % of S. No published source.

namespace mendtone {

/// What the colorants absorb, K = A / (1 + screening A)^(1/6), and its slopes.
struct ScreenedK {
  double K = 0, by_A = 1, by_screening = 0;
};
inline ScreenedK screened(double A, double screening) {
  if (screening == 0) return {A, 1, -A * A / 6};  // most laws that are tried: no root to take
  const double part = 1 + screening * A, left = std::pow(part, -1.0 / 6);
  return {A * left, left * (1 - screening * A / (6 * part)), -A * A * left / (6 * part)};
}

/// What is still scattered, S^2 / (S + quenching K), which is S - quenching K where that is small,
/// and its slopes.
struct QuenchedS {
  double S = 0, by_S = 1, by_K = 0, by_quenching = 0;
};
inline QuenchedS quenched(double S, double K, double quenching) {
  const double sum = S + quenching * K;
  if (!(sum > 0)) return {S, 1, 0, 0};
  const double share = S / sum;
  return {S * share, 1 - (1 - share) * (1 - share), -quenching * share * share, -K * share * share};
}

}  // namespace mendtone
