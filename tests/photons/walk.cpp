#include "photons/walk.hpp"

#include <array>
#include <cassert>
#include <numbers>

#include "mendtone/base/random.hpp"

namespace mendtone::photons {
namespace {

/// Numbers of one photon: the first ones evenly spread over all photons of the walk, the later ones
/// by chance.
class Draws {
 public:
  Draws(std::uint64_t seed, std::uint64_t stream) : random_(seed, stream) {
    for (double& s : shift_) s = random_.uniform();
  }
  void next_photon() {
    used_ = 0;
    for (std::size_t d = 0; d < even; ++d) {
      shift_[d] += step[d];
      if (shift_[d] >= 1) shift_[d] -= 1;
    }
  }
  double uniform() {
    if (used_ < even) {
      // Never 0: its logarithm is asked for.
      return std::max(shift_[used_++], 1e-12);
    }
    return (random_.bits() + 0.5) / 4294967296.0;
  }

 private:
  static constexpr std::size_t even = 8;
  /// Fractions of the square roots of the first primes (Richtmyer).
  static constexpr std::array<double, even> step{
      0.41421356237309515, 0.7320508075688772,  0.2360679774997898, 0.6457513110645907,
      0.3166247903553998,  0.60555127546398912, 0.1231056256176606, 0.35889894354067397};

  CounterRandom random_;
  std::array<double, even> shift_{};
  std::size_t used_ = 0;
};

class Scattering {
 public:
  explicit Scattering(double g) : g_(g) {}

  double cosine(double u) const {
    if (std::abs(g_) < 1e-6) return 2 * u - 1;
    const double f = (1 - g_ * g_) / (1 - g_ + 2 * g_ * u);
    return (1 + g_ * g_ - f * f) / (2 * g_);
  }
  /// Pi times the share of the light sent into a unit of solid angle at this cosine.
  double pi_times_phase(double cosine) const {
    const double d = 1 + g_ * g_ - 2 * g_ * cosine;
    return 0.25 * (1 - g_ * g_) / (d * std::sqrt(d));
  }
  double turned(double mu, Draws& draws) const {
    const double c = cosine(draws.uniform());
    const double azimuth = std::cos(2 * std::numbers::pi * draws.uniform());
    const double both = (1 - c * c) * (1 - mu * mu);
    return std::clamp(mu * c + std::sqrt(std::max(0.0, both)) * azimuth, -1.0, 1.0);
  }

 private:
  double g_;
};

/// Level of a ray: a photon that goes exactly along the faces would never meet them.
double not_level(double mu) {
  constexpr double least = 1e-9;
  return std::abs(mu) < least ? (mu < 0 ? -least : least) : mu;
}

class Walker {
 public:
  Walker(const Medium& medium, Beam beam, std::uint64_t seed, std::uint64_t stream)
      : medium_(medium),
        beam_(beam),
        near_(beam == Beam::from_backing ? 1 : medium.index),
        far_(beam == Beam::from_backing ? medium.index : 1),
        scattering_(medium.asymmetry),
        draws_(seed, stream),
        gain_out_(1 / (medium.index * medium.index) * (1 - fresnel_from_within(1, medium.index))) {
    const std::size_t n = medium.depths.size();
    assert(n > 0 && (far_ == 1 || n == 1));
    tally_.back.resize(n);
    tally_.through.resize(n);
    if (beam == Beam::at_45) tally_.read.resize(n);
  }

  void send(double share) {
    draws_.next_photon();
    start(share);
    if (far_ == 1) meet_without_scattering();
    while (weight_ > 0 && step()) {
    }
  }

  Tally finished() {
    // What came back before depth k was reached came back from every deeper slab too.
    for (std::size_t k = 1; k < medium_.depths.size(); ++k) {
      tally_.back[k] += tally_.back[k - 1];
      if (!tally_.read.empty()) tally_.read[k] += tally_.read[k - 1];
    }
    return std::move(tally_);
  }

 private:
  void start(double share) {
    z_ = 0;
    length_ = 0;
    reached_ = 0;
    weight_ = share;
    mu_ = outside_cosine();
    if (near_ != 1) {
      mu_ = refracted(mu_, near_);
      weight_ *= 1 - fresnel_from_within(mu_, near_);
    }
    least_ = 0;
  }
  double outside_cosine() {
    switch (beam_) {
      case Beam::at_45:
        return std::sqrt(0.5);
      case Beam::at_0:
        return 1;
      case Beam::at_8:
        return std::cos(8 * std::numbers::pi / 180);
      default:
        return std::sqrt(draws_.uniform());
    }
  }

  /// The share that goes straight through the deepest slab is known; the rest is made to scatter.
  void meet_without_scattering() {
    const double straight = std::exp(-medium_.depths.back() / mu_);
    for (std::size_t k = 0; k < medium_.depths.size(); ++k)
      tally_.through[k].add(medium_.depths[k] / mu_, weight_ * straight);
    weight_ *= 1 - straight;
    least_ = straight;
  }

  /// One flight and one scattering; false when the photon has left.
  bool step() {
    const double free_way = -std::log(least_ + (1 - least_) * draws_.uniform());
    least_ = 0;
    const double z = z_ + free_way * mu_;
    if (mu_ > 0 ? !pass_depths(z) : z <= 0 && !meet_near_face()) return false;
    if (bounced_) {
      bounced_ = false;
      return true;
    }
    length_ += free_way;
    z_ = z;
    read_from_here();
    mu_ = not_level(scattering_.turned(mu_, draws_));
    return true;
  }

  /// Counts the depths reached on the way down to z; false when that was the last.
  bool pass_depths(double z) {
    const std::vector<double>& depths = medium_.depths;
    if (far_ != 1) return z < depths[0] || meet_far_face();
    while (z >= depths[reached_]) {
      tally_.through[reached_].add(length_ + (depths[reached_] - z_) / mu_, weight_);
      if (++reached_ == depths.size()) return false;
    }
    return true;
  }
  bool meet_near_face() {
    length_ += -z_ / mu_;
    z_ = 0;
    if (near_ != 1 && draws_.uniform() < fresnel_from_within(-mu_, near_)) return bounce();
    tally_.back[reached_].add(length_, weight_);
    return false;
  }
  bool meet_far_face() {
    length_ += (medium_.depths[0] - z_) / mu_;
    z_ = medium_.depths[0];
    if (draws_.uniform() < fresnel_from_within(mu_, far_)) return bounce();
    tally_.through[0].add(length_, weight_);
    return false;
  }
  bool bounce() {
    mu_ = -mu_;
    bounced_ = true;
    return true;
  }

  /// What of this scattering goes straight up the normal and out.
  void read_from_here() {
    if (beam_ != Beam::at_45) return;
    tally_.read[reached_].add(
        length_ + z_, weight_ * gain_out_ * scattering_.pi_times_phase(-mu_) * std::exp(-z_));
  }

  const Medium& medium_;
  Beam beam_;
  double near_, far_;
  Scattering scattering_;
  Draws draws_;
  double gain_out_;
  Tally tally_;

  double z_ = 0, mu_ = 1, length_ = 0, weight_ = 0;
  double least_ = 0;  ///< of the first flight: the share that it may not take
  std::size_t reached_ = 0;
  bool bounced_ = false;
};

}  // namespace

double refracted(double mu, double n) {
  return std::sqrt(1 - (1 - mu * mu) / (n * n));
}

double fresnel_from_within(double mu, double n) {
  if (n == 1) return 0;
  const double sine = n * std::sqrt(std::max(0.0, 1 - mu * mu));
  if (sine >= 1) return 1;
  const double outer = std::sqrt(1 - sine * sine);
  const double s = (n * mu - outer) / (n * mu + outer), p = (mu - n * outer) / (mu + n * outer);
  return (s * s + p * p) / 2;
}

Tally walk(const Medium& medium, Beam beam, std::size_t count, std::uint64_t seed,
           std::uint64_t stream) {
  Walker walker(medium, beam, seed, stream);
  for (std::size_t i = 0; i < count; ++i) walker.send(1.0 / static_cast<double>(count));
  return walker.finished();
}

}  // namespace mendtone::photons
