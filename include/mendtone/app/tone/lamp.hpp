#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/app/inputs/lamps.hpp"

namespace mendtone::app {

struct LampRequest {
  std::vector<std::string> lamps;  ///< FILE, FILE#LAMP, a lamp of the record, or a CIE light's name
  InputPlace record;
};

/// What is to be known of one lamp. Chromaticity is that of the CIE 1931 observer.
struct LampFacts {
  std::string name, origin, quantity;
  double x = 0, y = 0, u_prime = 0, v_prime = 0;
  std::optional<double> cct_K, duv;  ///< none far from the Planckian locus
  /// Of the power that was read; none where the readings do not begin below 400 nm.
  std::optional<double> below_400_percent;
  std::size_t bands_held = 0;  ///< end values held on to 380 and 780 nm
  std::optional<double> stated_x, stated_y, stated_cct_K;
  Spectrum power;  ///< as read
  std::vector<Warning> warnings;
};

struct LampAnswer {
  std::vector<LampFacts> lamps;  ///< never empty
};

Result<LampFacts> lamp_facts(const NamedLamp& lamp);
Result<LampAnswer> lamp(const LampRequest& request);

std::string to_text(const LampAnswer&);
std::string to_json(const LampAnswer&);
std::string to_csv(const LampAnswer&);
inline bool has_answer(const LampAnswer&) {
  return true;
}

}  // namespace mendtone::app
