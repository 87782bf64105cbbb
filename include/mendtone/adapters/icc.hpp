#pragma once
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// What an ICC profile says of itself.
struct ProfileFacts {
  std::string description;
  std::string device_class;  ///< "input", "display", "output", "colour space"
  double version = 0;
  int channels = 0;     ///< 1 grey, 3 RGB
  bool matrix = false;  ///< curves and a matrix, not tables
  std::vector<std::string> warnings;
};

/// A profile that has passed the gate, and its transform to Lab, D50/2 degrees, absolute
/// colorimetric.
struct Profile {
  ProfileFacts facts;
  std::string bytes;
  std::shared_ptr<const PixelTransform> transform;
};

/// The gate: everything that a profile must be before a pixel is measured through it. `bytes` may
/// be anything. Refuses, with the reason, what is not an ICC profile, is cut short, is of a class
/// that describes no photograph, contradicts `channels` (1 grey, 3 RGB), or gives colours that
/// cannot be. Ref: icc1
Result<Profile> open_profile(std::string_view bytes, int channels);

/// sRGB, as bytes to embed in the pictures that the program draws. Ref: iec61966-2-1
std::string srgb_profile();
/// Grey with the curve of sRGB, for a grey picture that says it is sRGB. Ref: iec61966-2-1
std::string srgb_grey_profile();

}  // namespace mendtone
