#pragma once
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "mendtone/match/tissue_rank.hpp"
#include "mendtone/materials/sheet.hpp"

namespace mendtone {

/// What a sheet was read by: `light` alone, taken as read, or `dark` and `light`, over two
/// backings. `ply`: what was found from them, where that was in many fluxes.
struct ReadBy {
  const SheetReading* dark = nullptr;
  const SheetReading* light = nullptr;
  const Ply* ply = nullptr;
};

struct ChanceProblem {
  const Drawer* drawer = nullptr;
  const RankProblem* rank = nullptr;
  ReadBy sheet;                       ///< empty: Lab only, `sheet_deviations` say how it varies
  std::vector<Lab> sheet_deviations;  ///< repeat minus mean; of a Lab-only sheet
  std::vector<double> backing;        ///< what lies behind when the object is shown
  std::vector<ReadBy> tissues;        ///< one a tissue of the drawer
  double aim_dL = 0, aim_dC = 0;      ///< as in the rank problem
  std::uint64_t seed = 1;
  int trials = 1000;
};

/// For each candidate, how often it would stand first if everything were read again.
struct Chance {
  std::vector<double> nearest;  ///< sums to 1; empty: not known
  std::string why_not;
  /// Some sheet had a single reading: it was taken to vary as the repeats of the others did.
  bool pooled = false;
};

/// Monte Carlo after JCGM 101: every mean is drawn anew from the covariance of its own repeats
/// (bands together, as they varied together), bodies are found again, and the candidates ranked
/// by the same score. The spread of the backings' own readings is not in it. The same for the same
/// seed. Ref: jcgm101
Chance chance_of_being_nearest(const ChanceProblem& problem, std::span<const Ranked> candidates);

}  // namespace mendtone
