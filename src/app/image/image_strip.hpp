#pragma once
#include <string>

#include "mendtone/app/image/image_preview.hpp"

namespace mendtone::app {

/// The loss and its surroundings with each fill of `answer` in it, side by side in the order of
/// rank, with name and differences below and a scale bar. Counts into `answer.fills`.
Result<void> write_strip(Photo& photo, const Region& loss, const FillPaint& paint,
                         double pixels_per_mm, ImagePreviewAnswer& answer, const std::string& path);

}  // namespace mendtone::app
