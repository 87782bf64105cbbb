#pragma once
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/materials/backings.hpp"
#include "mendtone/materials/tissue.hpp"
#include "mendtone/spectral/reading_set.hpp"

namespace mendtone {

/// The mean of one sheet's repeats under one backing (or in transmission), and their spread.
struct SheetReading {
  Quantity quantity = Quantity::reflectance;
  std::string backing;     ///< empty: none stated
  std::vector<double> Rg;  ///< of the backing; empty: not known
  bool nominal_backing = false;
  int plies = 1;
  Side side = Side::unstated;
  std::vector<double> mean;
  /// Repeat minus mean, one row a repeat; a single reading has none.
  std::vector<std::vector<double>> deviations;
  Source source;
};

/// All that was read of one sheet, in one lot, state, M condition and geometry.
struct SheetReadings {
  std::string name, lot;
  Role role = Role::unstated;
  State state = State::unstated;
  Condition condition = Condition::unstated;
  std::string geometry;
  std::optional<double> grammage_g_m2;
  std::optional<bool> bleeds;
  WavelengthGrid grid;
  std::vector<SheetReading> spectral;
  std::vector<Reading> lab_only;  ///< as the file has them, repeats not averaged
  std::vector<std::string> warnings;
};

/// Gathers readings into sheets, in the order in which they first stand, on `grid`. Repeats are
/// averaged; what was done on the way stands in `warnings`.
std::vector<SheetReadings> sheets_of(std::span<const Reading> readings, const Backings& backings,
                                     const WavelengthGrid& grid);

/// The grid of the first spectral reading, or nothing where all are Lab only.
std::optional<WavelengthGrid> first_grid(std::span<const Reading> readings);

/// How well a reading that was not needed for the body agrees with it.
struct BodyCheck {
  std::string what;                        ///< "2 plies over 'white'", "transmittance"
  double mean_error = 0, worst_error = 0;  ///< |predicted - read|, fraction
};

/// The body of one ply of a sheet, and which of its readings told it.
struct SheetBody {
  std::vector<Slab> slab;           ///< one ply, in air
  std::vector<bool> opaque;         ///< bands where what shines through is not known
  std::optional<Ply> ply;           ///< nothing where the two faces were read and differ
  std::size_t dark = 0, light = 0;  ///< the two readings, as places in `spectral`
  BandCounts counts;
  std::vector<BodyCheck> checks;
  std::vector<std::string> warnings;  ///< besides `counts`
};

/// A body, or in words why the readings do not give one.
struct SheetBodyFound {
  std::optional<SheetBody> body;
  std::string why_not;
};

/// The model of many fluxes for the geometry that a sheet's readings state; 45:0 where they do not.
LayerModel many_fluxes_of(const SheetReadings& sheet);

/// Two fluxes: from the two readings over the backings that differ most. Many fluxes: by least
/// squares from these and all others that they do not contradict by more than `impossible_beyond`,
/// transmittances too; surfaces of their own are two fluxes' alone. Where front and back were both
/// read over two backings and their bodies differ by more than 0.005, the faces are kept apart.
/// Refuses readings that no sheet explains, naming sheet, band and numbers.
Result<SheetBodyFound> body_of(const SheetReadings& sheet, const Surfaces& surfaces = {},
                               LayerModel model = LayerModel::two_fluxes);

/// The most that an opaque band may let through unseen, given that the two readings differ by less
/// than 0.001 there; 0 in the other bands.
std::vector<double> hidden_transmittance(const SheetBody& body, const SheetReadings& sheet);

/// The reading of the front over the backing of that name with so many plies, or nullptr.
const SheetReading* read_over(const SheetReadings& sheet, std::string_view backing, int plies = 1);

/// Reflectance of a sheet read over one backing, carried to another, if its scattering were that
/// of `s_m2_kg` x `grammage_g_m2`: what taking it as read may hide. Ref: kubelka1948
std::vector<double> carried_over(std::span<const double> R, std::span<const double> Rg_read,
                                 std::span<const double> Rg_shown, double s_m2_kg,
                                 double grammage_g_m2);

}  // namespace mendtone
