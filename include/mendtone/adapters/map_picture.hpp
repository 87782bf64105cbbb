#pragma once
#include <array>
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

/// A map as it was drawn, and where in the picture its parts lie: left, top, width, height.
struct DrawnMap {
  Picture picture;
  std::array<double, 4> map{}, bar{};
  std::string quantity, low_word, high_word;
  double low = 0, high = 1;  ///< of the bar: its foot and its head
};

/// The map with title, scale of colours with its unit, scale bar and notes; sRGB, 16 bits. Values
/// beyond the scale's end have its last colour, and the end is marked so.
DrawnMap draw_map(const ChangeMap& map, MapKind kind, const MapText& text, const ReportFonts& fonts);

}  // namespace mendtone
