#pragma once
#include <optional>
#include <string>

#include "mendtone/match/setting.hpp"

namespace mendtone {

/// How much lighter than the sheet a fill is aimed at where nobody says: 0.5 L* for a loss, 0 for a
/// tear or a lining (common practice, no source: lighter, never darker).
double default_aim_dL(Use use);

/// DeltaE00 that a certainty of coming out darker than the sheet counts in an order (maintainers'
/// figure).
inline constexpr double default_darker_weight = 0.5;

/// Chance that something comes out darker than the sheet: `dL` lighter is expected, with that
/// standard deviation, Gaussian. Without a spread: certain where it is darker.
double chance_of_darker(double dL, double sd_L);

/// The standard deviation in L* of a colour near `L`, of which 95 % come within `u95_de00`, alike
/// on the three axes of CIEDE2000. Ref: iso11664-6
double sd_of_lightness(double L, double u95_de00);

/// Whether added material can do its job, before its colour is asked. `fit`: "fits", "does not
/// fit", or "not known" where a weight is not stated.
struct Fitness {
  std::string fit = "not known";
  std::string because;  ///< why it does not
};

/// By weight, all plies together, in g/m2. Loss: 0.6 to 1.05 of the sheet's. Tear: at most a third
/// of it. Lining: at most the sheet's (common practice put into numbers, no source).
Fitness fitness_by_weight(Use use, std::optional<double> weight_g_m2,
                          std::optional<double> sheet_weight_g_m2);
/// What is asked, in words, for that use.
std::string fitness_in_words(Use use);

/// The visual angle of something `size_cm` across at `distance_cm`, in degrees.
double visual_angle_deg(double size_cm, double distance_cm);
/// The same of a round loss of that area.
double visual_angle_of_area_deg(double area_cm2, double distance_cm);
/// 2 degrees below 4 degrees of visual angle, otherwise 10. Ref: cie15
int observer_for_angle(double angle_deg);

}  // namespace mendtone
