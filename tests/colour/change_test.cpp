#include "mendtone/colour/change.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "long_runs.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/conformance.hpp"
#include "mendtone/colour/grey_scale.hpp"
#include "mendtone/colour/series.hpp"

namespace mendtone::change_test {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
const Lab paper{86, 2, 14};

/// Repeats about a colour, with the errors that lifting and re-seating makes on paper: mostly in
/// lightness, some of it together with yellowness.
struct Readings {
  Lab mean;
  std::vector<Lab> each;
  ColourSeries series() const { return {mean, each}; }
};

Readings read(CounterRandom& random, const Lab& truth, int n, double size = 1) {
  Readings readings;
  for (int i = 0; i < n; ++i) {
    const double zL = random.normal(), za = random.normal(), zb = random.normal();
    const Lab one{truth.L + size * 0.20 * zL, truth.a + size * 0.06 * za,
                  truth.b + size * (0.05 * zL + 0.12 * zb)};
    readings.each.push_back(one);
    readings.mean.L += one.L / n;
    readings.mean.a += one.a / n;
    readings.mean.b += one.b / n;
  }
  return readings;
}

/// A colour that differs from paper by so much, darker, redder and yellower.
Lab at_distance(double distance) {
  const auto at = [](double t) {
    return Lab{paper.L - 0.6 * t, paper.a + 0.3 * t, paper.b + 0.74 * t};
  };
  double low = 0, high = 100;
  for (int i = 0; i < 100; ++i) {
    const double middle = (low + high) / 2;
    (de00(paper, at(middle)) < distance ? low : high) = middle;
  }
  return distance == 0 ? paper : at(high);
}

/// The interval that one would draw without thinking: the middle 95 % of the measured difference
/// blurred by its own uncertainty.
std::array<double, 2> plain_monte_carlo(const Readings& before, const Readings& after,
                                        CounterRandom& random) {
  const auto blurred = [&](const Readings& r) {
    const double n = static_cast<double>(r.each.size());
    Lab lab = r.mean;
    for (const Lab& one : r.each) {  // a random combination has the covariance of the mean
      const double z = random.normal() / std::sqrt(n * (n - 1));
      lab.L += z * (one.L - r.mean.L);
      lab.a += z * (one.a - r.mean.a);
      lab.b += z * (one.b - r.mean.b);
    }
    return lab;
  };
  std::vector<double> found;
  for (int i = 0; i < 400; ++i) found.push_back(de00(blurred(before), blurred(after)));
  std::sort(found.begin(), found.end());
  return {found[9], found[389]};
}

struct Case {
  double truth;
  int n;
};

class Coverage : public testing::TestWithParam<Case> {};

/// Mean length of Student's interval for the difference of two means of n readings each, along the
/// difference, were the axes of CIEDE2000 straight; along the lightness axis where there is none.
double students_length(const Lab& after, int n) {
  // What one reading strays by along the way from paper to `after`, from the errors of `read`.
  const Lab way = after.L == paper.L ? Lab{paper.L - 1, paper.a, paper.b} : after;
  const double whole = de00(paper, way);
  const auto slope = [&](double L, double a, double b) {
    return (de00(paper, {way.L + L, way.a + a, way.b + b}) - whole) / 1e-4;
  };
  const double zL = slope(0.20e-4, 0, 0.05e-4), za = slope(0, 0.06e-4, 0),
               zb = slope(0, 0, 0.12e-4);
  const double sd = std::sqrt(zL * zL + za * za + zb * zb);
  return 2 * student_quantile(0.975, 2.0 * (n - 1)) * sd * std::sqrt(2.0 / n);
}

// 93-98 % of the intervals hold the true difference: all of 2,000 pairs with MENDTONE_LONG, else
// of 150, where chance alone moves the share by up to three standard deviations.
TEST_P(Coverage, IsWhatItSays) {
  const auto [truth, n] = GetParam();
  const std::size_t pairs = test::count(2000, 150);
  const double slack = pairs == 2000 ? 0 : 3 * std::sqrt(0.95 * 0.05 / 150);
  const Lab after = at_distance(truth);
  std::size_t held = 0, held_plain = 0;
  double length = 0;
  for (std::size_t i = 0; i < pairs; ++i) {
    CounterRandom random(95, i * 1000 + static_cast<std::size_t>(n));
    const Readings one = read(random, paper, n), two = read(random, after, n);
    ChangeSettings settings;
    settings.seed = i;
    const Change found = *change(one.series(), two.series(), settings);
    length += found.interval95[1] - found.interval95[0];
    held += found.interval95[0] <= truth && truth <= found.interval95[1];
    if (truth > 0) continue;
    const auto plain = plain_monte_carlo(one, two, random);
    held_plain += plain[0] <= truth && truth <= plain[1];
  }
  const double share = static_cast<double>(held) / static_cast<double>(pairs);
  EXPECT_GE(share, 0.93 - slack);
  // 150 pairs cannot tell 98 % from all: there the intervals' length says that they are not wide.
  if (slack == 0) EXPECT_LE(share, 0.98);
  // A small difference on three readings is held against zero along three axes (Hotelling's T2),
  // which is wider than Student's one axis.
  const double wider = n == 3 && truth < 1 ? 1.4 : 1.15;
  EXPECT_LE(length / static_cast<double>(pairs), wider * students_length(after, n));
  if (truth == 0) EXPECT_EQ(held_plain, 0u);  // it never holds the truth that nothing changed
}

INSTANTIATE_TEST_SUITE_P(Differences, Coverage,
                         testing::Values(Case{0, 3}, Case{0, 5}, Case{0, 10}, Case{0.3, 3},
                                         Case{0.3, 5}, Case{0.3, 10}, Case{1, 3}, Case{1, 5},
                                         Case{1, 10}, Case{5, 3}, Case{5, 5}, Case{5, 10}));

/// Repeats of paper that stray alike along the three axes of CIEDE2000 there.
Readings even(CounterRandom& random, int n, double sigma) {
  const double L = de00(paper, {paper.L + 0.01, paper.a, paper.b}) / 0.01,
               a = de00(paper, {paper.L, paper.a + 0.01, paper.b}) / 0.01,
               b = de00(paper, {paper.L, paper.a, paper.b + 0.01}) / 0.01;
  Readings readings;
  for (int i = 0; i < n; ++i) {
    const Lab one{paper.L + sigma / L * random.normal(), paper.a + sigma / a * random.normal(),
                  paper.b + sigma / b * random.normal()};
    readings.each.push_back(one);
    readings.mean.L += one.L / n;
    readings.mean.a += one.a / n;
    readings.mean.b += one.b / n;
  }
  return readings;
}

// Noise alone, equal sigma on three axes and n readings: E[DeltaE] = 1.596 sigma sqrt(2/n).
// 1.596 is the mean of the Maxwell distribution, sqrt(8/pi). Computed; 0.226 and 0.101 printed.
TEST(Change, NoiseAloneGivesTheMaxwellMean) {
  EXPECT_NEAR(std::sqrt(8 / 3.14159265358979323846), 1.596, 5e-4);
  CounterRandom random(1596);
  for (const auto& [n, printed] : {std::pair{1, 0.226}, std::pair{5, 0.101}}) {
    // Repeats that stray by 0.1 along each axis of CIEDE2000, as ten readings show it: `noise_de00`
    // is what an unchanged spot would then show between two means of n. One reading says nothing of
    // its spread, so that its figure stands for the ten times that it is of the mean of a hundred.
    const double scale = n == 1 ? 1 / std::sqrt(100.0) : 1;
    const int shown = n == 1 ? 100 : n;
    double sum = 0;
    const int trials = n == 1 ? 30 : 300;
    for (int i = 0; i < trials; ++i) {
      const Readings one = even(random, shown, 0.1), two = even(random, shown, 0.1);
      ChangeSettings settings;
      settings.draws = 400;
      settings.seed = static_cast<std::uint64_t>(i);
      sum += change(one.series(), two.series(), settings)->noise_de00 / trials;
    }
    // A spread that eight degrees of freedom show is on average 4 % short of the true one.
    EXPECT_NEAR(sum / scale, printed, 0.05 * printed);
  }
}

// What is stated as a mean CIEDE2000 between two sessions comes back as the noise of an unchanged
// spot.
TEST(Change, StatedReproducibilityComesBackAsNoise) {
  const std::vector<Lab> one{paper};
  ChangeSettings settings;
  settings.reproducibility_de00 = 0.4;
  settings.single_reading_de00 = 1e-9;
  settings.draws = 20000;
  const Change found = *change({paper, one}, {paper, one}, settings);
  EXPECT_EQ(found.spread_from, SpreadFrom::stated);
  EXPECT_NEAR(found.noise_de00, 0.4, 5 * 0.17 / std::sqrt(20000));
  EXPECT_EQ(found.de00, 0);
  EXPECT_EQ(found.interval95[0], 0);
}

TEST(Change, TheBiasNearZeroIsShownAndTakenOff) {
  CounterRandom random(11);
  double measured = 0, unbiased_square = 0;
  constexpr int trials = 300;
  for (int i = 0; i < trials; ++i) {
    ChangeSettings settings;
    settings.draws = 50;
    const Readings one = read(random, paper, 5), two = read(random, paper, 5);
    const Change found = *change(one.series(), two.series(), settings);
    measured += found.de00 / trials;
    unbiased_square += found.unbiased_de00 * found.unbiased_de00 / trials;
    EXPECT_LE(found.unbiased_de00, found.de00);
  }
  EXPECT_GT(measured, 0.05);  // though nothing changed
  EXPECT_LT(std::sqrt(unbiased_square), measured);
}

TEST(Change, NothingChangedIsWithin) {
  const std::vector<Lab> same{paper, paper, paper};
  const Change found = *change({paper, same}, {paper, same});
  EXPECT_EQ(found.verdict, Verdict::within);
  EXPECT_EQ(found.de00, 0);
  EXPECT_LT(found.u95, 1e-3);
}

TEST(Change, VerdictsHaveAGuardBand) {
  CounterRandom random(106);
  const auto verdict = [&](double truth, int n) {
    const Readings one = read(random, paper, n), two = read(random, at_distance(truth), n);
    return *change(one.series(), two.series());
  };
  EXPECT_EQ(verdict(0.1, 10).verdict, Verdict::within);
  EXPECT_EQ(verdict(3, 10).verdict, Verdict::beyond);
  const Change near = verdict(0.8, 5);
  EXPECT_EQ(near.verdict, Verdict::undecided);
  EXPECT_LT(near.guarded_limit_de00, 0.8);
}

TEST(Change, SaysHowManyMoreReadingsWouldDecide) {
  CounterRandom random(7);
  const Lab after = at_distance(1.1);
  int advised = 0, decided = 0;
  for (int i = 0; i < 25; ++i) {
    const Readings one = read(random, paper, 3, 1.5), two = read(random, after, 3, 1.5);
    const Change few = *change(one.series(), two.series());
    if (few.verdict != Verdict::undecided || !few.more_readings) continue;
    ++advised;
    const int n = 3 + *few.more_readings + 3;  // a few to spare: the spread was itself a guess
    const Readings more_one = read(random, paper, n, 1.5), more_two = read(random, after, n, 1.5);
    decided += change(more_one.series(), more_two.series())->verdict != Verdict::undecided;
  }
  EXPECT_GE(advised, 5);
  EXPECT_GE(decided, advised * 7 / 10);
}

TEST(Change, WhenTheInstrumentIsTheLimitNoNumberOfReadingsDecides) {
  CounterRandom random(8);
  const Readings one = read(random, paper, 5, 0.1), two = read(random, at_distance(0.85), 5, 0.1);
  ChangeSettings settings;
  settings.reproducibility_de00 = 0.5;
  const Change found = *change(one.series(), two.series(), settings);
  EXPECT_EQ(found.verdict, Verdict::undecided);
  EXPECT_FALSE(found.more_readings);
}

TEST(Change, FewRepeatsAreWiderThanMany) {
  CounterRandom random(9);
  double few = 0, many = 0, single = 0;
  for (int i = 0; i < 20; ++i) {
    const Lab after = at_distance(3);
    const auto width = [&](int n) {
      const Readings one = read(random, paper, n), two = read(random, after, n);
      const Change found = *change(one.series(), two.series());
      return found.interval95[1] - found.interval95[0];
    };
    single += width(1);
    few += width(2);
    many += width(10);
  }
  EXPECT_GT(single, few);
  EXPECT_GT(few, many);
}

TEST(Change, SeedsRepeatExactly) {
  CounterRandom random(10);
  const Readings one = read(random, paper, 4), two = read(random, at_distance(1), 4);
  const Change a = *change(one.series(), two.series()), b = *change(one.series(), two.series());
  EXPECT_EQ(a.interval95, b.interval95);
}

// JCGM 106:2012, one-sided limit, p = Phi((TU - y) / u); computed, after the guide's 9.
TEST(Conformance, GuideValues) {
  EXPECT_NEAR(conformance_probability(1.5, 0.3, 2.0, infinite), 0.9522, 5e-5);
  EXPECT_NEAR(conformance_probability(1.4, 0.3, 2.0, infinite), 0.9772, 5e-5);
  EXPECT_NEAR(conformance_probability(2.0, 0.3, 2.0, infinite), 0.5, 1e-15);
  EXPECT_NEAR(conformance_probability(1.8, 0.2, 2.0, infinite), 0.8413, 5e-5);
  // Guard band w = U = 2u: at most 2.3 % of acceptances are false.
  const double A = acceptance_limit(2.0, 0.6);
  EXPECT_NEAR(1 - conformance_probability(A, 0.3, 2.0, infinite), 0.0228, 5e-5);
}

// Student's and Fisher's tables as any statistics book prints them; from memory.
TEST(Conformance, QuantilesOfTheTables) {
  EXPECT_NEAR(student_quantile(0.975, 4), 2.776, 5e-4);
  EXPECT_NEAR(student_quantile(0.975, 10), 2.228, 5e-4);
  EXPECT_NEAR(student_quantile(0.975, infinite), 1.960, 5e-4);
  EXPECT_NEAR(student_quantile(0.025, 4), -2.776, 5e-4);
  EXPECT_NEAR(fisher_tail(19.16, 3, 2), 0.05, 5e-5);
  EXPECT_NEAR(fisher_tail(3.24, 3, 16), 0.05, 5e-4);
}

// EN ISO 105-A05:1997 clauses 7.2 and 8; test values by computed.mjs, one of
// them from colours that are printed rounded.
TEST(GreyScale, Iso105A05) {
  struct Row {
    Lab before, after;
    double deF, rating, tolerance;
  };
  for (const Row& row :
       {Row{{88, 1, 12}, {87, 1.5, 14}, 2.175529, 3.7203, 5e-7},
        Row{{88, 1, 12}, {84.6, 1, 12}, 3.4, 3.0, 5e-7},
        Row{{75, 6, 22}, {70, 8, 26}, 6.160946, 2.1424, 5e-7},
        Row{{33.4921, 18.2176, 18.7574}, {34.1239, 18.9849, 19.0859}, 0.921890, 4.4577, 5e-5},
        Row{{60, .5, .5}, {46.4, .5, .5}, 13.6, 1.0, 5e-7}}) {
    const GreyScale found = grey_scale(row.before, row.after);
    EXPECT_NEAR(found.deF, row.deF, row.tolerance);
    EXPECT_NEAR(found.rating, row.rating, 5e-5);
  }
  EXPECT_EQ(grey_scale({60, 0, 0}, {60, 0, 0}).step, "5");
  EXPECT_EQ(grey_scale({60, .5, .5}, {46.4, .5, .5}).step, "1");
}

// ISO 105-A02 grey scale steps: neutral pairs of these CIELAB differences carry these names.
TEST(GreyScale, Iso105A02StepsKeepTheirNames) {
  const std::pair<double, const char*> steps[] = {{0, "5"},     {0.8, "4-5"}, {1.7, "4"},
                                                  {2.5, "3-4"}, {3.4, "3"},   {4.8, "2-3"},
                                                  {6.8, "2"},   {9.6, "1-2"}, {13.6, "1"}};
  for (const auto& [difference, name] : steps)
    EXPECT_EQ(grey_scale({70, 0, 0}, {70 - difference, 0, 0}).step, name) << difference;
}

TEST(Series, FindsWhereFurtherBathsChangeNothing) {
  CounterRandom random(12);
  std::vector<Readings> baths;
  for (double distance : {0.0, 2.0, 2.8, 3.0, 3.0, 3.0})
    baths.push_back(read(random, at_distance(distance), 5, 0.5));
  std::vector<ColourSeries> given;
  for (const Readings& bath : baths) given.push_back(bath.series());
  const Series found = *series(given);
  ASSERT_EQ(found.steps.size(), 5u);
  EXPECT_NEAR(found.steps[1].from_start.de00, 2.8, 0.3);
  EXPECT_NEAR(found.steps[1].from_last.de00, 0.8, 0.3);
  ASSERT_TRUE(found.settled_from);
  EXPECT_GE(*found.settled_from, 2u);
  EXPECT_LE(*found.settled_from, 3u);
  EXPECT_FALSE(series(std::span(given).first(3))->settled_from);
}

}  // namespace
}  // namespace mendtone::change_test
