#pragma once
#include "mendtone/results/common.hpp"

namespace mendtone::results {

struct LampRequest {
  std::vector<std::string> lamps;  ///< FILE, FILE#LAMP, a lamp of the record, or a CIE light's name
};
void fields(Describe&, LampRequest&);

/// What is to be known of one lamp. Chromaticity is that of the CIE 1931 observer.
struct LampFacts {
  std::string name, origin, quantity;
  double x = 0, y = 0, u_prime = 0, v_prime = 0;
  std::optional<double> cct_K, duv;  ///< none far from the Planckian locus
  std::string cct_method;
  /// Of the power that was read; none where the readings do not begin below 400 nm.
  std::optional<double> below_400_percent;
  std::size_t bands_held = 0;  ///< end values held on to 380 and 780 nm
  std::optional<double> stated_x, stated_y, stated_cct_K;
  std::vector<double> wavelengths_nm, power;  ///< as read
  std::vector<std::string> warnings;
};
void fields(Describe&, LampFacts&);

struct LampAnswer {
  std::vector<LampFacts> lamps;  ///< never empty
};
void fields(Describe&, LampAnswer&);

}  // namespace mendtone::results
