#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <vector>

#include "long_runs.hpp"
#include "mendtone/base/random.hpp"
#include "photons/sent.hpp"

// The photons themselves, held against what is known. Each limit is some of their own standard
// errors: four, which chance alone exceeds once in 16,000 checks.
namespace mendtone::photons::photons_test {
namespace {

constexpr double errors_allowed = 4;
constexpr double pi = 3.14159265358979323846;

std::size_t photons(std::size_t brief) {
  return test::count(20 * brief, brief);
}

void expect_near(const Estimate& got, double expected, double tolerance, const char* what) {
  EXPECT_NEAR(got.value, expected, errors_allowed * got.error + tolerance) << what;
}

// van de Hulst, Multiple Light Scattering (1980): albedo 0.9, asymmetry 0.75, optical depth 2,
// normal incidence: 0.09739 reflected, 0.66096 transmitted. From memory, given to 5e-6.
TEST(Photons, VanDeHulst) {
  const Shares at = shares({0.75, 1, {1.8}}, Beam::at_0, 0.2, photons(800'000), 1);
  EXPECT_LT(at.back.error, 2e-4);
  expect_near(at.back, 0.09739, 5e-6, "reflected");
  expect_near(at.through, 0.66096, 5e-6, "transmitted");
}

// Without absorption what went in comes out; the ways are counted in bins, so nothing but the sum
// of weights can be wrong.
TEST(Photons, LoseNothing) {
  for (double g : {0.0, 0.6, 0.9})
    for (double depth : {0.05, 1.0, 8.0})
      for (Beam beam : {Beam::at_45, Beam::at_0, Beam::at_8, Beam::diffuse}) {
        const Tally tally = walk({g, 1, {depth}}, beam, 2000, 1, 1);
        EXPECT_NEAR(tally.back[0].left(0) + tally.through[0].left(0), 1, 1e-12);
      }
  const Tally within = walk({0.6, 1.5, {1.0}}, Beam::from_backing, 2000, 1, 1);
  EXPECT_NEAR(within.back[0].left(0) + within.through[0].left(0), 1, 1e-12);
}

// Diffuse light runs twice the thickness on average, whatever scatters it (the mean chord of a
// slab, which scattering leaves as it is: Blanco & Fournier 2003, from memory; provable from an
// enclosure filled with light).
TEST(Photons, MeanWayIsTwiceTheThickness) {
  for (double g : {0.0, 0.6, 0.9})
    for (double depth : {0.3, 3.0}) {
      std::vector<double> means;
      double mean = 0, squares = 0;
      constexpr int batches = 10;
      for (int b = 0; b < batches; ++b) {
        const Tally tally =
            walk({g, 1, {depth}}, Beam::diffuse, photons(10'000), 2, static_cast<std::uint64_t>(b));
        means.push_back(tally.back[0].total() + tally.through[0].total());
        mean += means.back() / batches;
      }
      for (double m : means) squares += (m - mean) * (m - mean);
      const double error = std::sqrt(squares / (batches - 1) / batches);
      EXPECT_NEAR(mean, 2 * depth, errors_allowed * error) << g << ' ' << depth;
    }
}

/// Chandrasekhar's H (Radiative Transfer, 1950) for isotropic scattering, from his integral
/// equation.
std::function<double(double)> h_function(double albedo) {
  constexpr int steps = 400;
  std::vector<double> H(steps, 1.0);
  const auto value = [albedo](const std::vector<double>& of, double mu) {
    double sum = 0;
    for (int k = 0; k < steps; ++k) {
      const double nu = (k + 0.5) / steps;
      sum += nu * of[static_cast<std::size_t>(k)] / (mu + nu) / steps;
    }
    return 1 / (std::sqrt(1 - albedo) + albedo / 2 * sum);
  };
  for (int round = 0; round < 80; ++round) {
    std::vector<double> better(steps);
    for (int k = 0; k < steps; ++k)
      better[static_cast<std::size_t>(k)] = value(H, (k + 0.5) / steps);
    H = better;
  }
  return [=](double mu) { return value(H, mu); };
}

// Thick isotropic slabs: the half-space's reflectance factor is albedo/4 H(mu) H(mu0) / (mu + mu0),
// and a beam's whole reflectance 1 - H(mu0) sqrt(1 - albedo) (Chandrasekhar 1950).
TEST(Photons, HalfSpace) {
  for (double albedo : {0.6, 0.9, 0.97}) {
    const auto H = h_function(albedo);
    const double scattered = 20, absorbed = scattered * (1 / albedo - 1);
    const double mu0 = std::sqrt(0.5);
    const Sent slanted({0, 1, {scattered}}, Geometry::lamp_45_read_0, photons(40'000), 3);
    const Sent diffuse({0, 1, {scattered}}, Geometry::diffuse_read_8, photons(40'000), 3);
    const double mu8 = std::cos(8 * pi / 180);
    // 1e-5: the integral equation on 400 steps.
    expect_near(slanted.over(absorbed, 0.5), albedo / 4 * H(1) * H(mu0) / (1 + mu0), 1e-5, "45:0");
    expect_near(diffuse.over(absorbed, 0.5), 1 - H(mu8) * std::sqrt(1 - albedo), 1e-5, "d:8");
  }
}

// Thin slabs scatter at most once: 45:0 reads depth/(4 mu0) of what the phase function sends up
// (first order in the depth, so 2 % of it at a depth of 0.002 over black), and the rest goes by.
TEST(Photons, ThinSlab) {
  const double depth = 0.002, mu0 = std::sqrt(0.5);
  for (double g : {0.0, 0.6}) {
    const Sent sent({g, 1, {depth}}, Geometry::lamp_45_read_0, photons(80'000), 4);
    const double cosine = -mu0;
    const double phase = (1 - g * g) / std::pow(1 + g * g - 2 * g * cosine, 1.5);
    const double once = depth * phase / (4 * mu0);
    expect_near(sent.over(0, 0), once, 0.02 * once, "once");
    EXPECT_NEAR(sent.functions(0.3).t_out, std::exp(-0.3), depth);
    EXPECT_NEAR(sent.functions(0.3).t_in, std::exp(-0.3 / mu0), depth);
  }
}

/// The plainest photon: a direction in space, absorbed or scattered by chance, thrown back by the
/// matt backing by chance; true when it comes out above.
bool comes_out(const Medium& medium, double absorbed, double Rg, CounterRandom& random) {
  const double depth = medium.depths[0], g = medium.asymmetry;
  const double albedo = depth / (depth + absorbed), total = depth + absorbed;
  double z = 0;
  double x[3] = {std::sin(8 * pi / 180), 0, std::cos(8 * pi / 180)};
  while (true) {
    z -= std::log(random.uniform()) / total * x[2];
    if (z < 0) return true;
    double cosine = 0;
    double axis[3] = {x[0], x[1], x[2]};
    if (z > 1) {
      if (random.uniform() > Rg) return false;
      z = 1;
      axis[0] = axis[1] = 0;
      axis[2] = -1;
      cosine = std::sqrt(random.uniform());
    } else {
      if (random.uniform() > albedo) return false;
      const double f = (1 - g * g) / (1 - g + 2 * g * random.uniform());
      cosine = (1 + g * g - f * f) / (2 * g);
    }
    // Any direction across the axis, by taking the axis's part out of one by chance.
    double across[3], along = 0, length = 0;
    for (int i = 0; i < 3; ++i) along += (across[i] = random.normal()) * axis[i];
    for (int i = 0; i < 3; ++i) across[i] -= along * axis[i];
    for (double a : across) length += a * a;
    const double sine = std::sqrt(1 - cosine * cosine) / std::sqrt(length);
    for (int i = 0; i < 3; ++i) x[i] = cosine * axis[i] + sine * across[i];
  }
}

// Four functions, path lengths and absorption laid on afterwards, against photons that are followed
// plainly to their end. By reciprocity a beam at 8 degrees stands for diffuse:8.
TEST(Photons, FourFunctionsAreExact) {
  const Medium medium{0.4, 1, {1.5}};
  const double absorbed = 0.1, Rg = 0.7;
  const Sent sent(medium, Geometry::diffuse_read_8, photons(100'000), 5);
  CounterRandom random(6);
  const std::size_t count = photons(300'000);
  double out = 0;
  for (std::size_t i = 0; i < count; ++i)
    out += comes_out(medium, absorbed, Rg, random) ? 1.0 / static_cast<double>(count) : 0;
  const double error = std::sqrt(out * (1 - out) / static_cast<double>(count));
  const Estimate over = sent.over(absorbed, Rg);
  EXPECT_NEAR(over.value, out, errors_allowed * std::hypot(over.error, error));
}

// Under an ideal face, over a backing that takes nothing: all that enters leaves again, which for a
// beam at 8 degrees is 1 less Fresnel's share (Born & Wolf, Principles of Optics).
TEST(Photons, GlossyFilmOverWhite) {
  const double outside = 1 - fresnel_from_within(refracted(std::cos(8 * pi / 180), 1.5), 1.5);
  for (double depth : {0.01, 1.0}) {
    const Sent sent({0.5, 1.5, {depth}}, Geometry::diffuse_read_8, photons(40'000), 8);
    expect_near(sent.over(0, 1), outside, 0, "white");
    EXPECT_LT(sent.over(0.2, 0.9).value, sent.over(0, 0.9).value);
  }
  // Diffuse light meets an index of 1.5 from within: 0.596 comes back (Duntley 1942, from memory).
  const Sent clear({0, 1.5, {1e-6}}, Geometry::lamp_45_read_0, photons(40'000), 9);
  const Estimate back = clear.estimate(0, [](const Functions& f) { return f.r_d; });
  expect_near(back, 0.596, 5e-4, "from within");
}

// Many depths in one walk are the same slabs as each alone.
TEST(Photons, DepthsTogetherAreDepthsAlone) {
  const std::vector<double> depths{0.2, 0.9, 2.5};
  const Sent together({0.5, 1, depths}, Geometry::lamp_45_read_0, photons(60'000), 10);
  for (std::size_t k = 0; k < depths.size(); ++k) {
    const Sent alone({0.5, 1, {depths[k]}}, Geometry::lamp_45_read_0, photons(60'000), 11);
    for (double Rg : {0.0, 0.8}) {
      const Estimate a = together.over(0.1, Rg, k), b = alone.over(0.1, Rg);
      EXPECT_NEAR(a.value, b.value, errors_allowed * std::hypot(a.error, b.error));
    }
  }
}

// Lengths that were counted in bins, against the same without bins.
TEST(Photons, PathLengthBinsAreFine) {
  PathLengths lengths;
  double exact = 0;
  for (int i = 1; i <= 4000; ++i) {
    const double length = 0.01 * i, weight = std::exp(-length / 3);
    lengths.add(length, weight);
    exact += weight * std::exp(-1.7 * length);
  }
  EXPECT_NEAR(lengths.left(1.7) / exact, 1, 1e-5);
}

}  // namespace
}  // namespace mendtone::photons::photons_test
