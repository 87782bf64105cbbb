#pragma once
#include <optional>
#include <string>
#include <vector>

namespace mendtone {

/// Light that makes a colorant change noticeably, in lux hours, and how wide that is known.
struct FadingDose {
  double lux_hours = 0, low = 0, high = 0;
};

/// By blue wool class 1 to 8 (ISO 105-B01), without ultraviolet: 0.4 Mlx h for class 1 to 900 Mlx h
/// for class 8, each class the same factor from the next (3.0). The spread is one class either way.
/// Contract: 1 <= blue_wool <= 8. Ref: michalski1990
FadingDose dose_of_blue_wool(int blue_wool);

/// A colorant of a recipe and its class; none: not stated.
struct ClassedColorant {
  std::string name;
  std::optional<int> blue_wool;
};
/// The one that changes first; nothing where no class is stated.
std::optional<ClassedColorant> first_to_change(const std::vector<ClassedColorant>& colorants);

/// "ochre (blue wool 7) changes first, noticeably after about 300 Mlx h (100 to 900) …": with the
/// years at that light, where it is stated; empty where no class is.
std::string years_ahead(const std::vector<ClassedColorant>& colorants,
                        std::optional<double> lux_hours_year);

}  // namespace mendtone
