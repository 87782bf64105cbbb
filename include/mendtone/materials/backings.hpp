#pragma once
#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/spectral/reading_set.hpp"

namespace mendtone {

/// What lies behind a sheet: its own reading, or a nominal one of that name.
struct Backing {
  std::string name;
  std::vector<double> R;  ///< on the grid asked for
  bool nominal = false;   ///< not measured: 0.04 ("black") or 0.89 ("white") in every band
  std::vector<std::string> warnings;
};

/// The backings that a command's readings tell of, by name: rows of role backing, and of role
/// substrate, that are spectral.
class Backings {
 public:
  /// Refuses one name with unequal readings in two files, naming both lines.
  static Result<Backings> from(std::span<const Reading> readings);

  /// The backing that `reading` names, or `name` where a person names it: first the readings of the
  /// same file, then the others; among them the one under the same M condition and geometry. Its
  /// repeats are averaged and brought to `grid` (said in `warnings`). Nothing where no such name is
  /// known; a nominal one for "black" and "white".
  std::optional<Backing> find(const Reading& reading, const WavelengthGrid& grid) const;
  std::optional<Backing> find(std::string_view name, const WavelengthGrid& grid) const;

  std::vector<std::string> names() const;

  /// True where that name is a bare tissue's: a sheet that was itself read over a backing (or rows
  /// of role tissue bear the name), and never entered as a backing. It lies behind a sheet only as
  /// its lining.
  bool is_tissue(const std::string& name) const { return tissues_.count(name) > 0; }
  /// Names to choose from: bare tissue only for a lining.
  std::vector<std::string> names_behind(bool lining) const;

 private:
  std::vector<Repeats> known_;     ///< one a file, name and conditions
  std::set<std::string> tissues_;  ///< names of bare tissues
};

/// `measured` on `grid`, and what was done to bring it there, in words (empty: nothing).
struct Regridded {
  std::vector<double> value;
  std::string done;
};
Regridded on_grid(const Spectrum& measured, const WavelengthGrid& grid);

}  // namespace mendtone
