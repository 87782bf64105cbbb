#include "match/rank_kernel.hpp"

#include <algorithm>
#include <cassert>

#include "mendtone/colour/de00_planar.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

std::vector<const TristimulusWeights*> all_lights(const RankProblem& problem) {
  std::vector<const TristimulusWeights*> lights;
  for (const LightAim& aim : problem.lights) lights.push_back(&aim.weights);
  return lights;
}

const TristimulusWeights* viewing_light(const RankProblem& problem) {
  return &problem.lights.front().weights;
}

}  // namespace

LightPlan::LightPlan(std::span<const TristimulusWeights* const> lights)
    : stride_(3 * lights.size()) {
  assert(!lights.empty());
  const std::size_t bands = lights.front()->wx.size();
  weights_.resize(bands * stride_);
  sums_.resize(stride_);
  for (std::size_t l = 0; l < lights.size(); ++l) {
    whites_.push_back(lights[l]->white);
    for (std::size_t i = 0; i < bands; ++i) {
      weights_[i * stride_ + 3 * l] = lights[l]->wx[i];
      weights_[i * stride_ + 3 * l + 1] = lights[l]->wy[i];
      weights_[i * stride_ + 3 * l + 2] = lights[l]->wz[i];
    }
  }
}

void LightPlan::labs(std::span<const double> spectrum, std::span<Lab> out) {
  std::fill(sums_.begin(), sums_.end(), 0.0);
  const double* w = weights_.data();
  double* const sums = sums_.data();
  for (const double value : spectrum) {
    for (std::size_t j = 0; j < stride_; ++j) sums[j] += w[j] * value;
    w += stride_;
  }
  for (std::size_t l = 0; l < whites_.size(); ++l)
    out[l] = xyz_to_lab({sums[3 * l], sums[3 * l + 1], sums[3 * l + 2]}, whites_[l]);
}

PlacePlan::Planes::Planes(std::span<const Slab> slabs) {
  for (const Slab& slab : slabs) {
    R12.push_back(slab.R12);
    R21.push_back(slab.R21);
    T.push_back(slab.T);
  }
}

PlacePlan::PlacePlan(const Setting& setting)
    : below_(setting.below),
      above_(setting.above),
      beneath_(setting.beneath),
      gloss_(setting.gloss) {}

void PlacePlan::seen(std::span<const double> R12, std::span<const double> R21,
                     std::span<const double> T, std::span<double> out) const {
  const std::size_t bands = below_.size();
  for (std::size_t i = 0; i < bands; ++i) out[i] = over({R12[i], R21[i], T[i]}, below_[i]);
  if (!above_.T.empty())
    for (std::size_t i = 0; i < bands; ++i)
      out[i] = over({above_.R12[i], above_.R21[i], above_.T[i]}, out[i]);
  if (gloss_ != 0)
    for (std::size_t i = 0; i < bands; ++i) out[i] += gloss_;
}

void PlacePlan::shone_through(std::span<const double> R12, std::span<const double> R21,
                              std::span<const double> T, std::span<double> out) const {
  const std::size_t bands = below_.size();
  std::copy(T.begin(), T.end(), out.begin());
  // The sheet lies on one side only: see setting_for.
  if (!above_.T.empty())
    for (std::size_t i = 0; i < bands; ++i) out[i] *= above_.T[i] / (1 - above_.R21[i] * R12[i]);
  if (!beneath_.T.empty())
    for (std::size_t i = 0; i < bands; ++i)
      out[i] *= beneath_.T[i] / (1 - R21[i] * beneath_.R12[i]);
}

RankPlan::RankPlan(const RankProblem& problem, std::size_t bands)
    : lights_(all_lights(problem)),
      viewing_(std::vector{viewing_light(problem)}),
      spectrum_(bands),
      labs_(problem.lights.size()) {
  for (const RankPlace& place : problem.places) {
    places_.push_back({PlacePlan(place.setting), std::nullopt,
                       problem.light_sheet && place.setting.light_sheet_unknown.empty()});
    if (place.margin) places_.back().margin.emplace(*place.margin);
  }
  if (problem.light_sheet)
    light_sheet_.emplace(std::vector<const TristimulusWeights*>{&problem.light_sheet->weights});
}

RankPlan::Seen RankPlan::seen(std::size_t at, const Pile& pile) {
  const Place& place = places_[at];
  place.setting.seen(pile.R12, pile.R21, pile.T, spectrum_);
  lights_.labs(spectrum_, labs_);
  Seen seen{labs_, nullptr, nullptr};
  if (pile.as_read) return seen;
  if (place.margin) {
    place.margin->seen(pile.R12, pile.R21, pile.T, spectrum_);
    viewing_.labs(spectrum_, {&margin_, 1});
    seen.margin = &margin_;
  }
  if (place.light_sheet && !pile.opaque) {
    place.setting.shone_through(pile.R12, pile.R21, pile.T, spectrum_);
    light_sheet_->labs(spectrum_, {&shone_, 1});
    seen.light_sheet = &shone_;
  }
  return seen;
}

Aims aims_of(const RankProblem& problem) {
  Aims aims;
  for (const LightAim& light : problem.lights) aims.by_light.push_back(light.aim);
  aims.sheet = problem.lights.front().sheet;
  if (problem.light_sheet) aims.light_sheet = problem.light_sheet->sheet;
  return aims;
}

void DifferenceBatch::Column::add(const Lab* lab) {
  const Lab colour = lab != nullptr ? *lab : Lab{};
  L.push_back(colour.L);
  a.push_back(colour.a);
  b.push_back(colour.b);
  known.push_back(lab != nullptr);
}

void DifferenceBatch::Column::compute(const Lab& aim) {
  const std::vector<double> aim_L(L.size(), aim.L), aim_a(L.size(), aim.a), aim_b(L.size(), aim.b);
  de00.resize(L.size());
  de00_planar(LabPlanes<double>{aim_L, aim_a, aim_b}, LabPlanes<double>{L, a, b}, de00);
}

void DifferenceBatch::add(const RankPlan::Seen& seen) {
  const std::size_t lights = seen.by_light.size();
  for (std::size_t l = 0; l < lights; ++l) columns_[l].add(&seen.by_light[l]);
  columns_[lights].add(seen.margin);
  columns_[lights + 1].add(seen.light_sheet);
}

void DifferenceBatch::compute() {
  const std::size_t lights = aims_.by_light.size();
  for (std::size_t l = 0; l < lights; ++l) columns_[l].compute(aims_.by_light[l]);
  columns_[lights].compute(aims_.sheet);
  columns_[lights + 1].compute(aims_.light_sheet.value_or(Lab{}));
  row_.resize(lights);
}

Differences DifferenceBatch::at(std::size_t candidate) const {
  const std::size_t lights = row_.size();
  for (std::size_t l = 0; l < lights; ++l) row_[l] = columns_[l].de00[candidate];
  const auto known = [&](const Column& column) {
    return column.known[candidate] ? std::optional(column.de00[candidate]) : std::nullopt;
  };
  return {row_, known(columns_[lights]), known(columns_[lights + 1])};
}

void score(const Differences& differences, const RankProblem& problem, std::size_t place,
           Ranked& candidate) {
  const RankWeights& w = problem.weights;
  candidate.worst_de00 = -1;
  candidate.de00 = differences.by_light[0];
  const bool some = std::any_of(problem.lights.begin(), problem.lights.end(),
                                [](const LightAim& light) { return light.predictable; });
  for (std::size_t l = 0; l < differences.by_light.size(); ++l) {
    const double d = differences.by_light[l];
    if (d <= candidate.worst_de00 || (some && !problem.lights[l].predictable)) continue;
    candidate.worst_de00 = d;
    candidate.worst_light = static_cast<std::uint8_t>(l);
  }
  candidate.overlap_de00 = differences.margin;
  candidate.light_sheet_de00 = differences.light_sheet;
  candidate.score = w.viewing * candidate.de00 + w.worst * candidate.worst_de00;
  if (problem.places[place].margin)
    candidate.score += w.overlap * candidate.overlap_de00.value_or(w.unknown_overlap_de00);
  if (problem.light_sheet)
    candidate.score +=
        w.light_sheet * candidate.light_sheet_de00.value_or(w.unknown_light_sheet_de00);
}

void judge(const RankPlan::Seen& seen, const Aims& aims, const RankProblem& problem,
           std::size_t place, Ranked& candidate) {
  std::vector<double> by_light(seen.by_light.size());
  for (std::size_t l = 0; l < by_light.size(); ++l)
    by_light[l] = de00(aims.by_light[l], seen.by_light[l]);
  Differences differences{by_light, std::nullopt, std::nullopt};
  if (seen.margin != nullptr) differences.margin = de00(aims.sheet, *seen.margin);
  if (seen.light_sheet != nullptr)
    differences.light_sheet = de00(*aims.light_sheet, *seen.light_sheet);
  score(differences, problem, place, candidate);
}

RankPlan::Pile pile_of(const Drawer& drawer, std::size_t tissue, int plies) {
  return {drawer.R12(tissue, plies), drawer.R21(tissue, plies), drawer.T(tissue, plies),
          drawer.as_read(tissue), drawer.opaque(tissue)};
}

}  // namespace mendtone
