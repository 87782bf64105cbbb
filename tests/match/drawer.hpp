#pragma once
#include <cmath>
#include <vector>

#include "mendtone/base/random.hpp"
#include "mendtone/match/tissue_rank.hpp"

// An invented drawer and an invented aged sheet, for tests and benchmarks.
namespace mendtone::invented {

inline WavelengthGrid bands() {
  return WavelengthGrid::equal_steps(380, 10, 36);
}

/// s and k in m2/kg: scattering falls a little towards red, absorption steeply.
inline Ply ply(double grammage_g_m2, double s, double k_at_450, double falls_over_nm,
               LayerModel model = LayerModel::two_fluxes) {
  Ply made{bands(), {}, {}, std::vector<bool>(36, false), model};
  for (const double nm : made.grid.nm()) {
    made.S.push_back(grammage_g_m2 / 1000 * s * (1 - 0.0004 * (nm - 550)));
    made.K.push_back(grammage_g_m2 / 1000 * k_at_450 * std::exp(-(nm - 450) / falls_over_nm));
  }
  return made;
}

inline std::vector<Ply> drawer(int count, std::uint64_t seed = 1,
                               LayerModel model = LayerModel::two_fluxes) {
  CounterRandom random(seed);
  std::vector<Ply> all;
  for (int i = 0; i < count; ++i) {
    const double grammage = 2 + 38 * random.uniform();
    const double s = 25 + 20 * random.uniform();
    const double k = 0.5 + 30 * random.uniform() * random.uniform();
    all.push_back(ply(grammage, s, k, 60 + 100 * random.uniform(), model));
  }
  return all;
}

inline std::vector<double> board() {
  return std::vector<double>(36, 0.78);
}

/// The aged sheet of 78 g/m2 over the board.
inline Sheet sheet(LayerModel model = LayerModel::two_fluxes) {
  Sheet made;
  const Ply body = ply(78, 45, 12, 90, model);
  made.grid = body.grid;
  made.body = stacked(body, 1);
  made.opaque = body.opaque;
  for (const Slab& slab : made.body) made.seen.push_back(over(slab, 0.78));
  return made;
}

inline RankPlace place(Use use, Side side, const Sheet& sheet) {
  RankPlace made{use, side, *setting_for(use, side, sheet, board()), std::nullopt};
  if (use == Use::loss && (side == Side::front || !sheet.body.empty()))
    made.margin = *setting_for(Use::tear, side, sheet, board());
  return made;
}

inline RankProblem problem(const Sheet& sheet, std::vector<RankPlace> places,
                           const std::vector<const char*>& lights) {
  RankProblem made;
  made.places = std::move(places);
  for (const char* name : lights) {
    LightAim aim{*tristimulus_weights(sheet.grid, *standard_light(name), Observer::deg10), {}, {}};
    aim.sheet = aim.aim = *aim.weights.lab(sheet.seen);
    made.lights.push_back(aim);
  }
  if (!sheet.body.empty()) {
    std::vector<double> T;
    for (const Slab& slab : sheet.body) T.push_back(slab.out);
    LightSheetAim aim{made.lights.front().weights, {}};
    aim.sheet = *aim.weights.lab(T);
    made.light_sheet = aim;
  }
  return made;
}

}  // namespace mendtone::invented
