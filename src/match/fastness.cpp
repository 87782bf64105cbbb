#include "mendtone/match/fastness.hpp"

#include <cassert>
#include <cmath>

#include "mendtone/base/numbers.hpp"

namespace mendtone {
namespace {

constexpr double first_lux_hours = 0.4e6, last_lux_hours = 900e6;

/// Two figures are as many as such a dose has.
std::string two_figures(double value) {
  const double step = std::pow(10, std::floor(std::log10(value)) - 1);
  return shortest(std::round(value / step) * step);
}

std::string mega(double lux_hours) {
  return two_figures(lux_hours / 1e6);
}

}  // namespace

FadingDose dose_of_blue_wool(int blue_wool) {
  assert(blue_wool >= 1 && blue_wool <= 8);
  const double factor = std::pow(last_lux_hours / first_lux_hours, 1.0 / 7);
  const double dose = first_lux_hours * std::pow(factor, blue_wool - 1);
  return {dose, dose / factor, dose * factor};
}

std::optional<ClassedColorant> first_to_change(const std::vector<ClassedColorant>& colorants) {
  std::optional<ClassedColorant> first;
  for (const ClassedColorant& one : colorants)
    if (one.blue_wool && (!first || *one.blue_wool < *first->blue_wool)) first = one;
  return first;
}

std::string years_ahead(const std::vector<ClassedColorant>& colorants,
                        std::optional<double> lux_hours_year) {
  const auto first = first_to_change(colorants);
  if (!first) return {};
  const FadingDose dose = dose_of_blue_wool(*first->blue_wool);
  std::string text = first->name + " (blue wool " + std::to_string(*first->blue_wool) +
                     ") changes first, noticeably after about " + mega(dose.lux_hours) +
                     " Mlx h (" + mega(dose.low) + " to " + mega(dose.high) +
                     "), without ultraviolet";
  if (lux_hours_year && *lux_hours_year > 0)
    text += "; at " + shortest(*lux_hours_year) + " lx h a year, about " +
            two_figures(dose.lux_hours / *lux_hours_year) + " years (" +
            two_figures(dose.low / *lux_hours_year) + " to " +
            two_figures(dose.high / *lux_hours_year) + ")";
  std::string unknown;
  for (const ClassedColorant& one : colorants)
    if (!one.blue_wool) unknown += (unknown.empty() ? "" : ", ") + one.name;
  if (!unknown.empty()) text += "; no class is stated for " + unknown;
  return text + ". A dilute wash may change sooner";
}

}  // namespace mendtone
