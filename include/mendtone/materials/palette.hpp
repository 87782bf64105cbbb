#pragma once
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/materials/tissue.hpp"

namespace mendtone {

enum class Application { absorbed, film };

/// How the effect of a colorant grows with its load c.
struct LoadLaw {
  enum class Kind { linear, power, saturating };
  Kind kind = Kind::linear;
  double parameter = 1;  ///< power: the exponent; saturating: the load at half of the limit slope

  double value(double c) const;  ///< linear c; power c^p; saturating c / (1 + c/parameter)
  double slope(double c) const;  ///< d value / dc; at c = 0 a power below 1 is cut at c = 1e-6
};

/// Saunderson-type interface of a film; all zero: none.
struct InterfaceCorrection {
  double k1 = 0;  ///< residual gloss that the instrument sees
  double ke = 0;  ///< loss on entry
  double k2 = 0;  ///< internal reflection
  bool none() const { return k1 == 0 && ke == 0 && k2 == 0; }
};

/// What one colorant adds, per unit of `LoadLaw::value`, in one tissue lot, state and stock.
struct Colorant {
  std::string name;
  std::string colour_index;  ///< "PY43"; empty when not stated
  std::vector<double> k, s;
  std::vector<double> k_se, s_se;  ///< standard errors
  LoadLaw law;
  std::array<double, 2> load_range{0, 0};
  double cross_validated_de00 = 0;
  std::vector<std::string> warnings;
};

/// A joint calibration: all that is needed to say what a mixture does.
///   absorbed: K = Kp + sum k_i h_i(c_i), S = Sp + sum s_i h_i(c_i), in each ply;
///   film: a layer of sum k_i h_i, sum s_i h_i over the support's measured reflectance.
struct Palette {
  WavelengthGrid grid;
  Application application = Application::absorbed;
  LoadUnit load_unit = LoadUnit::unstated;
  std::string substrate;  ///< name of the tissue or support read bare
  std::string lot, stock;
  State state = State::unstated;
  Ply ply;                               ///< absorbed: the untoned ply
  std::vector<double> support;           ///< film: reflectance of the support
  InterfaceCorrection interface;
  std::vector<Colorant> colorants;
  double cross_validated_de00 = 0;       ///< median over held-out swatches
  std::vector<std::string> warnings;
};

}  // namespace mendtone
