#pragma once
#include <map>
#include <string>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/materials/calibration.hpp"

namespace mendtone::app {

struct ColorantRequest {
  Sources sources;
  Application application = Application::absorbed;
  std::string out;  ///< file for the palette; empty: only the answer
  int advise = 0;   ///< how many swatches to advise
  std::map<std::string, std::string> colour_index;  ///< colorant -> "PY43"
};

struct ColorantAnswer {
  Calibration calibration;
  LoadUnit load_unit = LoadUnit::unstated;
  std::size_t readings = 0;
  std::string out;
};

/// Calibrates a palette from ladders, mixtures and trials, and writes it to `out`.
/// Refuses what cannot determine it, saying what to read next.
Result<ColorantAnswer> colorant(const ColorantRequest& request);

std::string to_text(const ColorantAnswer&);
std::string to_json(const ColorantAnswer&);
/// One line a colorant and band: k, s and their standard errors.
std::string to_csv(const ColorantAnswer&);
inline bool has_answer(const ColorantAnswer&) {
  return true;
}

}  // namespace mendtone::app
