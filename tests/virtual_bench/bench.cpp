#include "virtual_bench/bench.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace mendtone::virtual_bench {
namespace {

/// An invented 20 g/m2 long-fibred tissue: optical depths of one ply; of the scattering, what is
/// left of it once reduced by 1 - g, so that every tissue hides about as well.
constexpr double reduced_fibre_scattering = 1.05;
double fibre_absorption(double nm) {
  return 0.004 + 0.02 * std::exp(-(nm - 400) / 60);
}

/// Binder fills the pores: each g/m2 takes away this share of the fibres' scattering.
constexpr double pore_filling_m2_g = 0.035;

/// Pigments scatter forward; the photons' tables hold films of this asymmetry.
constexpr double colorant_asymmetry = 0.6;

/// How fast a growing film closes into a glossy one: share covered = 1 - exp(-load / this).
constexpr double film_closing_load = 0.25;

std::vector<double> support_of(const WavelengthGrid& grid) {
  std::vector<double> R;
  for (double nm : grid.nm()) R.push_back(0.93 - 0.10 * std::exp(-(nm - 380) / 35));
  return R;
}

TristimulusWeights d65(const WavelengthGrid& grid) {
  return *tristimulus_weights(grid, *standard_light("D65"), Observer::deg10);
}

WavelengthGrid grid_of(VirtualBench::Kind kind) {
  return kind == VirtualBench::Kind::toned_tissue ? WavelengthGrid::equal_steps(400, 10, 31)
                                                  : WavelengthGrid::equal_steps(380, 10, 41);
}

double log_uniform(double low, double high, CounterRandom& random) {
  return low * std::pow(high / low, random.uniform());
}

}  // namespace

VirtualBench::VirtualBench(Kind kind, std::uint64_t seed, Errors errors)
    : kind_(kind),
      errors_(errors),
      grid_(grid_of(kind)),
      colorants_(kind == Kind::toned_tissue ? earths() : watercolours()),
      weights_(d65(grid_)) {
  CounterRandom random(seed, 1);
  for (InventedColorant& colorant : colorants_) {
    colorant.strength *= std::exp(0.1 * random.normal());
    colorant.scattering *= std::exp(0.1 * random.normal());
    colorant.exponent += 0.02 * random.normal();
    // A ladder's darkest rung: strong colorants are used thinly.
    top_.push_back(kind == Kind::toned_tissue ? (colorant.strength > 5 ? 0.1 : 0.6) : 1.0);
    for (double nm : grid_.nm()) {
      absorption_.push_back(absorption(colorant, nm));
      scattering_.push_back(virtual_bench::scattering(colorant, nm));
    }
  }
  CounterRandom tissue(seed, 3);
  fibre_asymmetry_ = 0.6 * tissue.uniform();
  unevenness_ = 0.05 + 0.2 * tissue.uniform();
}

LoadUnit VirtualBench::load_unit() const {
  return kind_ == Kind::toned_tissue ? LoadUnit::g_m2 : LoadUnit::relative;
}

std::vector<double> VirtualBench::backing(const std::string& name) const {
  std::vector<double> R;
  for (double nm : grid_.nm()) {
    if (name == "white") R.push_back(0.85);
    if (name == "black") R.push_back(0.04);
    if (name == "board") R.push_back(0.80 - 0.08 * std::exp(-(nm - 400) / 50));
    if (name == "grey") R.push_back(0.20);
    if (name == "brown") R.push_back(0.06 + 0.24 / (1 + std::exp((600 - nm) / 45)));
    if (name == "fill") R.push_back(0.78 - 0.27 * std::exp(-(nm - 380) / 95));
  }
  assert(!R.empty());
  return R;
}

namespace {

std::vector<double> all_taken(const std::vector<InventedColorant>& colorants,
                              std::span<const double> loads) {
  std::vector<double> taken;
  for (std::size_t j = 0; j < loads.size(); ++j) taken.push_back(taken_up(colorants[j], loads[j]));
  return taken;
}

double total(std::span<const double> loads) {
  double sum = 0;
  for (double load : loads) sum += load;
  return sum;
}

std::vector<double> times(std::span<const double> loads, double by) {
  std::vector<double> more(loads.begin(), loads.end());
  for (double& load : more) load *= by;
  return more;
}

/// The load at places under the instrument, as a share of the mean: three that stand for a
/// lognormal spread (Gauss-Hermite). The places are larger than a tissue is thick, so light does
/// not run from one to the other, and the instrument sees the mean of what each reflects.
struct Place {
  double share, weight;
};
std::array<Place, 3> places(double unevenness) {
  const double sd = std::sqrt(std::log(1 + unevenness * unevenness)), far = std::sqrt(3.0) * sd;
  std::array<Place, 3> at{{{std::exp(-far), 1.0 / 6}, {1, 2.0 / 3}, {std::exp(far), 1.0 / 6}}};
  double mean = 0;
  for (const Place& p : at) mean += p.weight * p.share;
  for (Place& p : at) p.share /= mean;
  return at;
}

}  // namespace

/// Optical depths of a ply (or film), band by band.
std::vector<photons::Slab> VirtualBench::slabs(std::span<const double> loads) const {
  const std::vector<double> taken = all_taken(colorants_, loads);
  const std::size_t bands = grid_.size();
  const bool tissue = kind_ == Kind::toned_tissue;
  const double by_fibres = tissue ? reduced_fibre_scattering / (1 - fibre_asymmetry_) *
                                        std::exp(-pore_filling_m2_g * total(loads))
                                  : 0;
  std::vector<photons::Slab> all(bands);
  for (std::size_t i = 0; i < bands; ++i) {
    double by_colorant = 0;
    for (std::size_t j = 0; j < taken.size(); ++j) {
      all[i].absorbed += taken[j] * absorption_[j * bands + i];
      by_colorant += taken[j] * scattering_[j * bands + i];
    }
    if (tissue) all[i].absorbed += fibre_absorption(grid_.nm()[i]);
    all[i].scattered = by_fibres + by_colorant;
    all[i].asymmetry = tissue ? (by_fibres * fibre_asymmetry_ + by_colorant * colorant_asymmetry) /
                                    all[i].scattered
                              : colorant_asymmetry;
  }
  return all;
}

std::vector<double> VirtualBench::film_reflectance(std::span<const double> loads,
                                                   const std::string& under) const {
  const std::vector<double> support = under == "fill" ? backing(under) : support_of(grid_);
  std::vector<double> R(grid_.size(), 0.0);
  for (const Place& place : places(unevenness_)) {
    const std::vector<double> here = times(loads, place.share);
    const double bare = std::exp(-total(here) / film_closing_load);
    const std::vector<photons::Slab> films = slabs(here);
    for (std::size_t i = 0; i < R.size(); ++i) {
      const photons::Slab& film = films[i];
      const double matt =
          photons::sheet_truth(film, photons::Geometry::lamp_45_read_0).over(support[i]);
      const double glossy = photons::film_truth(film).over(support[i]);
      R[i] += place.weight * (bare * matt + (1 - bare) * glossy);
    }
  }
  return R;
}

std::vector<double> VirtualBench::true_reflectance(std::span<const double> loads,
                                                   const std::string& under, int plies) const {
  if (kind_ == Kind::painted_film) return film_reflectance(loads, under);
  const std::vector<double> below = backing(under);
  std::vector<double> R(grid_.size(), 0.0);
  // What is thick in one ply is thin in the next as often as not.
  for (const Place& place : places(unevenness_ / std::sqrt(static_cast<double>(plies)))) {
    const std::vector<photons::Slab> here = slabs(times(loads, place.share));
    for (std::size_t i = 0; i < R.size(); ++i)
      R[i] +=
          place.weight *
          photons::sheet_truth(here[i] * plies, photons::Geometry::lamp_45_read_0).over(below[i]);
  }
  return R;
}

VirtualBench::Through VirtualBench::true_transmittance(std::span<const double> loads,
                                                       int plies) const {
  assert(kind_ == Kind::toned_tissue);
  Through T{std::vector<double>(grid_.size(), 0.0), std::vector<double>(grid_.size(), 0.0)};
  for (const Place& place : places(unevenness_ / std::sqrt(static_cast<double>(plies)))) {
    const std::vector<photons::Slab> here = slabs(times(loads, place.share));
    for (std::size_t i = 0; i < grid_.size(); ++i) {
      const photons::Functions f =
          photons::sheet_truth(here[i] * plies, photons::Geometry::lamp_45_read_0);
      T.hemisphere[i] += place.weight * f.through_hemisphere;
      T.normal[i] += place.weight * f.through_normal;
    }
  }
  return T;
}

Lab VirtualBench::true_lab(std::span<const double> loads, const std::string& under,
                           int plies) const {
  return *weights_.lab(true_reflectance(loads, under, plies));
}

Mix VirtualBench::mix(std::span<const double> loads, CounterRandom& random) const {
  Mix made{{loads.begin(), loads.end()}, {loads.begin(), loads.end()}};
  for (double& load : made.real)
    if (load > 0) load *= std::max(0.0, 1 + errors_.dropper * random.normal());
  return made;
}

void VirtualBench::coat(Sheet& sheet, const Mix& mix, CounterRandom& random) const {
  const double picked = std::max(0.0, 1 + errors_.pick_up * random.normal());
  for (std::size_t j = 0; j < mix.real.size(); ++j) sheet.loads[j] += picked * mix.real[j];
}

Sheet VirtualBench::toned(std::span<const double> loads, CounterRandom& random) const {
  Sheet sheet{std::vector<double>(loads.size(), 0.0)};
  const Mix made = mix(loads, random);
  coat(sheet, made, random);
  return sheet;
}

std::vector<Reading> VirtualBench::read(const Sheet& sheet, std::span<const double> meant,
                                        const std::string& name, Role role,
                                        const std::string& under, CounterRandom& random) const {
  const std::vector<double> truth = true_reflectance(sheet.loads, under);
  std::vector<Reading> readings;
  for (int repeat = 1; repeat <= errors_.repeats; ++repeat) {
    Reading reading;
    reading.name = name;
    reading.repeat = std::to_string(repeat);
    reading.role = role;
    reading.state = State::dry;
    reading.geometry = "45/0";
    reading.lot = "invented";
    reading.load_unit = load_unit();
    if (kind_ == Kind::toned_tissue) {
      reading.backing = under;
      reading.plies = 1;
    }
    for (std::size_t j = 0; j < meant.size(); ++j)
      if (meant[j] > 0) reading.loads[colorants_[j].name] = meant[j];
    reading.spectrum = Spectrum{grid_, truth};
    for (double& R : reading.spectrum->value) R += errors_.reading * random.normal();
    readings.push_back(std::move(reading));
  }
  return readings;
}

std::vector<Reading> VirtualBench::bare_readings(CounterRandom& random) const {
  std::vector<Reading> all;
  const std::vector<double> none(size(), 0.0);
  const auto append = [&](std::vector<Reading> more) {
    all.insert(all.end(), more.begin(), more.end());
  };
  if (kind_ == Kind::painted_film) {
    append(read({none}, none, "support", Role::substrate, "", random));
    return all;
  }
  for (const char* name : {"white", "black", "board"}) {
    Reading reading;
    reading.name = name;
    reading.role = Role::backing;
    reading.state = State::dry;
    reading.geometry = "45/0";
    reading.spectrum = Spectrum{grid_, backing(name)};
    all.push_back(std::move(reading));
  }
  append(read({none}, none, "tissue", Role::substrate, "white", random));
  append(read({none}, none, "tissue", Role::substrate, "black", random));
  return all;
}

std::vector<double> VirtualBench::rung_loads(std::size_t colorant, int rungs) const {
  std::vector<double> loads;
  for (int rung = 0; rung < rungs; ++rung)
    loads.push_back(top_[colorant] * std::pow(0.5, rungs - 1 - rung));
  return loads;
}

std::vector<Reading> VirtualBench::swatch_readings(std::span<const double> loads,
                                                   const std::string& name, CounterRandom& random,
                                                   Role role) const {
  const Sheet sheet = toned(loads, random);
  std::vector<Reading> all = read(sheet, loads, name, role, "white", random);
  if (kind_ == Kind::painted_film) return all;
  const std::vector<Reading> dark = read(sheet, loads, name, role, "black", random);
  all.insert(all.end(), dark.begin(), dark.end());
  return all;
}

std::vector<Reading> VirtualBench::ladder_readings(int rungs, CounterRandom& random) const {
  std::vector<Reading> all;
  for (std::size_t j = 0; j < size(); ++j)
    for (double load : rung_loads(j, rungs)) {
      std::vector<double> loads(size(), 0.0);
      loads[j] = load;
      const auto rung = swatch_readings(
          loads, colorants_[j].name + " rung " + std::to_string(all.size()), random);
      all.insert(all.end(), rung.begin(), rung.end());
    }
  return all;
}

std::vector<double> VirtualBench::random_mixture(CounterRandom& random) const {
  const bool film = kind_ == Kind::painted_film;
  const std::size_t parts = film ? 2 : 2 + random.below(2);
  std::vector<double> loads(size(), 0.0);
  for (std::size_t made = 0; made < parts;) {
    const std::size_t j = random.below(static_cast<std::uint32_t>(size()));
    if (loads[j] > 0) continue;
    loads[j] =
        top_[j] * (film ? log_uniform(1.0 / 16, 1, random) : log_uniform(1.0 / 40, 0.5, random));
    ++made;
  }
  return loads;
}

namespace {

/// Adds a smooth spectral change from which the part that D65 can see is taken away.
std::vector<double> metameric(std::vector<double> R, const TristimulusWeights& w,
                              CounterRandom& random) {
  const std::size_t bands = R.size();
  std::vector<double> change(bands);
  const double phase = 6.283185307179586 * random.uniform(), turns = 1 + 1.5 * random.uniform();
  const double size = 0.006 * random.normal();
  for (std::size_t i = 0; i < bands; ++i)
    change[i] = size * std::sin(phase + 6.283185307179586 * turns * static_cast<double>(i) /
                                            static_cast<double>(bands));
  // Gram-Schmidt against the three weightings; what is left is black to the observer.
  std::vector<std::vector<double>> basis;
  for (std::vector<double> v : {w.wx, w.wy, w.wz}) {
    for (const auto& u : basis) {
      double dot = 0;
      for (std::size_t i = 0; i < bands; ++i) dot += u[i] * v[i];
      for (std::size_t i = 0; i < bands; ++i) v[i] -= dot * u[i];
    }
    double norm = 0;
    for (double x : v) norm += x * x;
    for (double& x : v) x /= std::sqrt(norm);
    basis.push_back(std::move(v));
  }
  for (const auto& u : basis) {
    double dot = 0;
    for (std::size_t i = 0; i < bands; ++i) dot += u[i] * change[i];
    for (std::size_t i = 0; i < bands; ++i) change[i] -= dot * u[i];
  }
  for (std::size_t i = 0; i < bands; ++i) R[i] += change[i];
  return R;
}

}  // namespace

std::vector<Target> draw_targets(const VirtualBench& bench, PaperSet set, int count,
                                 std::uint64_t seed) {
  assert(bench.kind() == VirtualBench::Kind::toned_tissue);
  CounterRandom random(seed, 2);
  const double low = set == PaperSet::pale ? 70 : 45, high = set == PaperSet::pale ? 88 : 70;
  const double scale = set == PaperSet::pale ? 1 : 5;
  constexpr std::size_t yellow[] = {0, 1, 4}, warm[] = {2, 3};
  constexpr std::size_t carbon = 5;
  std::vector<Target> targets;
  while (targets.size() < static_cast<std::size_t>(count)) {
    Target target;
    target.true_loads.assign(bench.size(), 0.0);
    target.true_loads[yellow[random.below(3)]] = scale * log_uniform(0.003, 0.15, random);
    target.true_loads[warm[random.below(2)]] = scale * log_uniform(0.001, 0.05, random);
    target.true_loads[carbon] = scale * log_uniform(0.0003, 0.015, random);
    target.reflectance = bench.true_reflectance(target.true_loads, "board");
    target.lab = *bench.weights().lab(target.reflectance);
    const Lab& lab = target.lab;
    // Six steps of lightness in turn; else the darkest would crowd out the rest.
    const double step = (high - low) / 6,
                 from = low + step * static_cast<double>(targets.size() % 6);
    if (lab.L < from || lab.L > from + step || lab.a < 0 || lab.a > 6 || lab.b < 5 || lab.b > 25)
      continue;
    target.reflectance = metameric(std::move(target.reflectance), bench.weights(), random);
    targets.push_back(std::move(target));
  }
  return targets;
}

}  // namespace mendtone::virtual_bench
