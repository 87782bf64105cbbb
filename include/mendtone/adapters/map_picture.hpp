#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/adapters/pdf.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/imaging/change_map.hpp"
#include "mendtone/imaging/picture.hpp"

namespace mendtone {

/// Which of the four maps.
enum class MapKind { de00, dL, da, db };

/// What is written round a map.
struct MapText {
  std::string title;
  std::vector<std::string> notes;  ///< below; broken into lines as needed
  std::optional<double> pixels_per_mm;
  double tolerance_de00 = 0.8;  ///< marked on the scale of the DeltaE00 map
};

/// The map with title, scale of colours with its unit, scale bar and notes; sRGB, 16 bits. Values
/// beyond the scale's end have its last colour, and the end is marked so.
Picture draw_map(const ChangeMap& map, MapKind kind, const MapText& text, const ReportFonts& fonts);

}  // namespace mendtone
