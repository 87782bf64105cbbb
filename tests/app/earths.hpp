#pragma once
#include <cmath>
#include <vector>

#include "mendtone/materials/palette.hpp"

namespace mendtone::test {

struct Earth {
  const char *name, *colour_index;
  double edge, depth, floor;
};

/// Invented: a tissue and earths that absorb below an edge, in two fluxes; nothing was measured.
inline Palette earths(const std::vector<Earth>& all) {
  Palette p;
  p.grid = WavelengthGrid::equal_steps(400, 10, 31);
  p.load_unit = LoadUnit::g_m2;
  p.substrate = "long-fibre 20";
  p.state = State::dry;
  p.cross_validated_de00 = 0.3;
  p.screening = 1.4;
  p.quenching = 0.05;
  p.ply.grid = p.grid;
  for (double nm : p.grid.nm()) {
    p.ply.K.push_back(0.004 + 0.01 * std::exp(-(nm - 400) / 60));
    p.ply.S.push_back(1.0);
    p.ply.opaque.push_back(false);
  }
  for (const Earth& e : all) {
    Colorant c;
    c.name = e.name;
    c.colour_index = e.colour_index;
    for (double nm : p.grid.nm()) {
      c.k.push_back(e.floor + e.depth / (1 + std::exp((nm - e.edge) / 18)));
      c.s.push_back(0.1);
    }
    c.k_se = c.s_se = std::vector<double>(p.grid.size(), 0.0);
    c.law = {LoadLaw::Kind::power, 0.9};
    c.load_range = {0, 0.8};
    p.colorants.push_back(c);
  }
  return p;
}

}  // namespace mendtone::test
