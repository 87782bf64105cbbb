#pragma once
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/materials/palette.hpp"

namespace mendtone::app {

struct SwatchRequest {
  std::string palette;     ///< file that `colorant --out` wrote
  std::string loads_file;  ///< readings CSV without bands; empty: `loads`
  std::map<std::string, double> loads;
  Sources on;           ///< readings of another tissue and of backings; none: the palette's own
  std::string on_name;  ///< the palette's own tissue by name; empty: not named
  std::string over;     ///< a backing's name; not needed for a film
  int plies = 1;
  ViewingRequest viewing;  ///< no light named: D65 (viewing), LED-B1, B2, B3 and A (gallery)
  std::string light_sheet = "D65";
  std::optional<double> pick_up_sd;  ///< relative, where it was measured
};

struct SwatchColour {
  std::string light;
  Lab lab;
  bool predictable = true;  ///< false: a brightener was found and this is not the reading's light
};

/// What one mixture would give.
struct PredictedSwatch {
  std::string name;
  std::vector<double> loads;  ///< one per colorant
  std::vector<SwatchColour> by_light;
  bool transmitted_known = false;
  std::string transmitted_why;  ///< why not
  Lab transmitted_lab;          ///< relative to the bare light sheet
  std::vector<double> reflectance;
  double u95_de00 = 0;
  std::vector<std::string> warnings;
};

struct SwatchAnswer {
  Palette palette;
  std::string over;
  int plies = 1, observer_deg = 10;
  std::string light_sheet;
  std::vector<PredictedSwatch> swatches;
  std::vector<Warning> warnings;
};

/// Predicts each mixture, over the backing, with its uncertainty. Refuses a colorant that the
/// palette does not hold and a load below 0, naming both.
Result<SwatchAnswer> swatch(const SwatchRequest& request);

std::string to_text(const SwatchAnswer&);
std::string to_json(const SwatchAnswer&);
std::string to_csv(const SwatchAnswer&);
inline bool has_answer(const SwatchAnswer&) {
  return true;
}

}  // namespace mendtone::app
