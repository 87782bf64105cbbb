#include "mendtone/match/fitness.hpp"

#include <cmath>
#include <numbers>

#include "mendtone/base/numbers.hpp"

namespace mendtone {
namespace {

constexpr double least_of_loss = 0.6, most_of_loss = 1.05;
constexpr double most_of_tear = 1.0 / 3;
constexpr double most_of_lining = 1;

std::string in_all(double weight, double sheet) {
  return fixed(weight, 1) + " g/m2 in all, the sheet " + fixed(sheet, 1) + " g/m2";
}

}  // namespace

double default_aim_dL(Use use) {
  return use == Use::loss ? 0.5 : 0;
}

double chance_of_darker(double dL, double sd_L) {
  if (!(sd_L > 0)) return dL < 0 ? 1 : 0;
  return 0.5 * std::erfc(dL / sd_L / std::numbers::sqrt2);
}

double sd_of_lightness(double L, double u95_de00) {
  // 95 % of a difference with three like Gaussian axes lies within 2.7955 standard deviations: the
  // root of the 95th percentile of chi-square with three degrees of freedom, 7.8147.
  const double apart = (L - 50) * (L - 50);
  const double S_L = 1 + 0.015 * apart / std::sqrt(20 + apart);
  return u95_de00 / std::sqrt(7.814728) * S_L;
}

Fitness fitness_by_weight(Use use, std::optional<double> weight, std::optional<double> sheet) {
  if (!weight || !sheet || !(*sheet > 0)) return {};
  const double share = *weight / *sheet;
  const std::string together = in_all(*weight, *sheet);
  if (use == Use::loss && share < least_of_loss)
    return {"does not fit", "too light for a fill: " + together};
  if (use == Use::loss && share > most_of_loss)
    return {"does not fit", "heavier than the sheet: " + together};
  if (use == Use::tear && share > most_of_tear)
    return {"does not fit", "too heavy for a strip on a tear: " + together};
  if (use == Use::lining && share > most_of_lining)
    return {"does not fit", "a lining heavier than the sheet: " + together};
  return {"fits", {}};
}

std::string fitness_in_words(Use use) {
  switch (use) {
    case Use::loss:
      return "a fill weighs 60 to 105 % of the sheet, all plies together";
    case Use::tear:
      return "a strip on a tear weighs at most a third of the sheet, and is strong: long fibres";
    case Use::lining:
      return "a lining weighs at most what the sheet does";
  }
  return {};
}

double visual_angle_deg(double size_cm, double distance_cm) {
  return 2 * std::atan2(size_cm / 2, distance_cm) * 180 / std::numbers::pi;
}

double visual_angle_of_area_deg(double area_cm2, double distance_cm) {
  return visual_angle_deg(2 * std::sqrt(area_cm2 / std::numbers::pi), distance_cm);
}

int observer_for_angle(double angle_deg) {
  return angle_deg < 4 ? 2 : 10;
}

}  // namespace mendtone
