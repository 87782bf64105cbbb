#pragma once

namespace mendtone {

/// Probability that the true value lies at or below the upper limit `limit`, for a measured value
/// with standard uncertainty `u` > 0 and `freedom` degrees of freedom (infinite: Gaussian).
/// Ref: jcgm106
double conformance_probability(double measured, double u, double limit, double freedom);

/// Upper end of guarded acceptance, A = limit - w, with the guard band w = U, the expanded
/// uncertainty: at most 2.5 % of acceptances are false. Ref: jcgm106
double acceptance_limit(double limit, double expanded_uncertainty);

/// Student's quantile: the t that a share `p` (0 < p < 1) lies below; infinite freedom: Gaussian.
double student_quantile(double p, double freedom);

/// Probability that an F-distributed value exceeds `f`.
double fisher_tail(double f, double freedom1, double freedom2);

}  // namespace mendtone
