#pragma once
#include <span>
#include <vector>

#include "mendtone/match/tissue_rank.hpp"

namespace mendtone {

/// Tristimulus weights of several lights, interleaved band by band: one pass over a spectrum gives
/// all of its colours.
class LightPlan {
 public:
  explicit LightPlan(std::span<const TristimulusWeights* const> lights);
  /// One Lab a light into `out`.
  void labs(std::span<const double> spectrum, std::span<Lab> out);
  std::size_t lights() const { return whites_.size(); }

 private:
  std::vector<double> weights_;
  std::vector<double> sums_;
  std::vector<Xyz> whites_;
  std::size_t stride_;
};

/// A setting, planar.
class PlacePlan {
 public:
  explicit PlacePlan(const Setting& setting);
  /// As `seen`, into `out`.
  void seen(const SlabPlanes& pile, std::span<double> out) const;
  /// As `shone_through`, into `out`.
  void shone_through(const SlabPlanes& pile, std::span<double> out) const;

 private:
  std::vector<double> below_;
  /// What lies on top, and what lies beneath for the light sheet; empty: nothing.
  std::vector<Slab> above_, beneath_;
  double gloss_;
};

/// A rank problem, planned once.
class RankPlan {
 public:
  RankPlan(const RankProblem& problem, std::size_t bands);

  struct Pile {
    SlabPlanes planes;
    bool as_read = false, opaque = false;
  };
  /// The colours of a pile in a place. The spans are valid until the next call.
  struct Seen {
    std::span<const Lab> by_light;
    const Lab* margin = nullptr;
    const Lab* light_sheet = nullptr;
  };
  Seen seen(std::size_t place, const Pile& pile);

 private:
  struct Place {
    PlacePlan setting;
    std::optional<PlacePlan> margin;
    bool light_sheet = false;
  };
  std::vector<Place> places_;
  LightPlan lights_, viewing_;
  std::optional<LightPlan> light_sheet_;
  std::vector<double> spectrum_;
  std::vector<Lab> labs_;
  Lab margin_, shone_;
};

/// The aims against which colours are judged.
struct Aims {
  std::vector<Lab> by_light;
  Lab sheet;  ///< under the viewing light: what a margin is held against
  std::optional<Lab> light_sheet;
};
Aims aims_of(const RankProblem& problem);

/// What a candidate's colours differ by from their aims.
struct Differences {
  std::span<const double> by_light;
  std::optional<double> margin, light_sheet;
};

/// The colours of many candidates, so that their differences are computed many at a time.
class DifferenceBatch {
 public:
  explicit DifferenceBatch(const Aims& aims) : aims_(aims), columns_(aims.by_light.size() + 2) {}
  void add(const RankPlan::Seen& seen);
  /// CIEDE2000 of all that was added; within 1e-6 of `de00`.
  void compute();
  Differences at(std::size_t candidate) const;

 private:
  /// One colour a candidate, planar; `known` is false where there is none.
  struct Column {
    std::vector<double> L, a, b, de00;
    std::vector<bool> known;
    void add(const Lab* lab);
    void compute(const Lab& aim);
  };
  const Aims& aims_;
  std::vector<Column> columns_;  ///< the lights, then margin, then light sheet
  mutable std::vector<double> row_;
};

/// Writes differences and score; tissue, place and plies are left alone.
void score(const Differences& differences, const RankProblem& problem, std::size_t place,
           Ranked& candidate);

/// Differences and score of one candidate by the scalar path.
void judge(const RankPlan::Seen& seen, const Aims& aims, const RankProblem& problem,
           std::size_t place, Ranked& candidate);

RankPlan::Pile pile_of(const Drawer& drawer, std::size_t tissue, int plies);

}  // namespace mendtone
