#include "mendtone/match/tissue_rank.hpp"

#include <algorithm>
#include <cassert>
#include <numeric>

#include "match/rank_kernel.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone {

void SlabPlanes::put(std::span<const Slab> slabs, double* plane) {
  for (double Slab::*const number : numbers)
    for (const Slab& slab : slabs) *plane++ = slab.*number;
}

Drawer::Drawer(WavelengthGrid grid, int most_plies)
    : grid_(std::move(grid)), most_plies_(most_plies) {
  assert(most_plies >= 1);
}

std::size_t Drawer::place_of(std::size_t tissue, int plies) const {
  assert(tissue < size() && plies >= 1 && plies <= most_plies_);
  const std::size_t pile =
      tissue * static_cast<std::size_t>(most_plies_) + static_cast<std::size_t>(plies - 1);
  return pile * SlabPlanes::count * bands();
}

SlabPlanes Drawer::planes(std::size_t tissue, int plies) const {
  return {planes_.data() + place_of(tissue, plies), bands()};
}

std::vector<Slab> Drawer::pile(std::size_t tissue, int plies) const {
  std::vector<Slab> slabs(bands());
  const double* plane = planes_.data() + place_of(tissue, plies);
  for (double Slab::*const number : SlabPlanes::numbers)
    for (Slab& slab : slabs) slab.*number = *plane++;
  for (Slab& slab : slabs) slab.straight_in = 0;
  return slabs;
}

void Drawer::put(std::size_t tissue, int plies, std::span<const Slab> pile) {
  assert(pile.size() == bands());
  SlabPlanes::put(pile, planes_.data() + place_of(tissue, plies));
}

void Drawer::reserve(std::size_t tissues) {
  tissues_.reserve(tissues);
  planes_.reserve(tissues * static_cast<std::size_t>(most_plies_) * SlabPlanes::count * bands());
}

std::size_t Drawer::add_piles(std::span<const std::vector<Slab>> piles, bool opaque) {
  assert(piles.size() == static_cast<std::size_t>(most_plies_));
  tissues_.push_back({0, opaque});
  planes_.resize(tissues_.size() * piles.size() * SlabPlanes::count * bands());
  for (std::size_t n = 0; n < piles.size(); ++n)
    put(tissues_.size() - 1, static_cast<int>(n) + 1, piles[n]);
  return tissues_.size() - 1;
}

std::size_t Drawer::add(const Ply& one_ply, bool opaque) {
  std::vector<std::vector<Slab>> piles;
  for (int n = 1; n <= most_plies_; ++n) piles.push_back(stacked(one_ply, n));
  return add_piles(piles, opaque);
}

// A pile through which nothing shines shows its own reading over any backing.
std::size_t Drawer::add_as_read(std::span<const double> R, int plies) {
  assert(R.size() == bands() && plies >= 1 && plies <= most_plies_);
  std::vector<Slab> taken;
  for (const double value : R) taken.push_back({value, value, 0});
  tissues_.push_back({plies, true});
  planes_.resize(tissues_.size() * static_cast<std::size_t>(most_plies_) * SlabPlanes::count *
                 bands());
  put(tissues_.size() - 1, plies, taken);
  return tissues_.size() - 1;
}

std::string in_words(const RankWeights& w) {
  return "score = " + shortest(w.viewing) + " x DeltaE00 under the viewing light + " +
         shortest(w.worst) + " x DeltaE00 under the worst light + " + shortest(w.overlap) +
         " x DeltaE00 of a loss's overlap margin + " + shortest(w.light_sheet) +
         " x DeltaE00 on the light sheet; the lowest is best. Where only this tissue's margin or "
         "transmission is not known, " +
         shortest(w.unknown_overlap_de00) + " and " + shortest(w.unknown_light_sheet_de00) +
         " stand in; what is not known of the sheet is left out for all";
}

std::vector<std::string> faults(const RankProblem& problem, const Drawer& drawer) {
  std::vector<std::string> found;
  if (problem.places.empty()) found.push_back("no use is given");
  if (problem.lights.empty()) found.push_back("no light is given");
  if (problem.fewest_plies < 1 || problem.most_plies < problem.fewest_plies)
    found.push_back("plies run from 1 upwards");
  if (problem.most_plies > drawer.most_plies())
    found.push_back("the drawer was prepared for " + std::to_string(drawer.most_plies()) +
                    " plies at most");
  const auto fits = [&](const Setting& setting) {
    const auto layer = [&](const std::vector<Slab>& slabs) {
      return slabs.empty() || slabs.size() == drawer.bands();
    };
    return setting.grid == drawer.grid() && setting.below.size() == drawer.bands() &&
           layer(setting.above) && layer(setting.beneath);
  };
  const auto planned = [&](const TristimulusWeights& weights) {
    return weights.grid == drawer.grid() && weights.wx.size() == drawer.bands() &&
           weights.wy.size() == drawer.bands() && weights.wz.size() == drawer.bands();
  };
  for (const RankPlace& place : problem.places)
    if (!fits(place.setting) || (place.margin && !fits(*place.margin)))
      found.push_back("the " + std::string(name_of(place.use)) + " stands on another grid");
  for (const LightAim& light : problem.lights)
    if (!planned(light.weights))
      found.push_back("the light " + light.weights.light + " is planned for another grid");
  if (problem.light_sheet && !planned(problem.light_sheet->weights))
    found.push_back("the light sheet is planned for another grid");
  return found;
}

namespace {

Result<void> check(const RankProblem& problem, const Drawer& drawer) {
  const std::vector<std::string> wrong = faults(problem, drawer);
  if (wrong.empty()) return {};
  return bad_input(wrong, "ranking");
}

}  // namespace

Result<std::vector<Ranked>> rank(const Drawer& drawer, const RankProblem& problem) {
  MENDTONE_TRY(check(problem, drawer));
  RankPlan plan(problem, drawer.bands());
  const Aims aims = aims_of(problem);
  DifferenceBatch batch(aims);
  std::vector<Ranked> all;
  all.reserve(drawer.size() * problem.places.size() *
              static_cast<std::size_t>(problem.most_plies - problem.fewest_plies + 1));
  for (std::size_t tissue = 0; tissue < drawer.size(); ++tissue)
    for (int plies = problem.fewest_plies; plies <= problem.most_plies; ++plies) {
      if (!drawer.has(tissue, plies)) continue;
      const RankPlan::Pile pile = pile_of(drawer, tissue, plies);
      for (std::size_t place = 0; place < problem.places.size(); ++place) {
        if (pile.as_read && problem.places[place].use != Use::loss) continue;
        Ranked candidate;
        candidate.tissue = static_cast<std::uint32_t>(tissue);
        candidate.place = static_cast<std::uint8_t>(place);
        candidate.plies = static_cast<std::uint8_t>(plies);
        batch.add(plan.seen(place, pile));
        all.push_back(candidate);
      }
    }
  batch.compute();
  for (std::size_t i = 0; i < all.size(); ++i) score(batch.at(i), problem, all[i].place, all[i]);
  std::vector<std::uint32_t> order(all.size());
  std::iota(order.begin(), order.end(), 0u);
  std::sort(order.begin(), order.end(), [&](std::uint32_t one, std::uint32_t two) {
    return all[one].score != all[two].score ? all[one].score < all[two].score : one < two;
  });
  std::vector<Ranked> ordered;
  ordered.reserve(all.size());
  for (const std::uint32_t i : order) ordered.push_back(all[i]);
  return ordered;
}

Result<RankedColours> colours(const Drawer& drawer, const RankProblem& problem,
                              const Ranked& candidate) {
  MENDTONE_TRY(check(problem, drawer));
  if (candidate.tissue >= drawer.size() || candidate.place >= problem.places.size() ||
      candidate.plies < 1 || candidate.plies > drawer.most_plies() ||
      !drawer.has(candidate.tissue, candidate.plies))
    return bad_input("this candidate is not in the drawer or in the question");
  const std::vector<Slab> pile = drawer.pile(candidate.tissue, candidate.plies);
  const RankPlace& place = problem.places[candidate.place];
  const std::vector<double> R = MENDTONE_TRY(seen(place.setting, pile));
  RankedColours result;
  for (const LightAim& light : problem.lights)
    result.by_light.push_back(light.weights.lab_unchecked(R));
  if (drawer.as_read(candidate.tissue)) return result;
  if (place.margin) {
    const std::vector<double> margin = MENDTONE_TRY(seen(*place.margin, pile));
    result.margin = problem.lights.front().weights.lab_unchecked(margin);
  }
  if (problem.light_sheet && place.setting.light_sheet_unknown.empty() &&
      !drawer.opaque(candidate.tissue)) {
    const std::vector<double> T = MENDTONE_TRY(shone_through(place.setting, pile));
    result.light_sheet = problem.light_sheet->weights.lab_unchecked(T);
  }
  return result;
}

}  // namespace mendtone
