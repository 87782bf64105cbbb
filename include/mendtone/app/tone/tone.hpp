#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/colour/lab.hpp"

namespace mendtone::app {

struct ToneRequest {
  Sources sources;
  ViewingRequest viewing;  ///< no light named: D65, and Lab-only readings under their own
};

/// The tone of one name under one light.
struct Tone {
  std::string name;
  std::string light;
  int observer_deg = 10;
  Xyz xyz;
  Lab lab;
  Lch lch;
  std::size_t n = 0;                  ///< repeats averaged; outliers are named, not left out
  std::optional<double> spread_de00;  ///< mean CIEDE2000 from the mean; none for one reading
  std::vector<std::string> outliers;  ///< repeats that stand apart, by their mark
  std::string quantity;               ///< "reflectance" or "transmittance"
  std::string conditions;             ///< "over black, 45/0, M2, dry", as far as stated
  std::vector<std::string> warnings;
};

/// A name that has no colour under a light that was asked for, and why.
struct NoTone {
  std::string name, light, reason;
};

struct ToneAnswer {
  std::vector<std::string> lights;  ///< asked for, with their origin, the viewing light first
  int observer_deg = 10;
  std::vector<Tone> tones;  ///< every name under every light, in the order asked; never empty
  std::vector<NoTone> refused;
  std::vector<Warning> warnings;  ///< what was done to the files on the way in
};

/// Readings to tone. Refuses (exit 3) when not one name has a colour under the lights asked for.
Result<ToneAnswer> tone(const ToneRequest& request);

/// The same for readings in memory. `own_light`: Lab-only readings are shown under the light and
/// observer that they are bound to, whatever `viewing` says.
Result<ToneAnswer> tone_of(const ReadFile& file, const Viewing& viewing, bool own_light);

/// Conditions of a reading as one line, as far as its file states them.
std::string conditions_of(const Reading& reading);

std::string to_text(const ToneAnswer&);
std::string to_json(const ToneAnswer&);
std::string to_csv(const ToneAnswer&);
inline bool has_answer(const ToneAnswer&) {
  return true;
}

}  // namespace mendtone::app
