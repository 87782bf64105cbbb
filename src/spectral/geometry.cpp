#include "mendtone/spectral/geometry.hpp"

#include <algorithm>
#include <cctype>
#include <string>

namespace mendtone {
namespace {

bool has(const std::string& text, const char* part) {
  return text.find(part) != text.npos;
}

}  // namespace

// Two families, each spelled in many ways; anything else stays unknown.
Geometry geometry_of(std::string_view stated) {
  std::string text(stated);
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (has(text, "45")) return Geometry::directional;
  const bool included = has(text, "includ") || has(text, "sci") || has(text, "spin") ||
                        has(text, "di:") || has(text, "di/");
  const bool excluded = has(text, "exclud") || has(text, "sce") || has(text, "spex") ||
                        has(text, "de:") || has(text, "de/");
  if (included) return Geometry::sphere_included;
  if (excluded) return Geometry::sphere_excluded;
  if (has(text, "d/") || has(text, "d:") || has(text, "sphere") || has(text, "/d") ||
      has(text, ":d"))
    return Geometry::sphere;
  return Geometry::unknown;
}

}  // namespace mendtone
