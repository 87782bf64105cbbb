#pragma once
#include <string>

#include "mendtone/app/image/image.hpp"
#include "mendtone/app/inputs/readings.hpp"

namespace mendtone::app {

using results::ImageToneAnswer;
using results::ImageToneRequest;
using results::ReadingComparison;

/// The tone of the paper in parts of a photograph, and around losses; on request against readings.
/// Refuses a reading that has no colour under D50, 2 degrees (Lab alone under another light).
Result<ImageToneAnswer> image_tone(const ImageToneRequest& request, const InputPlace& place = {});

std::string to_text(const ImageToneAnswer&);
/// A readings CSV: `tissue` and `wash` take it as a target under D50, 2 degrees.
std::string readings_csv(const ImageToneAnswer&);
inline bool has_answer(const ImageToneAnswer&) {
  return true;
}

}  // namespace mendtone::app
