#pragma once
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/image/image.hpp"
#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/imaging/ground.hpp"

namespace mendtone::app {

struct ImageToneRequest {
  PhotoRequest photo;
  std::vector<std::string> regions;
  std::vector<std::string> losses;      ///< a ring around each is read
  std::array<double, 2> ring_mm{1, 6};  ///< from the loss's edge
  std::optional<double> pixels_per_mm;
  std::optional<Lab> near;
  double grain_mm = 0.5;  ///< 8 pixels where the scale is not known
  int tones_at_most = 4;
  std::string keep_readings;  ///< CSV of the ground and its tones; empty: none
  Sources compare;            ///< readings of the same places by an instrument; empty: none
  std::string reading;        ///< which of them; empty: the one of the region's or loss's name
};

/// The ground of a region against a reading of it, recomputed under D50, 2 degrees.
struct ReadingComparison {
  std::string region, reading, conditions;
  std::size_t n = 0;  ///< repeats in the reading
  Lab lab;            ///< the reading's
  double de00 = 0;
  double dL = 0, da = 0, db = 0;  ///< photograph minus reading
  std::vector<std::string> warnings;
};

struct ImageToneAnswer {
  PhotoStatement photo;
  std::optional<double> pixels_per_mm;
  double grain_px = 8;
  std::vector<GroundAnalysis> regions;
  std::vector<ReadingComparison> comparisons;
  std::string kept;
  std::vector<std::string> warnings;
};

/// The tone of the paper in parts of a photograph, and around losses; on request against readings.
/// Refuses a reading that has no colour under D50, 2 degrees (Lab alone under another light).
Result<ImageToneAnswer> image_tone(const ImageToneRequest& request);

std::string to_text(const ImageToneAnswer&);
std::string to_json(const ImageToneAnswer&);
/// A readings CSV: `tissue` and `wash` take it as a target under D50, 2 degrees.
std::string to_csv(const ImageToneAnswer&);
inline bool has_answer(const ImageToneAnswer&) {
  return true;
}

}  // namespace mendtone::app
