#pragma once
#include <span>

#include "mendtone/colour/change.hpp"
#include "mendtone/formats/read.hpp"
#include "mendtone/imaging/correction.hpp"
#include "mendtone/imaging/ground.hpp"
#include "mendtone/imaging/registration.hpp"
#include "mendtone/match/dispense.hpp"
#include "mendtone/match/setting.hpp"
#include "mendtone/materials/palette.hpp"
#include "mendtone/optics/interface.hpp"
#include "mendtone/optics/layer_model.hpp"
#include "mendtone/spectral/reading.hpp"

// Every member of an enumeration that stands in a request or an answer; its word is `name_of`.
// A member whose word is empty means 'not stated'.
namespace mendtone {

std::string_view name_of(Scale);
std::string_view name_of(Joint);
std::span<const Scale> every(Scale);
std::span<const Joint> every(Joint);
std::span<const Use> every(Use);
std::span<const Side> every(Side);
std::span<const State> every(State);
std::span<const LoadUnit> every(LoadUnit);
std::span<const Application> every(Application);
std::span<const LoadLaw::Kind> every(LoadLaw::Kind);
std::span<const LayerModel> every(LayerModel);
std::span<const Method> every(Method);
std::span<const Verdict> every(Verdict);
std::span<const Quantity> every(Quantity);
std::span<const Alignment> every(Alignment);

}  // namespace mendtone
