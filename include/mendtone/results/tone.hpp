#pragma once
#include "mendtone/results/common.hpp"

namespace mendtone::results {

struct ToneRequest {
  Sources sources;
  ViewingRequest viewing;  ///< no light named: D65, and Lab-only readings under their own
};
void fields(Describe&, ToneRequest&);

/// The tone of one name under one light.
struct Tone {
  std::string name;
  std::string light;
  int observer_deg = 10;
  Xyz xyz;
  Lab lab;
  Lch lch;
  std::size_t n = 0;                  ///< repeats; those that stand apart are named, and not in the mean
  std::optional<double> spread_de00;  ///< mean CIEDE2000 from the mean; none for one reading
  std::vector<std::string> outliers;  ///< repeats that stand apart, by their mark
  Quantity quantity = Quantity::reflectance;
  std::string conditions;  ///< "over black, 45/0, M2, dry", as far as stated
  std::vector<std::string> warnings;
};
void fields(Describe&, Tone&);

struct ToneAnswer {
  std::vector<LightNamed> lights;  ///< asked for, the viewing light first
  int observer_deg = 10;
  std::vector<Tone> tones;  ///< every name under every light, in the order asked; never empty
  std::vector<Refused> refused;
  std::vector<std::string> warnings;  ///< what was done to the files on the way in
};
void fields(Describe&, ToneAnswer&);

}  // namespace mendtone::results
