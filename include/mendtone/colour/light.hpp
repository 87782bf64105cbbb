#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/spectral/spectrum.hpp"

namespace mendtone {

enum class Observer { deg2, deg10 };
int degrees(Observer);
Result<Observer> observer_from_degrees(int degrees);

/// A lamp: relative spectral power, as tabulated. Between tabulated wavelengths it is linear;
/// outside them it is zero.
struct Light {
  std::string name;
  Spectrum power;
  std::string origin;  ///< "CIE 15:2018 table", "Planck's law", or the user's file
};

/// A light by its CIE name (A, C, D50, D55, D65, D75, ID50, ID65, FL1 … FL12, FL3.1 … FL3.15,
/// LED-B1 … LED-B5, LED-BH1, LED-RGB1, LED-V1, LED-V2), or "daylight-5200" (4000-25000 K) or
/// "blackbody-2700" (1000-20000 K), the number being the correlated colour temperature.
/// Refuses other names and says which there are. Ref: cie15
Result<Light> standard_light(std::string_view name);

/// Every tabulated light's name, in the order above.
std::vector<std::string> standard_light_names();

/// CIE daylight of a correlated colour temperature. Domain 4000-25000 K. Ref: cie15
Result<Light> daylight(double cct_K);
/// Planckian radiator, c2 = 1.4388e-2 m K. Domain 1000-20000 K. Ref: cie15
Result<Light> blackbody(double temperature_K);

/// The power of `light` at a wavelength.
double power_at(const Light& light, double nm);

}  // namespace mendtone
