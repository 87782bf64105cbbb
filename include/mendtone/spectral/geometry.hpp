#pragma once
#include <string_view>

namespace mendtone {

/// How an instrument lights a sheet and looks at it, as far as a file's words tell.
enum class Geometry { unknown, directional, sphere, sphere_included, sphere_excluded };

/// From "45/0", "d:8", "sphere, specular included" and the many other spellings of files.
Geometry geometry_of(std::string_view stated);

}  // namespace mendtone
