#pragma once
#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <vector>

#include "photons/walk.hpp"

namespace mendtone::photons {

/// A mean and its standard error.
struct Estimate {
  double value = 0, error = 0;
};

/// How a slab is lit and looked at. Specular light is left out of both.
enum class Geometry {
  lamp_45_read_0,  ///< 45:0
  diffuse_read_8   ///< diffuse:8
};

/// All that a homogeneous slab over a matt backing is, to one instrument. Exact: the backing
/// forgets where its light came from.
struct Functions {
  double r = 0;      ///< what is read of the slab over nothing
  double t_in = 0;   ///< share of the lamp's light that reaches the backing
  double t_out = 0;  ///< reading of light that the backing sends up, share of it
  double r_d = 0;    ///< share of the backing's light that the slab throws back to it
  /// Index 1 only: diffuse light in, all that comes through; the same seen along the normal
  /// (diffuse:8: at 8 degrees), against the bare lamp.
  double through_hemisphere = 0, through_normal = 0;

  double over(double Rg) const { return r + t_in * Rg * t_out / (1 - Rg * r_d); }
};

/// Photons sent through slabs of one medium, in batches, so that whatever is worked out of them
/// has a standard error.
class Sent {
 public:
  static constexpr std::size_t batches = 16;

  /// `photons` for each beam that the geometry asks for. An index above 1 needs one depth only.
  Sent(const Medium& medium, Geometry geometry, std::size_t photons, std::uint64_t seed);

  /// The slab of depth `medium.depths[k]` with this absorption optical depth.
  Functions functions(double absorption, std::size_t k = 0) const;
  /// Anything that is computed from them, with its standard error.
  Estimate estimate(double absorption, const std::function<double(const Functions&)>& of,
                    std::size_t k = 0) const;
  /// What is read of the slab over a matt backing.
  Estimate over(double absorption, double Rg, std::size_t k = 0) const;

 private:
  using Tallies = std::map<Beam, Tally>;
  Functions of(const Tallies& tallies, double absorption, std::size_t k) const;

  Medium medium_;
  Geometry geometry_;
  std::vector<Tallies> batch_;
  Tallies all_;
};

/// One beam's photons: the share that came back and that came through, of all that fell on the
/// slab of depth `medium.depths[0]` with this absorption.
struct Shares {
  Estimate back, through;
};
Shares shares(const Medium& medium, Beam beam, double absorption, std::size_t photons,
              std::uint64_t seed);

}  // namespace mendtone::photons
