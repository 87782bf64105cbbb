#pragma once
#include <string>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/colour/light.hpp"
#include "mendtone/results/common.hpp"
#include "mendtone/spectral/reading.hpp"

namespace mendtone::app {

using results::ViewingRequest;

/// The lights that were asked for, found.
struct Viewing {
  std::vector<Light> lights;
  Observer observer = Observer::deg10;
  std::vector<Warning> warnings{};  ///< of the lamp files
};

/// What a fill is judged under where no light is named: D65 to view, and the lamps of a gallery.
const std::vector<std::string>& viewing_and_gallery_lights();

/// The lights that the person named, or `defaults` where none were.
Result<Viewing> viewing(const results::ViewingRequest& request,
                        const std::vector<std::string>& defaults, const InputPlace& place);

}  // namespace mendtone::app
