#pragma once
#include <string>

#include "mendtone/app/image/image.hpp"

namespace mendtone::app {

using results::ImageChangeAnswer;
using results::ImageChangeRequest;

/// Before and after of one sheet: laid on each other, compared pixel by pixel under D50/2 degrees.
Result<ImageChangeAnswer> image_change(const ImageChangeRequest& request,
                                       const InputPlace& place = {});

std::string to_text(const ImageChangeAnswer&);
inline bool has_answer(const ImageChangeAnswer&) {
  return true;
}

}  // namespace mendtone::app
