#pragma once
#include <cstddef>
#include <span>

namespace mendtone {

/// CIELAB colours as three planes of equal length.
template <class Number>
struct LabPlanes {
  std::span<const Number> L, a, b;
};

/// CIEDE2000, all factors 1, of many pairs: out[i] is the difference of one[i] and two[i].
/// Against `de00` the error is below 5e-4 in float and 1e-6 in double, for any finite colours with
/// |a|, |b| <= 200. Hues that lie within a few degrees of opposite, where the formula jumps, are
/// computed by `de00` itself. Contract: all planes and `out` have one length.
/// Ref: sharma2005
void de00_planar(const LabPlanes<float>& one, const LabPlanes<float>& two, std::span<float> out);
void de00_planar(const LabPlanes<double>& one, const LabPlanes<double>& two, std::span<double> out);

}  // namespace mendtone
