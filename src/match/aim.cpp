#include "mendtone/match/aim.hpp"

#include <algorithm>

namespace mendtone {

Lab offset(const Lab& sheet, double dL, double dC) {
  if (dL == 0 && dC == 0) return sheet;
  Lch aim = lab_to_lch(sheet);
  aim.L += dL;
  aim.C = std::max(0.0, aim.C + dC);
  return lch_to_lab(aim);
}

}  // namespace mendtone
