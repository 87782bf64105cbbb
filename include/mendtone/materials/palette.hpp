#pragma once
#include <array>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "mendtone/materials/tissue.hpp"
#include "mendtone/optics/interface.hpp"

namespace mendtone {

enum class Application { absorbed, film };
std::string_view name_of(Application);
std::optional<Application> application_from(std::string_view);

/// How the effect of a colorant grows with its load c.
struct LoadLaw {
  enum class Kind { linear, power, saturating };
  Kind kind = Kind::linear;
  double parameter = 1;  ///< power: the exponent; saturating: the load at which half is reached

  double value(double c) const;  ///< linear c; power c^p; saturating c / (1 + c/parameter)
  double slope(double c) const;  ///< d value / dc; at c = 0 a power below 1 is cut at c = 1e-6
};
std::string_view name_of(LoadLaw::Kind);

/// What one colorant adds, per unit of `LoadLaw::value`, in one tissue lot, state and stock.
struct Colorant {
  std::string name;
  std::string colour_index;  ///< "PY43"; empty when not stated
  std::vector<double> k, s;
  std::vector<double> k_se, s_se;  ///< standard errors
  LoadLaw law;
  /// Absorbed only: pores filled by the binder scatter less. The ply's own S is multiplied by
  /// exp(-filling h(c)); 0 where the readings did not ask for it.
  double filling = 0;
  std::array<double, 2> load_range{0, 0};
  double cross_validated_de00 = 0;
  std::vector<std::string> warnings;
};

/// A residual learnt over loads from many mixtures: the colorants' joint K is multiplied by
/// exp(sum_p shape_p(lambda) z_p(loads)), each z_p a Gaussian process that goes back to 0, the
/// plain physics, away from the swatches it has seen.
struct LearntResidual {
  std::vector<std::vector<double>> shape;   ///< [p][band]
  std::vector<std::vector<double>> site;    ///< [swatch][colorant], loads of the swatches seen
  std::vector<std::vector<double>> weight;  ///< [p][swatch]
  std::vector<double> load_scale;           ///< [colorant]: the load taken as 1
  double reach = 1;                         ///< how far a swatch informs, in load coordinates
  double share = 0;  ///< of the corrected residual's variance, the part that the learnt term takes
};

/// What is not known of a calibration. `direction`: independent directions in the space of its
/// parameters, covariance = sum v v^T; a direction's entries are k (colorant by colorant, band by
/// band), s likewise, each law's parameter, each filling, k1, k2, screening,
/// quenching.
struct Posterior {
  std::vector<std::vector<double>> direction;
  /// Relative spread of a load, once for each colorant and once more for the sheet as a whole, as
  /// the readings show it.
  double dosing_sd = 0;
  /// What neither explains (the model's own error, the instrument), per axis, in CIEDE2000 units.
  double error_de00 = 0;
  /// Make 95 of 100 held-out swatches fall within u95: of one colorant, and of several.
  double inflation = 1, mixture_inflation = 1;
};

/// A joint calibration: all that is needed to say what a mixture does.
///   absorbed: K = Kp + Ka, S = B^2 / (B + quenching Ka), with Ka = A / (1 + screening A)^(1/6),
///   A = sum k_i h_i(c_i), B = Sp exp(-sum filling_i h_i) + sum s_i h_i, in each ply; film: a layer
///   of Ka and S, B = sum s_i h_i, over the support's measured reflectance.
/// K and S are what `model` means by absorption and scattering; many fluxes are never screened.
struct Palette {
  WavelengthGrid grid;
  Application application = Application::absorbed;
  LayerModel model = LayerModel::two_fluxes;  ///< that of `ply` too
  LoadUnit load_unit = LoadUnit::unstated;
  std::string substrate;  ///< name of the tissue or support read bare
  std::string lot, stock;
  State state = State::unstated;
  Ply ply;                      ///< absorbed: the untoned ply
  std::vector<double> support;  ///< film: reflectance of the support
  /// Backings that were read with the swatches, so that a swatch can be shown over them.
  std::map<std::string, std::vector<double>> backings;
  InterfaceCorrection interface;
  /// Of palettes of version 1 alone, in two fluxes: how far absorbers stand in each other's light,
  /// and how much of it is then no longer scattered. Many fluxes need neither.
  double screening = 0, quenching = 0;
  std::vector<Colorant> colorants;
  std::optional<LearntResidual> learnt;
  Posterior posterior;
  double cross_validated_de00 = 0;  ///< median over held-out swatches
  /// M1 against M2 showed one in the substrate: only D50, the readings' own light, can be
  /// predicted.
  bool brightener = false;
  std::vector<std::string> warnings;
};

/// Length of a direction in the posterior: 2 * colorants * bands + 2 * colorants + 4.
std::size_t parameter_count(const Palette& palette);

/// Absorption and scattering of one ply, or of a film, band by band (whole thickness, no unit).
struct Body {
  std::vector<double> K, S;
};

/// Body, and its derivatives by each load: dK[j * bands + i] = dK_i / dc_j.
struct BodySlopes {
  Body body;
  std::vector<double> dK, dS;
};

/// The ply or film once `loads` (one per colorant of the palette, in its order and unit, >= 0) are
/// in it. Contract: `loads.size() == colorants.size()`.
Body body(const Palette& palette, std::span<const double> loads);
BodySlopes body_slopes(const Palette& palette, std::span<const double> loads);

/// `plies` toned plies, or one film, as slabs: for `Setting`, where an absorbed wash meets other
/// layers. A film's interface is not in them. Contract: plies >= 0; a film has 1.
std::vector<Slab> slabs(const Palette& palette, std::span<const double> loads, int plies = 1);

/// What an instrument reads, and how it answers to each load. `dR`, `dT` as in BodySlopes; `T` and
/// `dT` are empty for a film.
struct SwatchSlopes {
  std::vector<double> R, dR;
  std::vector<double> T, dT;
};

/// Reflectance of `plies` toned plies over `below` (a reading, fraction per band), or of the film
/// over `below`; empty `below`: the palette's own support.
std::vector<double> reflectance(const Palette& palette, std::span<const double> loads, int plies,
                                std::span<const double> below);
SwatchSlopes swatch_slopes(const Palette& palette, std::span<const double> loads, int plies,
                           std::span<const double> below);

/// Transmittance of `plies` toned plies as the eye sees it, per band; absorbed only.
std::vector<double> transmittance(const Palette& palette, std::span<const double> loads, int plies);

}  // namespace mendtone
