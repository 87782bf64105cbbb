#pragma once
#include "mendtone/colour/weights.hpp"

namespace mendtone {

/// The wanted colour under one light.
struct LightAim {
  TristimulusWeights weights;
  Lab sheet;                ///< the paper's own colour
  Lab aim;                  ///< what is searched for: the sheet's, or offset from it
  bool predictable = true;  ///< false: a brightener was found; shown, but decides nothing
};

/// `sheet` made lighter by dL and more chromatic by dC (negative: darker, duller), same hue. Chroma
/// stops at 0.
Lab offset(const Lab& sheet, double dL, double dC);

}  // namespace mendtone
