#pragma once
#include <string>

#include "mendtone/app/image/image.hpp"

namespace mendtone::app {

using results::ImagePreviewAnswer;
using results::ImagePreviewRequest;
using results::PreviewedFill;

/// A predicted fill put into a photograph. Fills from the bench are painted as a difference from
/// the sheet: the predicted difference under the viewing light, both colours adapted to the
/// display's D50 (Bradford), is added to the tone that the photograph itself has around the loss,
/// so that the camera's own error falls out.
Result<ImagePreviewAnswer> image_preview(const ImagePreviewRequest& request,
                                         const InputPlace& place = {});

std::string to_text(const ImagePreviewAnswer&);
inline bool has_answer(const ImagePreviewAnswer&) {
  return true;
}

}  // namespace mendtone::app
