#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace mendtone::virtual_bench {

/// An invented colorant: absorption and scattering cross-sections in m2 per g of dry colorant, and
/// how the tissue takes it up: taken = load^exponent / (1 + load / saturation).
struct InventedColorant {
  std::string name;
  std::string colour_index;
  double strength = 1;   ///< absorption at its plateau
  double edge_nm = 550;  ///< where an iron-oxide edge stands; 0: none
  double edge_width_nm = 20;
  double floor = 0.02;  ///< absorption beyond the edge, share of the plateau
  double band_nm = 0;   ///< an absorption band, 0: none
  double band_width_nm = 60;
  double band_share = 0;
  double slope = 0;  ///< how much absorption falls from 400 to 700 nm, as a power of the wavelength
  double scattering = 0.3;
  double exponent = 0.9;
  double saturation = 20;
};

double absorption(const InventedColorant& colorant, double nm);
double scattering(const InventedColorant& colorant, double nm);
double taken_up(const InventedColorant& colorant, double load);

/// Two ochres, a red earth, an umber, a sienna and a carbon black.
std::vector<InventedColorant> earths();

/// Thirteen brighter invented watercolours, some strongly hiding.
std::vector<InventedColorant> watercolours();

}  // namespace mendtone::virtual_bench
