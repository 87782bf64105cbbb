#include "mendtone/colour/direction.hpp"

#include <cmath>

namespace mendtone {

std::string_view direction_word(Axis axis, double difference, double sheet_b) {
  if (!(std::abs(difference) >= worth_a_word)) return {};
  const bool more = difference > 0;
  if (axis == Axis::L) return more ? "lighter" : "darker";
  if (axis == Axis::a) return more ? "pinker" : "greener";
  return more ? "yellower" : sheet_b < 0 ? "bluer" : "less yellow";
}

}  // namespace mendtone
