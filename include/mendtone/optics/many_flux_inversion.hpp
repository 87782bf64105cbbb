#pragma once
#include <span>
#include <vector>

#include "mendtone/optics/inversion.hpp"
#include "mendtone/optics/many_flux.hpp"

namespace mendtone {

/// One reading of `plies` of a sheet, one band: reflectance over a matt backing, or what the eye
/// sees through them of diffuse light behind, against that light bare. Fractions.
struct PathReading {
  enum class Kind { over_backing, transmitted };
  Kind kind = Kind::over_backing;
  double value = 0;
  double Rg = 0;  ///< of the backing alone; of no account where transmitted
  int plies = 1;
};

/// What readings say of one ply.
struct PathFound {
  Path path;
  BodyKind body = BodyKind::determined;
  double misfit = 0;  ///< the largest |predicted - read| over the readings
  /// How absorption and scattering of the ply answer to each reading, in the order given; 0 where a
  /// limit holds them, and of an opaque sheet.
  std::vector<Path> by_reading;
};

/// What is predicted for a reading of that kind, and how it answers to the ply.
struct PathPrediction {
  double value = 0;
  Path by_path;
};
PathPrediction predicted(const PathReading& reading, const Path& ply, Viewing viewing);

/// Absorption and scattering of one ply by least squares over all readings: exact for two readings
/// over two backings that some sheet gives. Readings over backings that differ by less than
/// `opaque_below` though their backings differ tell only how an endless pile looks, which is kept.
/// Contract: two readings at least, that can tell two numbers: two backings that differ, or one
/// over a backing and one transmitted.
PathFound path_from(std::span<const PathReading> readings, Viewing viewing);

/// A slab so deep that nothing comes through, which the instrument reads as R.
/// Contract: 0 <= R < 1.
Path opaque_path(double R, Viewing viewing);

}  // namespace mendtone
