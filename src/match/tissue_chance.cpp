#include "mendtone/match/tissue_chance.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <map>

#include "match/rank_kernel.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/optics/inversion.hpp"
#include "mendtone/optics/many_flux_inversion.hpp"

namespace mendtone {
namespace {

constexpr std::size_t most_pooled = 60;  // enough to span how readings vary; keeps a draw cheap

using Rows = std::vector<const std::vector<double>*>;

/// how single readings vary, from every sheet that was read more than once.
struct Pool {
  Rows rows;
  std::size_t freedom = 0;  ///< repeats less their means

  void add(const SheetReading* reading) {
    if (reading == nullptr || reading->deviations.empty() || rows.size() >= most_pooled) return;
    for (const auto& deviation : reading->deviations) rows.push_back(&deviation);
    freedom += reading->deviations.size() - 1;
  }
};

class Draw {
 public:
  Draw(const Pool& pool, std::size_t bands) : pool_(pool), bands_(bands) {}

  /// A mean as it might have been: mean + sum of z_j deviation_j / sqrt(n (n - 1)), which has
  /// exactly the covariance that the repeats give their mean.
  std::vector<double> mean_of(const SheetReading& reading, CounterRandom& random) const {
    std::vector<double> drawn = reading.mean;
    const double n = static_cast<double>(reading.deviations.size());
    if (n > 1) {
      for (const auto& deviation : reading.deviations)
        add(random.normal() / std::sqrt(n * (n - 1)), deviation, drawn);
    } else if (pool_.freedom > 0) {
      for (const auto* deviation : pool_.rows)
        add(random.normal() / std::sqrt(static_cast<double>(pool_.freedom)), *deviation, drawn);
    }
    return drawn;
  }

  /// The piles of 1, 2 … `most` plies as they might have been.
  std::vector<std::vector<Slab>> piles_of(const ReadBy& by, int most, CounterRandom& random) const {
    const std::vector<double> dark = mean_of(*by.dark, random), light = mean_of(*by.light, random);
    if (by.ply != nullptr) return many_flux_piles(by, dark, light, most);
    std::vector<Slab> one(bands_);
    for (std::size_t i = 0; i < bands_; ++i)
      one[i] = slab_of({dark[i], by.dark->Rg[i]}, {light[i], by.light->Rg[i]});
    if (by.dark->plies != 1) one = thinned(one, by.dark->plies);
    std::vector<std::vector<Slab>> piles{one};
    while (piles.size() < static_cast<std::size_t>(most)) {
      piles.push_back(piles.back());
      for (std::size_t i = 0; i < bands_; ++i) piles.back()[i] = in_front(one[i], piles.back()[i]);
    }
    return piles;
  }

  /// Works out once how a ply of many fluxes answers to its two readings.
  void learn(const ReadBy& by) {
    if (by.ply == nullptr || answers_.count(by.ply) > 0) return;
    std::vector<Answer>& answers = answers_[by.ply];
    for (std::size_t i = 0; i < bands_; ++i) {
      const auto reading = [&](const SheetReading& r) {
        return PathReading{PathReading::Kind::over_backing, r.mean[i], r.Rg[i], r.plies};
      };
      const PathReading two[] = {reading(*by.dark), reading(*by.light)};
      const PathFound found = path_from(two, viewing_of(by.ply->model));
      answers.push_back({found.by_reading[0], found.by_reading[1]});
    }
  }

 private:
  void add(double z, const std::vector<double>& deviation, std::vector<double>& to) const {
    for (std::size_t i = 0; i < bands_; ++i) to[i] += z * deviation[i];
  }

  /// As the inversion, its projections cut short: a draw needs no last digit.
  static Slab slab_of(OverBacking dark, OverBacking light) {
    if (dark.Rg > light.Rg) std::swap(dark, light);
    if (light.R - dark.R < opaque_below) return {dark.R, dark.R, 0};
    const ReadThrough through = through_two_backings(dark, light);
    const double R = std::clamp(through.R0, 0.0, 1.0);
    const double T = std::min(std::sqrt(std::max(through.T2, 0.0)), 1 - R);
    return {R, R, T};
  }

  static std::vector<Slab> thinned(std::vector<Slab> pile, int plies) {
    for (Slab& slab : pile)
      if (slab.T > 0) {
        const LayerCoefficients c = coefficients(slab.R12, slab.T);
        slab = layer(c.KX / plies, c.SX / plies);
      }
    return pile;
  }

  struct Answer {
    Path to_dark, to_light;
  };

  std::vector<std::vector<Slab>> many_flux_piles(const ReadBy& by, const std::vector<double>& dark,
                                                 const std::vector<double>& light, int most) const {
    Ply drawn = *by.ply;
    const std::vector<Answer>& answers = answers_.at(by.ply);
    for (std::size_t i = 0; i < bands_; ++i) {
      const double by_dark = dark[i] - by.dark->mean[i], by_light = light[i] - by.light->mean[i];
      const auto& [d, l] = answers[i];
      drawn.K[i] = std::max(0.0, drawn.K[i] + d.absorption * by_dark + l.absorption * by_light);
      drawn.S[i] = std::max(0.0, drawn.S[i] + d.scattering * by_dark + l.scattering * by_light);
    }
    std::vector<std::vector<Slab>> piles;
    for (int n = 1; n <= most; ++n) {
      piles.push_back(stacked(drawn, n));
      for (std::size_t i = 0; i < bands_; ++i)  // what is opaque shows its own reading
        if (drawn.opaque[i]) piles.back()[i] = Slab(dark[i], dark[i], 0);
    }
    return piles;
  }

  const Pool& pool_;
  std::size_t bands_;
  std::map<const Ply*, std::vector<Answer>> answers_;
};

/// The problem as it would stand had the sheet been read again.
RankProblem redrawn(const ChanceProblem& problem, const Draw& draw, CounterRandom& random) {
  RankProblem again = *problem.rank;
  if (problem.sheet.light == nullptr) {
    const double n = static_cast<double>(problem.sheet_deviations.size());
    for (const Lab& deviation : problem.sheet_deviations) {
      const double z = random.normal() / std::sqrt(n * (n - 1));
      for (LightAim& light : again.lights) {
        light.sheet = {light.sheet.L + z * deviation.L, light.sheet.a + z * deviation.a,
                       light.sheet.b + z * deviation.b};
        light.aim = offset(light.sheet, problem.aim_dL, problem.aim_dC);
      }
    }
    return again;
  }
  Sheet sheet;
  sheet.grid = problem.drawer->grid();
  if (problem.sheet.dark != nullptr) {
    sheet.body = draw.piles_of(problem.sheet, 1, random).front();
    sheet.opaque.assign(sheet.body.size(), false);
    for (std::size_t i = 0; i < sheet.body.size(); ++i)
      sheet.seen.push_back(over(sheet.body[i], problem.backing[i]));
  } else {
    sheet.seen = draw.mean_of(*problem.sheet.light, random);
  }
  for (RankPlace& place : again.places) {
    const std::string unknown = place.setting.light_sheet_unknown;
    const double gloss = place.setting.gloss;
    place.setting = *setting_for(place.use, place.side, sheet, problem.backing);
    place.setting.light_sheet_unknown = unknown;
    place.setting.gloss = gloss;
    if (place.margin) place.margin = *setting_for(Use::tear, place.side, sheet, problem.backing);
  }
  for (LightAim& light : again.lights) {
    light.sheet = light.weights.lab_unchecked(sheet.seen);
    light.aim = offset(light.sheet, problem.aim_dL, problem.aim_dC);
  }
  if (again.light_sheet) {
    std::vector<double> T;
    for (const Slab& slab : sheet.body) T.push_back(slab.out);
    again.light_sheet->sheet = again.light_sheet->weights.lab_unchecked(T);
  }
  return again;
}

/// The piles of one tissue in one trial, planar.
class DrawnPiles {
 public:
  explicit DrawnPiles(const std::vector<std::vector<Slab>>& piles) : bands_(piles[0].size()) {
    planes_.resize(piles.size() * SlabPlanes::count * bands_);
    for (std::size_t n = 0; n < piles.size(); ++n)
      SlabPlanes::put(piles[n], planes_.data() + n * SlabPlanes::count * bands_);
  }
  RankPlan::Pile pile(int plies, bool opaque) const {
    const std::size_t from = static_cast<std::size_t>(plies - 1) * SlabPlanes::count * bands_;
    return {SlabPlanes(planes_.data() + from, bands_), false, opaque};
  }

 private:
  std::size_t bands_;
  std::vector<double> planes_;
};

/// Which candidates belong to one tissue, and how thick the thickest is.
struct Group {
  std::uint32_t tissue;
  int most_plies = 1;
  std::vector<std::size_t> candidates;
};

std::vector<Group> by_tissue(std::span<const Ranked> candidates) {
  std::vector<Group> groups;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    const auto known = std::find_if(groups.begin(), groups.end(), [&](const Group& group) {
      return group.tissue == candidates[i].tissue;
    });
    Group& group =
        known != groups.end() ? *known : groups.emplace_back(Group{candidates[i].tissue, 1, {}});
    group.most_plies = std::max<int>(group.most_plies, candidates[i].plies);
    group.candidates.push_back(i);
  }
  return groups;
}

std::string why_not(const ChanceProblem& problem, const Pool& pool) {
  if (pool.freedom == 0)
    return "nothing was read more than once, so how the readings vary is not known";
  if (problem.sheet.light == nullptr && problem.sheet_deviations.size() < 2)
    return "the sheet's L*a*b* was read once, so how it varies is not known";
  return {};
}

}  // namespace

Chance chance_of_being_nearest(const ChanceProblem& problem, std::span<const Ranked> candidates) {
  assert(problem.drawer != nullptr && problem.rank != nullptr);
  Chance chance;
  if (candidates.empty()) return chance;
  const std::vector<Group> groups = by_tissue(candidates);
  Pool pool;
  std::vector<const SheetReading*> used{problem.sheet.dark, problem.sheet.light};
  for (const Group& group : groups)
    for (const SheetReading* reading :
         {problem.tissues[group.tissue].dark, problem.tissues[group.tissue].light})
      used.push_back(reading);
  for (const SheetReading* reading : used) {
    pool.add(reading);
    if (reading != nullptr && reading->deviations.empty()) chance.pooled = true;
  }
  chance.why_not = why_not(problem, pool);
  if (!chance.why_not.empty()) return chance;

  const std::size_t bands = problem.drawer->bands();
  Draw draw(pool, bands);
  draw.learn(problem.sheet);
  for (const Group& group : groups) draw.learn(problem.tissues[group.tissue]);
  std::vector<double> wins(candidates.size(), 0.0);
  for (int trial = 0; trial < problem.trials; ++trial) {
    CounterRandom random(problem.seed, static_cast<std::uint64_t>(trial));
    const RankProblem again = redrawn(problem, draw, random);
    RankPlan plan(again, bands);
    const Aims aims = aims_of(again);
    double best = 1e300;
    std::size_t winner = 0;
    for (const Group& group : groups) {
      const ReadBy& by = problem.tissues[group.tissue];
      const bool as_read = by.dark == nullptr;
      std::vector<std::vector<Slab>> drawn(1);
      if (as_read)
        for (const double R : draw.mean_of(*by.light, random)) drawn[0].push_back({R, R, 0});
      else
        drawn = draw.piles_of(by, group.most_plies, random);
      const DrawnPiles piles(drawn);
      for (const std::size_t c : group.candidates) {
        Ranked judged = candidates[c];
        RankPlan::Pile pile =
            piles.pile(as_read ? 1 : judged.plies, problem.drawer->opaque(judged.tissue));
        pile.as_read = as_read;
        judge(plan.seen(judged.place, pile), aims, again, judged.place, judged);
        if (judged.score < best) {
          best = judged.score;
          winner = c;
        }
      }
    }
    wins[winner] += 1;
  }
  for (double& count : wins) count /= problem.trials;
  chance.nearest = std::move(wins);
  return chance;
}

}  // namespace mendtone
