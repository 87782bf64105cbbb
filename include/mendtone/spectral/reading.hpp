#pragma once
#include <initializer_list>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/spectral/spectrum.hpp"

namespace mendtone {

enum class Role { unstated, target, backing, substrate, tissue, swatch, trial };
enum class State { unstated, dry, pasted, sized, wet };
enum class Side { unstated, front, back };
/// ISO 13655 measurement condition.
enum class Condition { unstated, m0, m1, m2, m3 };
enum class Quantity { reflectance, transmittance };
/// A calibration has one unit; units are never mixed or converted.
enum class LoadUnit { unstated, g_m2, ml_m2, relative };

std::string_view name_of(Role);
std::string_view name_of(State);
std::string_view name_of(Side);
std::string_view name_of(Condition);
std::string_view name_of(Quantity);
std::string_view name_of(LoadUnit);
std::optional<Role> role_from(std::string_view);
std::optional<State> state_from(std::string_view);
std::optional<Side> side_from(std::string_view);
std::optional<Condition> condition_from(std::string_view);
std::optional<LoadUnit> load_unit_from(std::string_view);

/// CIELAB as an instrument printed it: bound to its light and observer for ever.
struct BoundLab {
  double L = 0, a = 0, b = 0;
  std::string light;      ///< a name as `standard_light` knows it
  int observer_deg = 0;   ///< 2 or 10
};

/// Where a reading stands in its file.
struct Source {
  std::string file;
  std::size_t line = 0;    ///< 1-based; 0: not known
  std::size_t column = 0;  ///< 1-based; 0: not known
};

/// "file, line 3, column 7", as far as it is known.
std::string text_of(const Source&);

/// One press of the instrument's button, and all that its file said of it. What a file does not
/// say stays unstated or empty; nothing is filled in. At least one of `spectrum` and `lab` is set.
struct Reading {
  std::string name;
  std::string repeat;
  Role role = Role::unstated;
  Quantity quantity = Quantity::reflectance;
  std::string backing;  ///< the name of the backing's own reading
  std::optional<int> plies;
  Side side = Side::unstated;
  State state = State::unstated;
  std::string geometry;  ///< as the file says: "45/0", "d/8 specular included" …
  Condition condition = Condition::unstated;
  std::string instrument;
  std::optional<double> aperture_mm;
  std::string lot;
  std::string stock;
  std::string series;  ///< swatches made in one go share it
  std::optional<double> grammage_g_m2;
  std::optional<bool> bleeds;  ///< its colour moves when it is re-wetted or pasted
  std::map<std::string, double> loads;  ///< colorant -> load, in `load_unit`
  LoadUnit load_unit = LoadUnit::unstated;
  std::optional<Spectrum> spectrum;  ///< fraction
  std::optional<BoundLab> lab;
  Source source;
};

bool has_role(const Reading&, std::initializer_list<Role> roles);

/// Something that was done to the data, or that stands in doubt; shown to the person and kept.
struct Warning {
  std::string text;
  std::string where;  ///< file and line, or a name; may be empty
};

}  // namespace mendtone
