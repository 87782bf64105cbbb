#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "match/invented_wash.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/match/coats.hpp"
#include "mendtone/match/colorant_facts.hpp"
#include "mendtone/match/correct.hpp"
#include "mendtone/match/dispense.hpp"

namespace mendtone::wash_steps_test {
namespace {

const std::vector<double> recipe_loads{0.5, 0.25, 0, 0.1};

WashProblem paper() {
  WashProblem p = invented::problem(4, 36, 3, 6, 0.85);
  invented::aim_at(p, recipe_loads);
  return p;
}

DispenseProblem bath() {
  DispenseProblem d;
  d.volume_ml = 200;
  d.pick_up_ml_m2 = 180;
  d.area_m2 = 0.1;
  d.coats = 2;
  for (int c = 0; c < 4; ++c)
    d.stocks.push_back({"bottle " + std::to_string(c), "c" + std::to_string(c), 0.04, 0.05});
  return d;
}

TEST(Coats, DarkenStepByStepUpToTheRecipe) {
  const WashProblem p = paper();
  const std::vector<Coat> plan = *coats(p, recipe_loads, 5);
  ASSERT_EQ(plan.size(), 5u);
  for (std::size_t i = 1; i < plan.size(); ++i)
    EXPECT_LT(plan[i].colour.by_light[0].lab.L, plan[i - 1].colour.by_light[0].lab.L);
  EXPECT_EQ(plan.back().loads, recipe_loads);
  EXPECT_NEAR(plan.back().colour.by_light[0].de00, 0, 1e-9);
  EXPECT_EQ(first_trial_coat(5), 4);
  EXPECT_EQ(first_trial_coat(1), 1);
}

TEST(LetDown, NamesTheGapThatEachSheetFills) {
  const WashProblem p = paper();
  std::vector<double> half = recipe_loads;
  for (double& load : half) load /= 2;
  const Lab gap = predict(p, half)->by_light[0].lab;
  const auto series = *let_down_series(p, recipe_loads, {1, 0.5, 0.25}, {gap});
  EXPECT_NEAR(series[1].gap_de00[0], 0, 1e-9);
  EXPECT_GT(series[0].gap_de00[0], 1);
  EXPECT_GT(series[2].gap_de00[0], 1);
}

// concentration = load / (pick-up x coats); ml = concentration x volume / strength: by hand,
// 0.5 g/m2 / (180 ml/m2 x 2) x 200 ml / 0.04 g/ml = 6.944 ml.
TEST(Dispense, BathFollowsFromPickUpAndVolume) {
  const WashProblem p = paper();
  const DispenseProblem d = bath();
  ASSERT_TRUE(faults(d, p, recipe_loads).empty());
  const DispensePlan plan = *dispense(d, p, recipe_loads);
  ASSERT_EQ(plan.items.size(), 4u);
  EXPECT_NEAR(plan.items[0].ml, 0.5 / 360 * 200 / 0.04, 1e-12);
  EXPECT_EQ(plan.items.back().stock, "water");
  double total = 0;
  for (const Dispensed& item : plan.items) total += item.drops_ml;
  EXPECT_NEAR(total, 200, 1e-9);
  EXPECT_DOUBLE_EQ(plan.taken_per_dip_ml, 18);
  EXPECT_DOUBLE_EQ(plan.needed_ml, 36);
  EXPECT_DOUBLE_EQ(plan.loss_per_dip, 0.09);
}

// A light that cannot be predicted is shown, and changes neither the search nor the worst light.
TEST(Recipe, WhatCannotBePredictedDecidesNothing) {
  WashProblem marked = paper(), without = paper();
  ASSERT_GE(marked.lights.size(), 2u);
  marked.lights.back().predictable = false;
  marked.lights.back().aim.b += 20;
  marked.lights.back().sheet.b += 20;
  without.lights.pop_back();
  const auto one = search_recipes(marked), two = search_recipes(without);
  ASSERT_TRUE(one && two);
  EXPECT_EQ(one->recipes.front().loads, two->recipes.front().loads);
  const Predicted colour = *predict(marked, recipe_loads), plain = *predict(without, recipe_loads);
  EXPECT_EQ(colour.objective, plain.objective);
  EXPECT_EQ(colour.worst, plain.worst);
  EXPECT_GT(colour.by_light.back().de00, 5);
  marked.lights.front().predictable = false;
  ASSERT_EQ(faults(marked).size(), 1u);
}

// 0.5 g/m2 x 0.1 m2 / 0.04 g/ml = 1.25 ml, whatever the volume.
TEST(Dispense, BrushLaysAllOfItDown) {
  const WashProblem p = paper();
  DispenseProblem d = bath();
  d.method = Method::brush;
  for (double volume : {10.0, 30.0}) {
    d.volume_ml = volume;
    EXPECT_NEAR(dispense(d, p, recipe_loads)->items[0].ml, 1.25, 1e-12);
  }
}

// 0.05 g/m2 x 0.1 m2 in the 2 ml laid down: 2.5 mg/ml, so 75 mg or 1.875 ml of stock in 30 ml.
TEST(Dispense, BrushLaysPartOfItDown) {
  const WashProblem p = paper();
  DispenseProblem d = bath();
  d.method = Method::brush;
  d.volume_ml = 30;
  d.laid_ml = 2;
  std::vector<double> thin = recipe_loads;
  for (double& load : thin) load *= 0.1;
  EXPECT_NEAR(dispense(d, p, thin)->items[0].ml, 1.875, 1e-12);
  d.laid_ml = 31;
  ASSERT_FALSE(faults(d, p, thin).empty());
  EXPECT_NE(faults(d, p, thin)[0].find("than is made up"), std::string::npos);
}

TEST(Dispense, WholeDropsAreNoWorseThanRoundedOnes) {
  const WashProblem p = paper();
  for (double strength : {0.04, 0.3, 1.5}) {
    DispenseProblem d = bath();
    for (Stock& stock : d.stocks) stock.strength_per_ml = strength;
    const DispensePlan plan = *dispense(d, p, recipe_loads);
    const double load_per_drop = strength * 0.05 / 200 * 180 * 2;
    std::vector<double> rounded = recipe_loads;
    for (double& load : rounded) load = std::round(load / load_per_drop) * load_per_drop;
    EXPECT_LE(plan.colour.objective, predict(p, rounded)->objective + 1e-12);
    EXPECT_GT(plan.one_drop_de00, 0);
  }
}

// What is not in the mix is not what may be miscounted.
TEST(Dispense, WhatComesToNoDropIsNotTheCoarsestDrop) {
  const WashProblem p = paper();
  DispenseProblem d = bath();
  for (std::size_t coarse = 0; coarse < d.stocks.size(); ++coarse) {
    DispenseProblem with = d;
    with.stocks[coarse].strength_per_ml = 60;  // a hundredth of a drop would do
    const DispensePlan plan = *dispense(with, p, recipe_loads);
    bool measured = false, left_out = true;
    for (const Dispensed& item : plan.items) {
      measured = measured || item.stock == plan.one_drop_stock;
      left_out = left_out && item.stock != with.stocks[coarse].name;
    }
    EXPECT_TRUE(measured) << plan.one_drop_stock;
    if (left_out) EXPECT_NE(plan.one_drop_stock, with.stocks[coarse].name);
  }
}

/// Every combination of drops within two of the exact one, by the public formulas.
struct BestDrops {
  double objective = 1e300;
  bool has_lowest = false;  ///< some stock takes the fewest drops that are looked at
};
BestDrops best_drops(const WashProblem& p, double exact[3], double load_per_drop) {
  BestDrops best;
  const int used[] = {0, 1, 3};
  for (int at = 0; at < 4 * 4 * 4; ++at) {
    std::vector<double> loads(4, 0.0);
    bool lowest = false, sound = true;
    for (int i = 0, rest = at; i < 3; ++i, rest /= 4) {
      const int fewest = static_cast<int>(std::floor(exact[i])) - 1, drops = fewest + rest % 4;
      sound = sound && drops >= 0;
      lowest = lowest || rest % 4 == 0;
      loads[static_cast<std::size_t>(used[i])] = drops * load_per_drop;
    }
    if (!sound) continue;
    const double objective = predict(p, loads)->objective;
    if (objective < best.objective) best = {objective, lowest};
  }
  return best;
}

// Coarse drops, so that the best combination often lies off the nearest whole ones: two drops
// either way of each stock are tried, the fewest of them included.
TEST(Dispense, TriesEveryCombinationWithinTwoDrops) {
  const WashProblem p = paper();
  int lowest_won = 0;
  for (double strength = 0.2; strength < 0.9; strength += 0.05) {
    DispenseProblem d = bath();
    for (Stock& stock : d.stocks) stock.strength_per_ml = strength;
    const double load_per_drop = strength * 0.05 / 200 * 180 * 2;
    double exact[] = {recipe_loads[0] / load_per_drop, recipe_loads[1] / load_per_drop,
                      recipe_loads[3] / load_per_drop};
    const BestDrops best = best_drops(p, exact, load_per_drop);
    EXPECT_NEAR(dispense(d, p, recipe_loads)->colour.objective, best.objective, 1e-9) << strength;
    lowest_won += best.has_lowest;
  }
  EXPECT_GT(lowest_won, 0);
}

// Three sheets in two coats are six dips; each takes 0.1 m2 x 180 ml/m2 = 18 ml of 200 ml, and a
// bath topped up with water has 0.91^5 of its strength at the sixth: 62 %.
TEST(Dispense, ABathToppedUpWithWaterWeakensDipByDip) {
  const WashProblem p = paper();
  DispenseProblem d = bath();
  d.sheets = 3;
  const DispensePlan plan = *dispense(d, p, recipe_loads);
  EXPECT_NEAR(plan.loss_per_dip, 0.09, 1e-12);
  std::vector<double> sixth = plan.loads;
  for (double& load : sixth) load *= 0.91 * 0.91 * 0.91 * 0.91 * 0.91;
  EXPECT_NEAR(plan.last_dip_de00,
              de00(plan.colour.by_light[0].lab, predict(p, sixth)->by_light[0].lab), 1e-9);
  const std::string& advice = plan.advice.back();
  EXPECT_NE(advice.find("dip 6 would lay 62 % of the first"), std::string::npos) << advice;
}

TEST(Dispense, CoarseDropsAreLetDown) {
  const WashProblem p = paper();
  DispenseProblem d = bath();
  for (Stock& stock : d.stocks) stock.strength_per_ml = 1.5;
  const DispensePlan plan = *dispense(d, p, recipe_loads);
  ASSERT_FALSE(plan.advice.empty());
  EXPECT_NE(plan.advice[0].find("let it down first"), std::string::npos);
}

/// Drops and millilitres of one line are one amount, and the loads are those of it; the card fills
/// the volume. More than 20 drops (common practice, no source) are measured some other way.
TEST(Dispense, DropsAndMillilitresOfOneLineAgree) {
  const WashProblem p = paper();
  for (double strength : {0.04, 0.5}) {
    DispenseProblem d = bath();
    for (Stock& stock : d.stocks) stock.strength_per_ml = strength;
    const DispensePlan plan = *dispense(d, p, recipe_loads);
    const std::vector<double> used{plan.loads[0], plan.loads[1], plan.loads[3]};
    ASSERT_EQ(plan.items.size(), 4u) << "three stocks and water";
    double ml = 0;
    int many = 0;
    for (std::size_t i = 0; i < 3; ++i) {
      const Dispensed& item = plan.items[i];
      EXPECT_NEAR(item.drops_ml, *item.drops * 0.05, 1e-12) << item.stock;
      EXPECT_NEAR(used[i], item.drops_ml * strength / 200 * 180 * 2, 1e-12) << item.stock;
      ml += item.drops_ml;
      many += *item.drops > 20;
    }
    EXPECT_NEAR(ml + plan.items[3].drops_ml, 200, 1e-9);
    int said = 0;
    for (const std::string& advice : plan.advice) {
      if (advice.find("easily miscounted") == std::string::npos) continue;
      ++said;
      EXPECT_NE(advice.find("with a pipette if you have one; else make a stock"), std::string::npos)
          << advice;
    }
    EXPECT_EQ(said, many);
    EXPECT_EQ(many > 0, strength < 0.1);
  }
}

TEST(Dispense, NamesEveryFaultAtOnce) {
  const WashProblem p = paper();
  DispenseProblem d;
  const auto found = faults(d, p, recipe_loads);
  EXPECT_EQ(found.size(), 5u);  // volume, pick-up, three stocks
  d = bath();
  for (Stock& stock : d.stocks) stock.strength_per_ml = 1e-4;
  EXPECT_NE(faults(d, p, recipe_loads).front().find("too weak"), std::string::npos);
}

/// What a trial reads whose loads really were `real`.
Trial trial_of(const WashProblem& p, std::vector<double> meant, const std::vector<double>& real,
               bool same_sheet = false) {
  return {std::move(meant), same_sheet, *predict_reflectance(p, real)};
}

TEST(Correct, FindsAStrongStockOverSeveralTrials) {
  const WashProblem p = paper();
  std::vector<double> real = recipe_loads;
  real[0] *= 1.12;
  std::vector<Trial> trials;
  Spreads spreads;
  double before = 1;
  for (int n = 1; n <= 6; ++n) {
    trials.push_back(trial_of(p, recipe_loads, real));
    const Learnt learnt = *learn_from(p, trials, spreads);
    EXPECT_GT(learnt.colorants[0].strength, before - 1e-9);
    before = learnt.colorants[0].strength;
    EXPECT_NEAR(learnt.colorants[3].strength, 1, 0.05);
    if (n < 6) continue;
    EXPECT_NEAR(before, 1.12, learnt.colorants[0].u95);
  }
  EXPECT_GT(before, 1.04);
}

TEST(Correct, BlamesTheDropsFirstWhereTheyStrayMost) {
  const WashProblem p = paper();
  std::vector<double> real = recipe_loads;
  real[0] *= 1.1;
  Spreads loose, strict;
  loose.dosing = 0.1;
  loose.strength = 0.01;
  loose.model_de00 = 0.05;
  strict.dosing = strict.pick_up = 0.002;
  const std::vector<Trial> trials{trial_of(p, recipe_loads, real)};
  const Learnt one = *learn_from(p, trials, loose), other = *learn_from(p, trials, strict);
  EXPECT_GT(one.of_which_dosing, 0.8);
  EXPECT_LT(other.of_which_dosing, 0.1);
  EXPECT_LT(one.colorants[0].strength, 1.02);
}

TEST(Correct, AddsWhatIsMissingToTheSheetInHand) {
  const WashProblem p = paper();
  std::vector<double> meant = recipe_loads, real = recipe_loads;
  for (double& load : meant) load *= 0.8;
  for (double& load : real) load *= 0.75;
  const Corrections next = *correct(p, p.place, {0, 1, 3}, {trial_of(p, meant, real)}, {});
  EXPECT_TRUE(next.coat_is_nearer);
  std::vector<double> then = real;
  for (std::size_t c = 0; c < then.size(); ++c) {
    EXPECT_GE(next.coat.loads[c], 0);
    then[c] += next.coat.loads[c];
  }
  EXPECT_LT(predict(p, then)->by_light[0].de00, 0.25);
  EXPECT_LT(predict(p, then)->by_light[0].de00, predict(p, real)->by_light[0].de00 / 5);
}

TEST(Correct, SaysWhenTheSheetInHandIsTooDark) {
  const WashProblem p = paper();
  std::vector<double> real = recipe_loads;
  for (double& load : real) load *= 1.3;
  const Corrections next = *correct(p, p.place, {0, 1, 3}, {trial_of(p, recipe_loads, real)}, {});
  EXPECT_FALSE(next.coat_is_nearer);
}

TEST(ColorantFacts, EveryOneIsSourcedOrSaysThatItIsNot) {
  const std::set<std::string> groups{"preferred", "usable", "flag", "caution", "avoid", "toxic"};
  const auto facts = colorant_facts();
  EXPECT_GE(facts.size(), 30u);
  std::set<std::string> names;
  for (const ColorantFact& fact : facts) {
    EXPECT_TRUE(groups.count(fact.group)) << fact.colour_index;
    EXPECT_FALSE(fact.source.empty()) << fact.colour_index;
    EXPECT_TRUE(names.insert(fact.colour_index + (fact.called.empty() ? "" : fact.called.front())).second) << fact.colour_index;
  }
  EXPECT_EQ(colorant_fact("PY43")->group, "preferred");
  EXPECT_EQ(colorant_fact("PY37")->group, "toxic");
  EXPECT_FALSE(colorant_fact("PX0"));
}

// What no trial laid down is known as before: 1.96 standard deviations of a stock hold 95 of 100
// (Gaussian, any table).
TEST(Correct, AColorantNeverLaidDownKeepsWhatWasThoughtOfIt) {
  const WashProblem p = paper();
  std::vector<double> real = recipe_loads;
  real[0] *= 1.1;
  const Spreads spreads;
  const Learnt learnt = *learn_from(p, {trial_of(p, recipe_loads, real)}, spreads);
  EXPECT_EQ(learnt.colorants[2].strength, 1);
  EXPECT_NEAR(learnt.colorants[2].u95, 1.95996 * spreads.strength, 1e-3 * spreads.strength);
  EXPECT_LT(learnt.colorants[0].u95, learnt.colorants[2].u95);
}

// What data can get wrong is refused, in every build.
TEST(WashSteps, RefuseWhatDoesNotFit) {
  const WashProblem p = paper(), empty;
  EXPECT_FALSE(predict(empty, {}));
  EXPECT_FALSE(predict(p, {0.1, 0.1}));
  EXPECT_FALSE(predict(p, {0.1, 0.1, 0, -1}));
  EXPECT_FALSE(predict_reflectance(p, {0.1}));
  EXPECT_FALSE(coats(p, recipe_loads, 0));
  EXPECT_FALSE(coats(empty, {}, 3));
  EXPECT_FALSE(let_down_series(p, recipe_loads, {0}));
  EXPECT_FALSE(best_loads(p, {}));
  EXPECT_FALSE(best_loads(p, {0, 0}));
  EXPECT_FALSE(best_loads(p, {0, 4}));
  EXPECT_FALSE(best_loads(p, {0}, {1}));
  EXPECT_FALSE(dispense({}, p, recipe_loads));
  EXPECT_FALSE(dispense(bath(), p, {1}));
  EXPECT_FALSE(learn_from(p, {}, {}));
  const Trial trial = trial_of(p, recipe_loads, recipe_loads);
  EXPECT_FALSE(learn_from(empty, {trial}, {}));
  EXPECT_FALSE(learn_from(p, {{{0.1}, false, trial.reflectance}}, {}));
  EXPECT_FALSE(learn_from(p, {{recipe_loads, false, {0.5}}}, {}));
  EXPECT_FALSE(correct(p, p.place, {}, {trial}, {}));
  EXPECT_FALSE(correct(p, p.place, {0, 1, 2, 3, 4, 5}, {trial}, {}));
  EXPECT_FALSE(correct(p, {}, {0, 1}, {trial}, {}));
  EXPECT_FALSE(expected(p, recipe_loads, {}));
  const auto refused = predict(p, {0.1});
  EXPECT_NE(refused.error().message.find("each of 4 colorants, found 1"), std::string::npos);
}

}  // namespace
}  // namespace mendtone::wash_steps_test
