#include "photons/sent.hpp"

#include <cmath>

namespace mendtone::photons {
namespace {

std::vector<Beam> beams_of(Geometry geometry, double index) {
  std::vector<Beam> beams{Beam::diffuse};
  if (geometry == Geometry::lamp_45_read_0) {
    beams.push_back(Beam::at_45);
    beams.push_back(Beam::at_0);
  } else {
    beams.push_back(Beam::at_8);
  }
  if (index != 1) beams.push_back(Beam::from_backing);
  return beams;
}

void add(Tally& sum, const Tally& more) {
  const auto each = [](std::vector<PathLengths>& a, const std::vector<PathLengths>& b) {
    a.resize(b.size());
    for (std::size_t k = 0; k < b.size(); ++k) a[k] += b[k];
  };
  each(sum.back, more.back);
  each(sum.through, more.through);
  each(sum.read, more.read);
}

/// Mean of what each batch says, and the error of that mean.
Estimate mean_of(const std::vector<double>& values) {
  const double n = static_cast<double>(values.size());
  Estimate mean;
  for (double v : values) mean.value += v / n;
  double squares = 0;
  for (double v : values) squares += (v - mean.value) * (v - mean.value);
  mean.error = std::sqrt(squares / (n - 1) / n);
  return mean;
}

}  // namespace

Sent::Sent(const Medium& medium, Geometry geometry, std::size_t photons, std::uint64_t seed)
    : medium_(medium), geometry_(geometry), batch_(batches) {
  for (std::size_t b = 0; b < batches; ++b)
    for (Beam beam : beams_of(geometry, medium.index)) {
      // The same numbers for every medium: what is worked out of two of them differs smoothly.
      const std::uint64_t stream = 16 * b + static_cast<std::uint64_t>(beam);
      batch_[b].emplace(beam, walk(medium, beam, photons / batches, seed, stream));
      add(all_[beam], batch_[b].at(beam));
    }
}

Functions Sent::of(const Tallies& tallies, double absorption, std::size_t k) const {
  const double each = absorption / medium_.depths[k];
  const double n2 = medium_.index * medium_.index;
  const bool slanted = geometry_ == Geometry::lamp_45_read_0;
  // Light takes every way in both directions alike, up to the n^2 by which it is denser within.
  const Tally& seen_along = tallies.at(slanted ? Beam::at_0 : Beam::at_8);
  const Tally& lit_by = tallies.at(slanted ? Beam::at_45 : Beam::diffuse);
  Functions f;
  f.r = slanted ? lit_by.read[k].left(each) : seen_along.back[k].left(each);
  f.t_in = lit_by.through[k].left(each);
  f.t_out = seen_along.through[k].left(each) / n2;
  f.r_d = tallies.at(medium_.index == 1 ? Beam::diffuse : Beam::from_backing).back[k].left(each);
  f.through_hemisphere = tallies.at(Beam::diffuse).through[k].left(each);
  f.through_normal = seen_along.through[k].left(each);
  return f;
}

Functions Sent::functions(double absorption, std::size_t k) const {
  Functions f = of(all_, absorption, k);
  const auto share = [](double& value) { value /= batches; };
  for (double* value : {&f.r, &f.t_in, &f.t_out, &f.r_d, &f.through_hemisphere, &f.through_normal})
    share(*value);
  return f;
}

Estimate Sent::estimate(double absorption, const std::function<double(const Functions&)>& what,
                        std::size_t k) const {
  std::vector<double> values;
  for (const Tallies& tallies : batch_) values.push_back(what(of(tallies, absorption, k)));
  Estimate estimate = mean_of(values);
  estimate.value = what(functions(absorption, k));
  return estimate;
}

Estimate Sent::over(double absorption, double Rg, std::size_t k) const {
  return estimate(
      absorption, [Rg](const Functions& f) { return f.over(Rg); }, k);
}

Shares shares(const Medium& medium, Beam beam, double absorption, std::size_t photons,
              std::uint64_t seed) {
  std::vector<double> back, through;
  for (std::size_t b = 0; b < Sent::batches; ++b) {
    const Tally tally = walk(medium, beam, photons / Sent::batches, seed,
                             16 * b + static_cast<std::uint64_t>(beam));
    back.push_back(tally.back[0].left(absorption / medium.depths[0]));
    through.push_back(tally.through[0].left(absorption / medium.depths[0]));
  }
  return {mean_of(back), mean_of(through)};
}

}  // namespace mendtone::photons
