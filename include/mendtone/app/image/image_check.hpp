#pragma once
#include <string>

#include "mendtone/app/image/image.hpp"
#include "mendtone/app/inputs/readings.hpp"

namespace mendtone::app {

using results::ImageCheckAnswer;
using results::ImageCheckRequest;
using results::ToleranceRow;

/// Whether a photograph may be measured at all. The reference is recomputed from its spectra under
/// D50/2 degrees; Lab alone must be bound to that. Refuses unlike patch names or counts.
Result<ImageCheckAnswer> image_check(const ImageCheckRequest& request,
                                     const InputPlace& place = {});

std::string to_text(const ImageCheckAnswer&);
inline bool has_answer(const ImageCheckAnswer&) {
  return true;
}

}  // namespace mendtone::app
