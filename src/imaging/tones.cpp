#include "imaging/tones.hpp"

#include <algorithm>
#include <limits>

#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

struct Clusters {
  std::vector<Lab> centre;
  std::vector<double> weight;
  double within = 0;  ///< mean CIEDE2000 from the own centre
};

std::size_t nearest(const std::vector<Lab>& centres, const Lab& lab, double& distance) {
  std::size_t best = 0;
  distance = std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < centres.size(); ++k)
    if (const double d = de00(centres[k], lab); d < distance) {
      distance = d;
      best = k;
    }
  return best;
}

/// Lloyd's rounds in CIELAB with CIEDE2000 as the nearness. The first centres split the lightness
/// evenly, which is how mottling mostly runs; nothing is left to chance.
Clusters clustered(const std::vector<WeightedLab>& grains, int count) {
  std::vector<WeightedLab> sorted = grains;
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const WeightedLab& p, const WeightedLab& q) { return p.lab.L < q.lab.L; });
  Clusters c;
  for (int k = 0; k < count; ++k)
    c.centre.push_back(sorted[sorted.size() * (2 * static_cast<std::size_t>(k) + 1) /
                              (2 * static_cast<std::size_t>(count))]
                           .lab);
  for (int round = 0; round < 40; ++round) {
    std::vector<Lab> sum(c.centre.size());
    std::vector<double> weight(c.centre.size());
    double total = 0, away = 0;
    for (const WeightedLab& g : grains) {
      double d = 0;
      const std::size_t k = nearest(c.centre, g.lab, d);
      sum[k] = {sum[k].L + g.weight * g.lab.L, sum[k].a + g.weight * g.lab.a,
                sum[k].b + g.weight * g.lab.b};
      weight[k] += g.weight;
      away += g.weight * d;
      total += g.weight;
    }
    double moved = 0;
    for (std::size_t k = 0; k < c.centre.size(); ++k) {
      if (weight[k] == 0) continue;
      const Lab next{sum[k].L / weight[k], sum[k].a / weight[k], sum[k].b / weight[k]};
      moved = std::max(moved, de_ab(next, c.centre[k]));
      c.centre[k] = next;
    }
    c.weight = std::move(weight);
    c.within = away / total;
    if (moved < 1e-4) break;
  }
  return c;
}

}  // namespace

std::vector<MottleTone> mottle_tones(const std::vector<WeightedLab>& grains, int most,
                                     double step_de00, double& within_de00) {
  Clusters best = clustered(grains, 1);
  for (int k = 2; k <= most && best.within > step_de00; ++k) best = clustered(grains, k);
  within_de00 = best.within;
  double total = 0;
  for (const double w : best.weight) total += w;
  std::vector<MottleTone> tones;
  for (std::size_t k = 0; k < best.centre.size(); ++k)
    if (best.weight[k] > 0) tones.push_back({best.centre[k], best.weight[k] / total});
  // Stippling only darkens, so the fill takes the lightest tone that is more than a fleck.
  auto base = tones.end();
  for (auto t = tones.begin(); t != tones.end(); ++t)
    if (t->share >= 0.2 && (base == tones.end() || t->lab.L > base->lab.L)) base = t;
  if (base == tones.end())
    base = std::max_element(
        tones.begin(), tones.end(),
        [](const MottleTone& p, const MottleTone& q) { return p.share < q.share; });
  base->base = true;
  const Lab base_lab = base->lab;
  for (MottleTone& tone : tones) {
    tone.de00_from_base = de00(base_lab, tone.lab);
    tone.lighter_than_base = tone.lab.L > base_lab.L;
  }
  std::stable_sort(tones.begin(), tones.end(), [](const MottleTone& p, const MottleTone& q) {
    return p.base != q.base ? p.base : p.share > q.share;
  });
  return tones;
}

}  // namespace mendtone
