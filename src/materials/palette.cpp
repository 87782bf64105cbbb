#include "mendtone/materials/palette.hpp"

#include <algorithm>
#include <cmath>

namespace mendtone {

double LoadLaw::value(double c) const {
  switch (kind) {
    case Kind::power: return c > 0 ? std::pow(c, parameter) : 0;
    case Kind::saturating: return c / (1 + c / parameter);
    case Kind::linear: break;
  }
  return c;
}

double LoadLaw::slope(double c) const {
  switch (kind) {
    case Kind::power: return parameter * std::pow(std::max(c, 1e-6), parameter - 1);
    case Kind::saturating: return 1 / ((1 + c / parameter) * (1 + c / parameter));
    case Kind::linear: break;
  }
  return 1;
}

}  // namespace mendtone
