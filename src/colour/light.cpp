#include "mendtone/colour/light.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "mendtone/base/numbers.hpp"
#include "mendtone/base/table.hpp"

namespace mendtone {
namespace {

constexpr double first_nm = 300, last_nm = 830, step_nm = 5;

WavelengthGrid long_grid() {
  return WavelengthGrid::equal_steps(first_nm, step_nm,
                                     static_cast<std::size_t>((last_nm - first_nm) / step_nm) + 1);
}

/// CIE 15:2018, daylight locus and the factors M1, M2 of its components.
std::vector<double> daylight_power(double T) {
  const double u = 1e3 / T;
  const double x = T <= 7000 ? -4.6070 * u * u * u + 2.9678 * u * u + 0.09911 * u + 0.244063
                             : -2.0064 * u * u * u + 1.9018 * u * u + 0.24748 * u + 0.237040;
  const double y = -3.000 * x * x + 2.870 * x - 0.275;
  const double M = 0.0241 + 0.2562 * x - 0.7341 * y;
  const double M1 = (-1.3515 - 1.7703 * x + 5.9114 * y) / M;
  const double M2 = (0.0300 - 31.4424 * x + 30.0717 * y) / M;
  const NumberTable basis = reference_numbers("cie-daylight-components.csv");
  const auto &S0 = *basis.find("S0"), &S1 = *basis.find("S1"), &S2 = *basis.find("S2");
  std::vector<double> power(S0.size());
  for (std::size_t i = 0; i < power.size(); ++i) power[i] = S0[i] + M1 * S1[i] + M2 * S2[i];
  return power;
}

std::vector<double> planck_power(double T, double c2) {
  std::vector<double> power;
  const auto radiance = [&](double nm) {
    const double m = nm * 1e-9;
    return std::pow(m, -5) / std::expm1(c2 / (m * T));
  };
  const WavelengthGrid grid = long_grid();
  for (double nm : grid.nm()) power.push_back(100 * radiance(nm) / radiance(560));
  return power;
}

/// The published tables of A and D end at 780 nm here; both are defined on to 830 nm by their
/// formulae, which supply the tail.
std::vector<double> defined_tail(std::string_view name) {
  if (name == "A") return planck_power(2848 * 1.4388 / 1.435, 1.4388e-2);
  static constexpr std::array<std::pair<std::string_view, double>, 4> nominal{
      {{"D50", 5000}, {"D55", 5500}, {"D65", 6500}, {"D75", 7500}}};
  for (const auto& [daylight_name, cct] : nominal)
    if (name == daylight_name) return daylight_power(cct * 1.4388 / 1.4380);
  return {};
}

Light from_table(std::string_view name, const NumberTable& table) {
  Light light{std::string(name), {}, "CIE 15:2018 table"};
  std::vector<double> nm = *table.find("nm");
  light.power.value = *table.find(name);
  const std::vector<double> tail = defined_tail(name);
  const WavelengthGrid grid = long_grid();
  for (std::size_t i = 0; i < tail.size(); ++i)
    if (grid.nm()[i] > nm.back()) {
      nm.push_back(grid.nm()[i]);
      light.power.value.push_back(tail[i]);
    }
  light.power.grid = *WavelengthGrid::from_nm(std::move(nm));
  return light;
}

std::string joined(const std::vector<std::string>& names) {
  std::string text;
  for (const auto& name : names) text += (text.empty() ? "" : ", ") + name;
  return text;
}

Result<double> temperature_in(std::string_view text, double low, double high) {
  const auto kelvin = parse_number(text);
  if (!kelvin || *kelvin < low || *kelvin > high)
    return bad_input("expected a colour temperature of " + fixed(low, 0) + " to " + fixed(high, 0) +
                     " K, found '" + std::string(text) + "'");
  return *kelvin;
}

constexpr std::array table_names{"cie-lights-300-780.csv", "cie-lights-380-780.csv"};

}  // namespace

int degrees(Observer observer) {
  return observer == Observer::deg2 ? 2 : 10;
}

Result<Observer> observer_from_degrees(int value) {
  if (value == 2) return Observer::deg2;
  if (value == 10) return Observer::deg10;
  return bad_input("expected observer 2 or 10 (degrees), found " + std::to_string(value));
}

std::vector<std::string> standard_light_names() {
  std::vector<std::string> names;
  for (const char* file : table_names) {
    const NumberTable table = reference_numbers(file);
    names.insert(names.end(), table.heading.begin() + 1, table.heading.end());
  }
  return names;
}

Result<Light> daylight(double cct_K) {
  if (auto T = temperature_in(shortest(cct_K), 4000, 25000); !T) return T.error();
  const auto basis = reference_numbers("cie-daylight-components.csv");
  return Light{"daylight-" + shortest(cct_K),
               {*WavelengthGrid::from_nm(*basis.find("nm")), daylight_power(cct_K)},
               "CIE 15:2018 daylight components"};
}

Result<Light> blackbody(double temperature_K) {
  if (auto T = temperature_in(shortest(temperature_K), 1000, 20000); !T) return T.error();
  return Light{"blackbody-" + shortest(temperature_K),
               {long_grid(), planck_power(temperature_K, 1.4388e-2)},
               "Planck's law"};
}

Result<Light> standard_light(std::string_view name) {
  for (const char* file : table_names) {
    const NumberTable table = reference_numbers(file);
    if (name != "nm" && table.find(name)) return from_table(name, table);
  }
  constexpr std::string_view day = "daylight-", body = "blackbody-";
  if (name.starts_with(day)) {
    auto T = temperature_in(name.substr(day.size()), 4000, 25000);
    return T ? daylight(*T) : Result<Light>(T.error());
  }
  if (name.starts_with(body)) {
    auto T = temperature_in(name.substr(body.size()), 1000, 20000);
    return T ? blackbody(*T) : Result<Light>(T.error());
  }
  return bad_input("no light is called '" + std::string(name) + "'; there are " +
                   joined(standard_light_names()) +
                   ", daylight-<K> and blackbody-<K>, or a lamp file of your own");
}

double power_at(const Light& light, double nm) {
  const auto grid = light.power.grid.nm();
  if (nm < grid.front() || nm > grid.back()) return 0;
  const auto after = std::upper_bound(grid.begin(), grid.end(), nm);
  const auto i = static_cast<std::size_t>(std::max<std::ptrdiff_t>(
      1, std::min<std::ptrdiff_t>(std::distance(grid.begin(), after), std::ssize(grid) - 1)));
  const double t = (nm - grid[i - 1]) / (grid[i] - grid[i - 1]);
  return (1 - t) * light.power.value[i - 1] + t * light.power.value[i];
}

}  // namespace mendtone
