#pragma once
#include <Eigen/Dense>

#include "mendtone/colour/lab.hpp"

namespace mendtone {

/// M such that |M d| is the CIEDE2000 difference of a small Lab step d from `at`. Ref: sharma2005
Eigen::Matrix3d de00_metric(const Lab& at);

/// d Lab / d XYZ at `xyz`.
Eigen::Matrix3d lab_by_xyz(const Xyz& xyz, const Xyz& white);

}  // namespace mendtone
