#pragma once
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/optics/interface.hpp"
#include "mendtone/optics/layer.hpp"
#include "mendtone/optics/layer_model.hpp"
#include "mendtone/spectral/reading.hpp"

namespace mendtone {

/// A sheet whose body is known: absorption K and scattering S of one ply, band by band (whole ply,
/// no unit), as its model means them. A mending tissue, or the object's own sheet read over two
/// backings.
struct Ply {
  WavelengthGrid grid;
  std::vector<double> K, S;
  /// Bands where the two readings differed by less than 0.001: opaque, S not determined. K and S
  /// there reproduce R-infinity; transmission is not known.
  std::vector<bool> opaque;
  LayerModel model = LayerModel::two_fluxes;
};

/// `plies` of it as one slab per band (identical plies: a layer `plies` times as thick).
std::vector<Slab> stacked(const Ply& ply, int plies);

/// One sheet, or a pile of `plies` of it, read over one backing: reflectance of both, per band.
struct ReadOver {
  std::span<const double> R;
  std::span<const double> Rg;
};

/// How plies lie and what their surfaces do; by default nothing.
struct Surfaces {
  InterfaceCorrection interface;
  Joint joint = Joint::contact;
};

/// How many bands of a body were not plainly determined.
struct BandCounts {
  std::size_t bands = 0;
  std::size_t opaque = 0;         ///< S not determined there
  std::size_t no_absorption = 0;  ///< K came out below 0 and was set to 0
  std::size_t no_scattering = 0;  ///< S came out below 0 and was set to 0
  double worst_misfit = 0;        ///< of the readings in those bands, or of more than two anywhere
};
/// All of that in words; empty where every band was determined.
std::vector<std::string> in_words(const BandCounts& counts);

struct PlyFound {
  Ply ply;
  BandCounts counts;
};

/// K and S of one ply from `plies` of it read over two backings, band by band. A backing on which
/// a dry sheet lies is taken as read. Refuses backings that differ by less than 0.02 in some band
/// and readings that no layer explains within 0.02, naming the band and the numbers. Contract: all
/// sizes equal the grid's. Ref: kubelka1948
Result<PlyFound> ply_from_two_backings(const WavelengthGrid& grid, const ReadOver& one,
                                       const ReadOver& other, int plies = 1,
                                       const Surfaces& surfaces = {});

/// One of several readings of a sheet: reflectance over a backing, or (`Rg` empty) transmittance.
struct PlyReading {
  std::span<const double> value, Rg;
  int plies = 1;
};

/// The same in many fluxes, from two readings or more by least squares: two over two backings that
/// differ must be among them, and come first. Refusals alike.
Result<PlyFound> ply_from_readings(const WavelengthGrid& grid, std::span<const PlyReading> readings,
                                   Viewing viewing);

/// Reflectance of `plies` over a backing taken as read, as the instrument would read it.
std::vector<double> predicted_over(const Ply& ply, int plies, std::span<const double> Rg,
                                   const Surfaces& surfaces = {});

/// The same as one slab per band in air: what a mend is made of.
std::vector<Slab> piled(const Ply& ply, int plies, const Surfaces& surfaces);

struct FacesFound {
  std::vector<Slab> body;
  std::vector<bool> opaque;
  double worst_misfit = 0;
  std::vector<std::string> warnings;
};

/// A sheet whose faces differ (R12 != R21), from both faces read over the same two backings.
/// Refusals as `ply_from_two_backings`.
Result<FacesFound> sheet_from_both_faces(const WavelengthGrid& grid, const ReadOver& front_one,
                                         const ReadOver& front_other, const ReadOver& back_one,
                                         const ReadOver& back_other);

}  // namespace mendtone
