#include "match/recipe_search.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <cstdlib>
#include <new>

#include "match/invented_wash.hpp"
#include "mendtone/colour/difference.hpp"

namespace {
std::atomic<long> allocations{0};
}  // namespace

// Counts every allocation of this program, so that a test can show a loop without any.
void* operator new(std::size_t size) {
  ++allocations;
  if (void* p = std::malloc(size)) return p;
  throw std::bad_alloc();
}
// std::stable_sort asks with this one, and a sanitizer would answer it otherwise.
void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
  ++allocations;
  return std::malloc(size);
}
void* operator new(std::size_t size, std::align_val_t line) {
  ++allocations;
  const auto step = static_cast<std::size_t>(line);
  if (void* p = std::aligned_alloc(step, (size + step - 1) / step * step)) return p;
  throw std::bad_alloc();
}
[[gnu::noinline]] void operator delete(void* p) noexcept {
  std::free(p);
}
[[gnu::noinline]] void operator delete(void* p, std::size_t) noexcept {
  std::free(p);
}
[[gnu::noinline]] void operator delete(void* p, std::align_val_t) noexcept {
  std::free(p);
}
[[gnu::noinline]] void operator delete(void* p, std::size_t, std::align_val_t) noexcept {
  std::free(p);
}

namespace mendtone::recipe_search_test {
namespace {

bool long_run() {
  return std::getenv("MENDTONE_LONG") != nullptr;
}

/// Loads of `count` colorants, log-uniform over a factor of 50 below half the maximum.
std::vector<double> random_loads(const WashProblem& p, int count, CounterRandom& random) {
  std::vector<double> loads(p.palette.colorants.size(), 0.0);
  while (std::count_if(loads.begin(), loads.end(), [](double c) { return c > 0; }) < count) {
    const auto c = random.below(static_cast<std::uint32_t>(loads.size()));
    loads[c] = p.max_load[c] * 0.5 * std::pow(50.0, -random.uniform());
  }
  return loads;
}

enum class Place { loss, tear, tear_in_front, film };

WashProblem in_place(Place place, double exponent, LayerModel model = LayerModel::two_fluxes) {
  WashProblem p = invented::problem(5, 36, 3, 11, exponent);
  p.palette.model = p.palette.ply.model = model;
  for (Colorant& c : p.palette.colorants) c.filling = 0.2;
  const Slab sheet{0.4, 0.38, 0.5};
  const std::size_t bands = p.palette.grid.size();
  // With and without absorbers that screen each other.
  const bool screens = model == LayerModel::two_fluxes;
  p.palette.screening = screens && (place == Place::tear || place == Place::film) ? 2 : 0;
  p.palette.quenching = p.palette.screening / 40;
  if (place == Place::tear) p.place.above.assign(bands, sheet);
  if (place == Place::tear_in_front) p.place.beneath.assign(bands, sheet);
  if (place == Place::film) {
    p.palette.application = Application::film;
    p.palette.interface = {0.01, 0.04, 0.5};
  }
  p.transmitted.known = place != Place::film;
  p.transmitted.weights = p.lights[0].weights;
  p.transmitted.sheet = {60, 3, 20};
  for (LightAim& light : p.lights) light.sheet = light.aim = {72, 4, 18};
  return p;
}

/// Strengths of some loads, and the objective's square by the public formulas.
double by_public_formulas(const WashProblem& p, const std::vector<double>& loads) {
  const double objective = predict(p, loads)->objective;
  const auto used = std::count_if(loads.begin(), loads.end(), [](double c) { return c > 0; });
  return objective * objective - p.weights.colorants * static_cast<double>(used);
}

TEST(RecipeObjective, IsThatOfThePublicFormulas) {
  for (double exponent : {1.0, 0.85})
    for (Place place : {Place::loss, Place::tear, Place::tear_in_front, Place::film}) {
      const WashProblem p = in_place(place, exponent);
      const auto compiled = detail::compile<double>(p, {});
      CounterRandom random(3);
      for (int i = 0; i < 20; ++i) {
        const std::vector<double> loads = random_loads(p, 3, random);
        std::vector<int> colorants;
        std::vector<double> strengths;
        for (int c = 0; c < 5; ++c)
          if (loads[c] > 0) {
            colorants.push_back(c);
            strengths.push_back(p.palette.colorants[c].law.value(loads[c]));
          }
        const double F = by_public_formulas(p, loads);
        // Rests on 1e-9 added under three roots of CIEDE2000, so that its slope exists at grey.
        EXPECT_NEAR(detail::scalar_objective(compiled, colorants, strengths.data(), nullptr), F,
                    1e-7 * (1 + F));
      }
    }
}

// Of many fluxes the search knows a polynomial: 3e-4 of the objective's square in double precision.
TEST(RecipeObjective, OfManyFluxesIsNearThePublicFormulas) {
  for (LayerModel model : {LayerModel::many_fluxes_45_0, LayerModel::many_fluxes_sphere})
    for (Place place : {Place::loss, Place::tear, Place::tear_in_front, Place::film}) {
      const WashProblem p = in_place(place, 0.85, model);
      const auto compiled = detail::compile<double>(p, {});
      CounterRandom random(3);
      for (int i = 0; i < 20; ++i) {
        const std::vector<double> loads = random_loads(p, 3, random);
        std::vector<int> colorants;
        std::vector<double> strengths;
        for (int c = 0; c < 5; ++c)
          if (loads[c] > 0) {
            colorants.push_back(c);
            strengths.push_back(p.palette.colorants[c].law.value(loads[c]));
          }
        const double F = by_public_formulas(p, loads);
        EXPECT_NEAR(detail::scalar_objective(compiled, colorants, strengths.data(), nullptr), F,
                    3e-4 * (1 + F))
            << static_cast<int>(place);
      }
    }
}

// What made the target is found again, or something as good, in every place.
TEST(RecipeSearch, FindsWhatManyFluxesMadeTheTargetOf) {
  for (Place place : {Place::loss, Place::tear, Place::film}) {
    WashProblem p = in_place(place, 0.85, LayerModel::many_fluxes_45_0);
    p.transmitted.known = false;
    p.at_most = 3;
    CounterRandom random(5);
    for (int i = 0; i < 4; ++i) {
      std::vector<double> loads = random_loads(p, 1 + i % 3, random);
      for (double& load : loads) load *= 0.4;
      invented::aim_at(p, loads);
      const auto found = search_recipes(p);
      ASSERT_TRUE(found);
      EXPECT_LE(found->recipes.front().colour.objective, predict(p, loads)->objective + 0.002)
          << static_cast<int>(place) << ' ' << i;
    }
  }
}

TEST(RecipeObjective, SlopeIsThatOfDifferences) {
  for (LayerModel model : {LayerModel::two_fluxes, LayerModel::many_fluxes_45_0})
    for (Place place : {Place::loss, Place::tear, Place::tear_in_front, Place::film}) {
      const WashProblem p = in_place(place, 0.85, model);
      const auto compiled = detail::compile<double>(p, {});
      const std::vector<int> colorants{0, 2, 3};
      const double at[3] = {0.2, 0.35, 0.1};
      double slope[3];
      detail::scalar_objective(compiled, colorants, at, slope);
      for (int i = 0; i < 3; ++i) {
        const double h = 1e-5;
        double lower[3] = {at[0], at[1], at[2]}, upper[3] = {at[0], at[1], at[2]};
        lower[i] -= h;
        upper[i] += h;
        const double difference = (detail::scalar_objective(compiled, colorants, upper, nullptr) -
                                   detail::scalar_objective(compiled, colorants, lower, nullptr)) /
                                  (2 * h);
        EXPECT_NEAR(slope[i], difference, 1e-5 * (1 + std::abs(difference)));
      }
    }
}

TEST(RecipeSearch, RecoversTargetsMadeFromKnownLoads) {
  WashProblem p = invented::problem(8, 36, 3, 21, 0.85);
  CounterRandom random(8);
  for (int i = 0; i < 12; ++i) {
    invented::aim_at(p, random_loads(p, 1 + i % 3, random));
    const auto found = search_recipes(p);
    ASSERT_TRUE(found);
    EXPECT_LE(found->recipes.front().colour.by_light[0].de00, 0.02);
    EXPECT_TRUE(found->exact);
    EXPECT_EQ(found->searched, 1u + 8 + 28 + 56);
  }
}

TEST(RecipeSearch, SolvesOn31And81BandsAndFiveLights) {
  for (std::size_t bands : {31u, 81u}) {
    WashProblem p = invented::problem(5, bands, 5, 4);
    CounterRandom random(bands);
    const auto loads = random_loads(p, 2, random);
    invented::aim_at(p, loads);
    const auto found = search_recipes(p);
    ASSERT_TRUE(found);
    EXPECT_LE(found->recipes.front().colour.by_light[0].de00, 0.02);
  }
}

/// Of `cases` targets with 0.2 % noise, those whose set could be told from every other of its size
/// and those of them whose set stands among the first five.
std::pair<int, int> told_apart(int cases) {
  WashProblem p = invented::problem(7, 36, 3, 33);
  CounterRandom random(77);
  int distinguishable = 0, found = 0;
  for (int i = 0; distinguishable < cases && i < 40 * cases; ++i) {
    p.at_most = 2 + i % 2;
    const auto loads = random_loads(p, p.at_most, random);
    const std::vector<double> R = *predict_reflectance(p, loads);
    invented::aim_at(p, loads, 0.002, 500 + static_cast<std::uint64_t>(i));
    const double noise = de00(*p.lights[0].weights.lab(R), p.lights[0].sheet);
    WashProblem clean = p;
    invented::aim_at(clean, loads);
    clean.top = 40;
    const auto uses = [&](const Recipe& r) {
      for (std::size_t c = 0; c < loads.size(); ++c)
        if ((r.loads[c] > 0) != (loads[c] > 0)) return false;
      return true;
    };
    const auto others = search_recipes(clean);
    const bool apart =
        std::none_of(others->recipes.begin(), others->recipes.end(), [&](const Recipe& r) {
          return !uses(r) && r.colour.objective <= others->recipes[0].colour.objective + 3 * noise;
        });
    if (!apart) continue;
    ++distinguishable;
    const auto noisy = search_recipes(p);
    const auto last =
        noisy->recipes.begin() + std::min<long>(5, static_cast<long>(noisy->recipes.size()));
    found += std::any_of(noisy->recipes.begin(), last, uses);
  }
  return {distinguishable, found};
}

TEST(RecipeSearch, TellsTheTrueColorantsThroughNoise) {
  const auto [cases, found] = told_apart(long_run() ? 500 : 30);
  ASSERT_GE(cases, long_run() ? 500 : 30);
  EXPECT_GE(found, 0.95 * cases);
}

TEST(RecipeSearch, IsTheSameForAnyNumberOfThreads) {
  WashProblem p = invented::problem(16, 36, 3, 5, 0.85);
  CounterRandom random(2);
  invented::aim_at(p, random_loads(p, 3, random), 0.01);
  p.at_most = 4;
  const auto one = search_recipes(p, 1);
  for (int threads : {2, 5}) {
    const auto many = search_recipes(p, threads);
    ASSERT_EQ(many->recipes.size(), one->recipes.size());
    EXPECT_EQ(many->searched, one->searched);
    for (std::size_t i = 0; i < one->recipes.size(); ++i)
      EXPECT_EQ(many->recipes[i].loads, one->recipes[i].loads);
  }
}

TEST(RecipeSearch, NeverPassesItsLimits) {
  WashProblem p = invented::problem(6, 36, 3, 6);
  invented::aim_at(p, {1.5, 0, 1.8, 0, 0, 0.9});
  for (double& most : p.max_load) most = 0.4;
  p.excluded = {{"c2", "bleeds"}};
  const auto found = search_recipes(p);
  bool limited = false;
  for (const Recipe& r : found->recipes) {
    for (double load : r.loads) {
      EXPECT_GE(load, 0);
      EXPECT_LE(load, 0.4);
    }
    EXPECT_EQ(r.loads[2], 0);
    limited = limited || r.at_limit;
  }
  EXPECT_TRUE(limited);
}

TEST(RecipeSearch, NamesEveryFaultAtOnce) {
  WashProblem p = invented::problem(3, 36, 3, 6);
  p.at_most = 9;
  p.plies = 0;
  p.max_load[1] = -1;
  p.excluded = {{"gold", "dear"}};
  EXPECT_EQ(faults(p).size(), 4u);
  const auto found = search_recipes(p);
  ASSERT_FALSE(found);
  for (const char* part : {"'gold'", "1 to 4 colorants", "at least one ply", "'c1' cannot be -1"})
    EXPECT_NE(found.error().message.find(part), std::string::npos) << part;
}

// No maximum stated: each colorant's own load range is.
TEST(RecipeSearch, ABlankMaximumIsTheLoadRange) {
  WashProblem p = invented::problem(5, 36, 3, 6);
  invented::aim_at(p, {1.5, 0, 1.8, 0, 0.9});
  for (std::size_t c = 0; c < 5; ++c) p.palette.colorants[c].load_range = {0, 0.2 + 0.1 * c};
  WashProblem stated = p;
  for (std::size_t c = 0; c < 5; ++c) stated.max_load[c] = 0.2 + 0.1 * static_cast<double>(c);
  p.max_load.clear();
  EXPECT_TRUE(faults(p).empty());
  const auto blank = search_recipes(p), same = search_recipes(stated);
  ASSERT_TRUE(blank);
  ASSERT_EQ(blank->recipes.size(), same->recipes.size());
  for (std::size_t i = 0; i < same->recipes.size(); ++i)
    EXPECT_EQ(blank->recipes[i].loads, same->recipes[i].loads);
  EXPECT_TRUE(blank->recipes[0].at_limit);
  p.max_load = {1, 1};
  EXPECT_FALSE(search_recipes(p));
}

TEST(RecipeSearch, SaysHowFarItIsAndStopsWhenAsked) {
  WashProblem p = invented::problem(24, 36, 3, 5);
  p.at_most = 4;
  p.skip_hopeless = false;
  for (int threads : {1, 3}) {
    double last = -1;
    int asked = 0;
    const auto whole = search_recipes(p, threads, [&](double done) -> Result<void> {
      EXPECT_GE(done, last);
      EXPECT_LE(done, 1);
      last = done;
      ++asked;
      return {};
    });
    ASSERT_TRUE(whole);
    EXPECT_GE(asked, 6);
    EXPECT_GT(last, 0.5);
    int before_stop = 0;
    const auto stopped = search_recipes(p, threads, [&](double) -> Result<void> {
      if (++before_stop < 3) return {};
      return bad_request("stopped by the person");
    });
    ASSERT_FALSE(stopped);
    EXPECT_EQ(stopped.error().message, "stopped by the person");
    EXPECT_EQ(before_stop, 3);
  }
}

TEST(RecipeSearch, AllocatesNothingInTheLoop) {
  for (LayerModel model : {LayerModel::two_fluxes, LayerModel::many_fluxes_45_0})
    for (Place place : {Place::loss, Place::tear, Place::film}) {
      const WashProblem p = in_place(place, 0.85, model);
      const auto compiled = detail::compile<float>(p, {});
      const std::uint8_t subsets[] = {0, 1, 2, 3, 1, 2, 3, 4, 2, 3, 4, 0, 3, 4, 0, 1};
      float F[16], strengths[16];
      for (int size = 1; size <= detail::most_searched; ++size) {
        detail::LaneSolver solver(compiled, size);
        const long before = allocations;
        for (int i = 0; i < 3; ++i) solver.solve(subsets, 16 / size, F, strengths);
        EXPECT_EQ(allocations, before) << size << " colorants";
        EXPECT_GT(solver.evaluations(), 0u);
      }
    }
}

TEST(RecipeSearch, BoundedFindsWhatExhaustiveFinds) {
  std::uint64_t skipped = 0;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    WashProblem p = invented::problem(10, 31, 3, seed, seed % 2 == 0 ? 0.85 : 1.0);
    CounterRandom random(seed);
    invented::aim_at(p, random_loads(p, 1 + static_cast<int>(seed % 4), random), 0.002, seed);
    p.at_most = 4;
    const auto bounded = search_recipes(p);
    p.skip_hopeless = false;
    const auto exhaustive = search_recipes(p);
    EXPECT_TRUE(bounded->exact);
    EXPECT_EQ(exhaustive->skipped, 0u);
    EXPECT_EQ(bounded->searched + bounded->skipped, exhaustive->searched);
    EXPECT_EQ(bounded->proof.starts_with("bounded"), bounded->skipped > 0);
    ASSERT_EQ(bounded->recipes.size(), exhaustive->recipes.size());
    for (std::size_t i = 0; i < bounded->recipes.size(); ++i)
      EXPECT_EQ(bounded->recipes[i].loads, exhaustive->recipes[i].loads) << seed << ' ' << i;
    skipped += bounded->skipped;
  }
  EXPECT_GT(skipped, 0u);
}

/// The search's answer must stand where no slope points: a stall on a bound once passed for a
/// minimum.
TEST(RecipeSearch, StopsOnlyWhereNothingIsToBeGained) {
  WashProblem p = invented::problem(12, 36, 3, 7, 0.85);
  CounterRandom random(4);
  for (LightAim& light : p.lights) light.sheet = light.aim = {78, 3, 17};
  const auto compiled = detail::compile<double>(p, {});
  for (int i = 0; i < 60; ++i) {
    std::vector<int> set;
    while (set.size() < 4) {
      const int c = static_cast<int>(random.below(12));
      if (std::find(set.begin(), set.end(), c) == set.end()) set.push_back(c);
    }
    double u[4], slope[4];
    for (int j = 0; j < 4; ++j) u[j] = 0.3 * compiled.strength[set[j]].u_max;
    detail::finish(compiled, set, u);
    const double F = detail::scalar_objective(compiled, set, u, slope);
    for (int j = 0; j < 4; ++j) {
      const double most = compiled.strength[set[j]].u_max;
      const double inward = u[j] == 0      ? std::min(slope[j], 0.0)
                            : u[j] == most ? std::max(slope[j], 0.0)
                                           : slope[j];
      // Stalls leave slopes of hundreds; 1e-9 of the objective let lie leaves some 1e-3.
      EXPECT_LT(std::abs(inward) * most, 0.02 * (1 + std::sqrt(F))) << i;
    }
  }
}

TEST(BestLoads, OnlyAddToWhatIsThere) {
  WashProblem p = invented::problem(4, 36, 3, 6, 0.85);
  invented::aim_at(p, {0.3, 0.2, 0, 0.1});
  const std::vector<double> least{0.35, 0.1, 0, 0};
  const Recipe r = *best_loads(p, {0, 1, 3}, least);
  for (std::size_t c = 0; c < 4; ++c) EXPECT_GE(r.loads[c], least[c] * (1 - 1e-12));
  EXPECT_LT(r.colour.by_light[0].de00, predict(p, least)->by_light[0].de00);
}

}  // namespace
}  // namespace mendtone::recipe_search_test
