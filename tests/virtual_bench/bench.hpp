#pragma once
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "mendtone/base/random.hpp"
#include "mendtone/colour/weights.hpp"
#include "mendtone/spectral/reading.hpp"
#include "photons/truth.hpp"
#include "virtual_bench/colorants.hpp"

namespace mendtone::virtual_bench {

/// What goes wrong at the bench, each as a relative standard deviation (the reading's: absolute).
struct Errors {
  double dropper = 0.05;  ///< per colorant and mix
  double pick_up = 0.05;  ///< per sheet
  double reading = 0.002;
  int repeats = 3;
};
constexpr Errors no_errors{0, 0, 0, 1};

/// A sheet of toned tissue (or a painted support): what really is on it.
struct Sheet {
  std::vector<double> loads;
};

/// A mix in its dish: the loads that it was meant to give, and what it really gives.
struct Mix {
  std::vector<double> meant, real;
};

/// A lab in which everything is known. Every random draw comes from a generator that the caller
/// gives, so a test repeats exactly.
class VirtualBench {
 public:
  enum class Kind { toned_tissue, painted_film };

  /// 400-700 nm in steps of 10 for tissue, 380-780 nm for film. `seed` varies the invented
  /// colorants' strengths by some percent, how far forward the fibres scatter and how unevenly the
  /// load lies, so that no test rests on one palette or tissue.
  VirtualBench(Kind kind, std::uint64_t seed, Errors errors = {});

  const WavelengthGrid& grid() const { return grid_; }
  Kind kind() const { return kind_; }
  const std::vector<InventedColorant>& colorants() const { return colorants_; }
  std::size_t size() const { return colorants_.size(); }
  const Errors& errors() const { return errors_; }
  /// Largest rung of each ladder; g/m2 for tissue, relative for film.
  const std::vector<double>& top_load() const { return top_; }
  LoadUnit load_unit() const;

  /// True backings of the lab, per band, all matt: "white" (0.85), "black" (0.04), "board" (0.80,
  /// warm), "grey" (0.20), "brown" (0.06 to 0.30), and "fill", a toned fill in place that a film is
  /// laid on (0.78, yellow).
  std::vector<double> backing(const std::string& name) const;

  /// Asymmetry g of the fibres' scattering, 0 to 0.6, and the relative standard deviation of the
  /// load from place to place under the instrument.
  double fibre_asymmetry() const { return fibre_asymmetry_; }
  double unevenness() const { return unevenness_; }

  /// What a perfect 45:0 instrument would read, by photons: tissue plies that each have these real
  /// loads, over a backing (tissue), or the film on its support (film; on the fill where `backing`
  /// is "fill").
  std::vector<double> true_reflectance(std::span<const double> loads,
                                       const std::string& backing = "white", int plies = 1) const;
  /// Tissue before a diffuse lamp: all that comes through, and the same seen along the normal.
  struct Through {
    std::vector<double> hemisphere, normal;
  };
  Through true_transmittance(std::span<const double> loads, int plies = 1) const;
  Lab true_lab(std::span<const double> loads, const std::string& backing = "white",
               int plies = 1) const;
  /// D65, 10 degrees, on `grid()`.
  const TristimulusWeights& weights() const { return weights_; }

  /// Weighs or drops out a mix: dropper errors, once per colorant.
  Mix mix(std::span<const double> loads, CounterRandom& random) const;
  /// Lays one coat of it on the sheet: pick-up error, once.
  void coat(Sheet& sheet, const Mix& mix, CounterRandom& random) const;
  /// A bare sheet, mixed for and coated once.
  Sheet toned(std::span<const double> loads, CounterRandom& random) const;
  /// Reads it `errors().repeats` times, 45:0; `loads` in the readings are `meant`.
  std::vector<Reading> read(const Sheet& sheet, std::span<const double> meant,
                            const std::string& name, Role role, const std::string& backing,
                            CounterRandom& random) const;

  /// Backings, and the bare substrate over white and black (film: the support).
  std::vector<Reading> bare_readings(CounterRandom& random) const;
  /// Loads of a ladder's rungs: `rungs` of them, halving from the top.
  std::vector<double> rung_loads(std::size_t colorant, int rungs) const;
  /// Every colorant's ladder, each rung a sheet of its own, over white and black (film: once).
  std::vector<Reading> ladder_readings(int rungs, CounterRandom& random) const;
  /// `swatch` toned with `loads` and read over white and black (film: once).
  std::vector<Reading> swatch_readings(std::span<const double> loads, const std::string& name,
                                       CounterRandom& random, Role role = Role::swatch) const;
  /// A likely mixture: two or three colorants (film: two), each a log-uniform share of 1/40 to 1/2
  /// of its top load (film: 1/16 to 1).
  std::vector<double> random_mixture(CounterRandom& random) const;

 private:
  std::vector<photons::Slab> slabs(std::span<const double> loads) const;
  std::vector<double> film_reflectance(std::span<const double> loads,
                                       const std::string& backing) const;

  Kind kind_;
  Errors errors_;
  WavelengthGrid grid_;
  std::vector<InventedColorant> colorants_;
  std::vector<double> top_;
  double fibre_asymmetry_ = 0, unevenness_ = 0;
  TristimulusWeights weights_;
  std::vector<double> absorption_, scattering_;  ///< colorant * bands + band
};

/// A paper to be matched over "board".
struct Target {
  std::vector<double> reflectance;
  Lab lab;                         ///< D65, 10 degrees
  std::vector<double> true_loads;  ///< real loads that give this very colour
};
enum class PaperSet { pale, dark };

/// Aged papers: pale L* 70-88, dark L* 45-70, both a* 0-6, b* 5-25. Drawn by choosing one ochre or
/// the sienna, one of red earth and umber, and carbon black, each load log-uniform over a factor of
/// 50, and keeping what falls into the box, a sixth of the lightness range at a time; so each can
/// be reached exactly. The spectrum is then moved by a metameric part that leaves the colour under
/// D65 as it is.
std::vector<Target> draw_targets(const VirtualBench& bench, PaperSet set, int count,
                                 std::uint64_t seed);

}  // namespace mendtone::virtual_bench
