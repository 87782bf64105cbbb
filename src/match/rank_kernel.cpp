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

PlacePlan::PlacePlan(const Setting& setting)
    : below_(setting.below),
      above_(setting.above),
      beneath_(setting.beneath),
      gloss_(setting.gloss) {}

// The formulas of `over` and `in_front`, of the pile over its backing taken as one reflector.
void PlacePlan::seen(const SlabPlanes& pile, std::span<double> out) const {
  const std::size_t bands = below_.size();
  if (above_.empty()) {
    for (std::size_t i = 0; i < bands; ++i)
      out[i] = gloss_ + pile.seen[i] +
               pile.in[i] * pile.out[i] * below_[i] / (1 - pile.R21[i] * below_[i]);
    return;
  }
  for (std::size_t i = 0; i < bands; ++i) {
    const Slab& f = above_[i];
    const double back = below_[i] / (1 - pile.R21[i] * below_[i]);
    const double R12 = pile.R12[i] + pile.T[i] * pile.T[i] * back;
    const double lit = pile.lit[i] + pile.T[i] * pile.out[i] * back;
    const double thrown = pile.thrown[i] + pile.in[i] * pile.T[i] * back;
    const double read = pile.seen[i] + pile.in[i] * pile.out[i] * back;
    const double past = f.out - f.straight_out, scattered = f.in - f.straight_in;
    const double up = f.straight_in * thrown + scattered * R12;
    const double echo = f.R21 * up / (1 - f.R21 * R12);
    out[i] = gloss_ + f.seen + f.straight_in * (f.straight_out * read + past * thrown) +
             (scattered + echo) * (f.straight_out * lit + past * R12);
  }
}

// The sheet lies on one side only: see setting_for.
void PlacePlan::shone_through(const SlabPlanes& pile, std::span<double> out) const {
  const std::size_t bands = below_.size();
  const auto through = [](double f_out, double f_straight, double f_R21, double lit, double R12,
                          double g_out, double g_T) {
    const double past = f_out - f_straight;
    return f_straight * g_out + past * g_T +
           g_T * f_R21 * (f_straight * lit + past * R12) / (1 - f_R21 * R12);
  };
  for (std::size_t i = 0; i < bands; ++i) {
    if (!above_.empty())
      out[i] = through(above_[i].out, above_[i].straight_out, above_[i].R21, pile.lit[i],
                       pile.R12[i], pile.out[i], pile.T[i]);
    else if (!beneath_.empty())
      out[i] = through(pile.out[i], pile.straight_out[i], pile.R21[i], beneath_[i].lit,
                       beneath_[i].R12, beneath_[i].out, beneath_[i].T);
    else
      out[i] = pile.out[i];
  }
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
  place.setting.seen(pile.planes, spectrum_);
  lights_.labs(spectrum_, labs_);
  Seen seen{labs_, nullptr, nullptr};
  if (pile.as_read) return seen;
  if (place.margin) {
    place.margin->seen(pile.planes, spectrum_);
    viewing_.labs(spectrum_, {&margin_, 1});
    seen.margin = &margin_;
  }
  if (place.light_sheet && !pile.opaque) {
    place.setting.shone_through(pile.planes, spectrum_);
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
  return {drawer.planes(tissue, plies), drawer.as_read(tissue), drawer.opaque(tissue)};
}

}  // namespace mendtone
