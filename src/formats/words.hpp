#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "mendtone/formats/read.hpp"
#include "mendtone/spectral/reading.hpp"

namespace mendtone::formats {

/// The heading of a spectral band, in any of the spellings that real files use.
struct BandHeading {
  double nm = 0;
  Quantity quantity = Quantity::reflectance;
  std::optional<Scale> scale;  ///< where the heading says '%'
  std::string gloss;           ///< "SCI" or "SCE" where the heading says so
};

/// `380`, `380 nm`, `380,5`, `nm380`, `NM_380`, `SPECTRAL_380`, `SPECTRAL_NM380`,
/// `SPECTRAL_NM_380`, `SPEC_380`, `R_380`, `R[380]`, `R% 380nm`, `T380`, `SCI 380`, `X380` …
/// Wavelengths 200-3000 nm; other text is not a band.
std::optional<BandHeading> band_heading(std::string_view text);

/// The heading of a CIELAB coordinate: `L*`, `a`, `LAB_B`, `CIE L*`, `L*(D65/10)` …
struct LabHeading {
  char axis = 'L';  ///< 'L', 'a' or 'b'
  std::string light;
  int observer_deg = 0;
};
std::optional<LabHeading> lab_heading(std::string_view text);

/// A light's name as `standard_light` knows it, from 'D65', 'ILLUMINANT, D50', 'F11', 'CIE A',
/// 'D65/10°'. None where the words name no light that is known.
std::optional<std::string> light_in(std::string_view words);
/// 2 or 10 from '2', '10 degree', 'CIE 1931', 'OBSERVER, 2 degree', 'D65/10'.
std::optional<int> observer_in(std::string_view words);

/// M0-M3 where the words name one, or say that ultraviolet is cut (M2) or polarised (M3).
std::optional<Condition> condition_in(std::string_view words);

/// What a heading or a unit says of the numbers' scale: '%', 'percent', 'pct'; 'fraction', '0-1'.
std::optional<Scale> scale_in(std::string_view words);

/// A quantity that is no reading of a sheet, in a heading or a description: 'radiance', 'counts',
/// 'absorbance', 'spectral power', 'x_bar' … in words for the refusal; none where none is named.
std::optional<std::string> other_quantity_in(std::string_view words);

/// '%R', 'Transmittance (%)', 'Reflectance factor', 'R', 'T' …
std::optional<Quantity> quantity_in(std::string_view words);

}  // namespace mendtone::formats
