#include "virtual_bench/bench.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "virtual_bench/slab.hpp"

namespace mendtone::virtual_bench {
namespace {

/// An invented 20 g/m2 long-fibred tissue: optical depths of one ply.
constexpr double fibre_scattering = 1.05;
double fibre_absorption(double nm) {
  return 0.004 + 0.02 * std::exp(-(nm - 400) / 60);
}

/// Binder fills the pores: each g/m2 takes away this share of the fibres' scattering.
constexpr double pore_filling_m2_g = 0.035;

constexpr double film_index = 1.5;
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
    if (name == "fill") R.push_back(0.78 - 0.27 * std::exp(-(nm - 380) / 95));
  }
  assert(!R.empty());
  return R;
}

namespace {

/// The planner's two-flux theory is not used here: optical depths go to the many-flux slab.
Depth depth_at(const VirtualBench& bench, std::span<const double> taken,
               std::span<const double> absorption, std::span<const double> scattering,
               std::size_t band) {
  const std::size_t bands = bench.grid().size();
  Depth depth;
  for (std::size_t j = 0; j < taken.size(); ++j) {
    depth.absorbed += taken[j] * absorption[j * bands + band];
    depth.scattered_by_colorant += taken[j] * scattering[j * bands + band];
  }
  return depth;
}

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

Depth with_fibres(Depth depth, double nm, double load) {
  depth.absorbed += fibre_absorption(nm);
  depth.scattered_by_fibres = fibre_scattering * std::exp(-pore_filling_m2_g * load);
  return depth;
}

}  // namespace

std::vector<double> VirtualBench::true_reflectance(std::span<const double> loads,
                                                   const std::string& under) const {
  const std::vector<double> taken = all_taken(colorants_, loads);
  const double load = total(loads);
  std::vector<double> R(grid_.size());
  if (kind_ == Kind::painted_film) {
    const std::vector<double> support = under == "fill" ? backing(under) : support_of(grid_);
    const double bare = std::exp(-load / film_closing_load);
    for (std::size_t i = 0; i < R.size(); ++i) {
      const Depth depth = depth_at(*this, taken, absorption_, scattering_, i);
      R[i] = bare * sheet(depth, support[i]).reflectance;
      if (load > 0) R[i] += (1 - bare) * glossy_film(depth, support[i], film_index);
    }
    return R;
  }
  const std::vector<double> below = backing(under);
  for (std::size_t i = 0; i < R.size(); ++i)
    R[i] =
        sheet(with_fibres(depth_at(*this, taken, absorption_, scattering_, i), grid_.nm()[i], load),
              below[i])
            .reflectance;
  return R;
}

std::vector<double> VirtualBench::true_transmittance(std::span<const double> loads) const {
  assert(kind_ == Kind::toned_tissue);
  const std::vector<double> taken = all_taken(colorants_, loads);
  std::vector<double> T(grid_.size());
  for (std::size_t i = 0; i < T.size(); ++i)
    T[i] = sheet(with_fibres(depth_at(*this, taken, absorption_, scattering_, i), grid_.nm()[i],
                             total(loads)),
                 0)
               .transmittance;
  return T;
}

Lab VirtualBench::true_lab(std::span<const double> loads, const std::string& under) const {
  return *weights_.lab(true_reflectance(loads, under));
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
