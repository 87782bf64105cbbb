#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "long_runs.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/repeats.hpp"

// How often the rule for a repeat that stands apart names one of sound repeats, and how often it
// finds one that slipped. Repeats vary normally, more in lightness than in colour, as an instrument
// does that is put down anew each time (invented figures; no instrument was studied).
namespace mendtone::slips_test {

constexpr Lab paper{86, 2, 14};

/// Standard deviations of a repeat.
struct Varies {
  const char* how;
  double L, a, b;
};
constexpr Varies usual{"0.2 L*, 0.06 a*, 0.1 b*", 0.2, 0.06, 0.1},
    wide{"0.4 L*, 0.12 a*, 0.2 b*", 0.4, 0.12, 0.2},
    in_lightness{"0.2 L*, 0.01 a* and b*", 0.2, 0.01, 0.01};

/// From `paper` into a direction drawn by chance, as far as `de` CIEDE2000.
Lab slipped(CounterRandom& random, double de) {
  const double L = random.normal(), a = random.normal(), b = random.normal();
  const auto at = [&](double far) {
    return Lab{paper.L + far * L, paper.a + far * a, paper.b + far * b};
  };
  double low = 0, high = 1;
  while (de00(paper, at(high)) < de) high *= 2;
  for (int i = 0; i < 40; ++i) {
    const double middle = (low + high) / 2;
    (de00(paper, at(middle)) < de ? low : high) = middle;
  }
  return at(high);
}

struct Shares {
  double found = 0;      ///< of groups with a slip: it is named
  double alarms = 0;     ///< of all groups: a sound repeat is named
  double mean_de00 = 0;  ///< of the robust mean from the truth, on average
};

/// `slip` 0: none.
Shares shares(const Varies& varies, int n, double slip) {
  const auto groups = static_cast<int>(test::count(20000, 2000));
  CounterRandom random(20261127, static_cast<std::uint64_t>(100 * n + slip));
  Shares all;
  for (int group = 0; group < groups; ++group) {
    std::vector<Lab> repeats;
    for (int i = 0; i < n; ++i)
      repeats.push_back({paper.L + varies.L * random.normal(), paper.a + varies.a * random.normal(),
                         paper.b + varies.b * random.normal()});
    if (slip > 0) {
      const Lab there = slipped(random, slip);
      repeats[0].L += there.L - paper.L;
      repeats[0].a += there.a - paper.a;
      repeats[0].b += there.b - paper.b;
    }
    bool found = false, alarm = false;
    for (const Outlier& one : outliers(repeats))
      (slip > 0 && one.index == 0 ? found : alarm) = true;
    all.found += found;
    all.alarms += alarm;
    all.mean_de00 += de00(paper, robust_mean(repeats));
  }
  for (double* share : {&all.found, &all.alarms, &all.mean_de00}) *share /= groups;
  return all;
}

// Bounds are what 20,000 groups gave, and four standard errors of 2,000.
TEST(RepeatsApart, SoundRepeatsAreSeldomNamed) {
  struct Case {
    Varies varies;
    double most[3];  ///< for 3, 5 and 10 repeats
  };
  for (const Case& one : {Case{usual, {0.010, 0.017, 0.006}}, Case{wide, {0.017, 0.022, 0.006}},
                          Case{in_lightness, {0.040, 0.070, 0.085}}}) {
    std::printf("%-26s named of sound repeats (3, 5, 10):", one.varies.how);
    for (int i = 0; i < 3; ++i) {
      const Shares sound = shares(one.varies, i == 0 ? 3 : i == 1 ? 5 : 10, 0);
      EXPECT_LE(sound.alarms, one.most[i]) << one.varies.how << ", case " << i;
      std::printf(" %.2f %%", 100 * sound.alarms);
    }
    std::printf("\n");
  }
}

/// Share of groups of sound spectra in which one is named: a paper whose readings differ by an
/// offset, a tilt from one end to the other, and in each band.
double named_of_sound_spectra(int n, double offset, double tilt, double band) {
  const auto groups = static_cast<int>(test::count(20000, 2000));
  const auto grid = WavelengthGrid::equal_steps(400, 10, 31);
  CounterRandom random(20261128, static_cast<std::uint64_t>(n));
  int named = 0;
  for (int group = 0; group < groups; ++group) {
    Repeats repeats;
    for (int i = 0; i < n; ++i) {
      const double by = offset * random.normal(), tilted = tilt * random.normal();
      Reading reading;
      reading.name = "paper";
      reading.spectrum = Spectrum{grid, std::vector<double>(grid.size())};
      for (std::size_t at = 0; at < grid.size(); ++at)
        reading.spectrum->value[at] = 0.78 - 0.35 * std::exp(-(grid.nm()[at] - 380) / 90) + by +
                                      tilted * (grid.nm()[at] - 550) / 150 + band * random.normal();
      repeats.readings.push_back(std::move(reading));
    }
    named += !standing_apart(repeats).empty();
  }
  return named / static_cast<double>(groups);
}

// A spectrum of 31 bands varies along fewer axes than its bands: where an offset outweighs the
// rest, the rule names a sound repeat more often than among colours.
TEST(RepeatsApart, SoundSpectraAreNamedMoreOften) {
  struct Case {
    double offset, tilt, band, most[3];
  };
  for (const Case& one : {Case{0.002, 0.001, 0.0005, {0.006, 0.020, 0.020}},
                          Case{0.005, 0.002, 0.0007, {0.032, 0.115, 0.080}}}) {
    std::printf("spectra, offset %.3f, tilt %.3f: named of sound repeats (3, 5, 10):", one.offset,
                one.tilt);
    for (int i = 0; i < 3; ++i) {
      const double named = named_of_sound_spectra(i == 0   ? 3
                                                  : i == 1 ? 5
                                                           : 10,
                                                  one.offset, one.tilt, one.band);
      EXPECT_LE(named, one.most[i]) << one.offset << ", case " << i;
      std::printf(" %.2f %%", 100 * named);
    }
    std::printf("\n");
  }
}

TEST(RepeatsApart, ASlipIsFoundWhereItMatters) {
  struct Case {
    int n;
    double slip, found, mean_de00;  ///< at least, at most
  };
  for (const Case& one :
       {Case{3, 1, 0.14, 0.34}, Case{3, 3, 0.86, 0.25}, Case{3, 8, 0.99, 0.15},
        Case{5, 1, 0.70, 0.13}, Case{5, 3, 0.99, 0.10}, Case{5, 8, 0.999, 0.10},
        Case{10, 1, 0.90, 0.08}, Case{10, 3, 0.999, 0.07}, Case{10, 8, 0.999, 0.07}}) {
    const Shares with = shares(usual, one.n, one.slip);
    EXPECT_GE(with.found, one.found) << one.n << " repeats, slip of " << one.slip;
    EXPECT_LE(with.mean_de00, one.mean_de00) << one.n << " repeats, slip of " << one.slip;
    std::printf("%2d repeats, slip of %.0f: found %.1f %%, mean off by %.2f\n", one.n, one.slip,
                100 * with.found, with.mean_de00);
  }
}

}  // namespace mendtone::slips_test
