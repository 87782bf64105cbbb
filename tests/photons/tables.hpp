#pragma once
#include <array>
#include <cmath>
#include <cstddef>
#include <string_view>
#include <vector>

// Where the tables of what photons do have their nodes, and what stands in them: for the program
// that makes them and for the one reader.
namespace mendtone::photons {

/// Nodes evenly spaced in log(value + shift).
struct Axis {
  double lowest, highest, shift;
  std::size_t nodes;

  double step() const {
    return std::log((highest + shift) / (lowest + shift)) / static_cast<double>(nodes - 1);
  }
  double node(std::size_t i) const {
    return (lowest + shift) * std::exp(step() * static_cast<double>(i)) - shift;
  }
  /// In steps from the lowest node.
  double place(double value) const { return std::log((value + shift) / (lowest + shift)) / step(); }
};

/// Extrema of Chebyshev's polynomial of degree 4, from 0 to 0.6.
inline const std::array<double, 5> asymmetry_nodes{0, 0.3 - 0.15 * std::sqrt(2.0), 0.3,
                                                   0.3 + 0.15 * std::sqrt(2.0), 0.6};

/// Of sheets: depth reduced by 1 - g, in which forward scattering looks nearly like isotropic.
inline constexpr Axis reduced_depth{1e-4, 6, 0.1, 14};
inline constexpr Axis sheet_absorption{0, 10, 0.02, 19};

/// Of films under a smooth face of index 1.5: all have the same asymmetry.
inline constexpr double film_index = 1.5, film_asymmetry = 0.6;
inline constexpr Axis film_depth{1e-4, 6, 0.1, 14};
inline constexpr Axis film_absorption{0, 12, 0.02, 19};

/// The columns; `per_depth`: the logarithm is that of the share divided by the reduced depth, which
/// stays finite for thin slabs and hardly changes with the asymmetry.
struct Column {
  std::string_view name;
  bool per_depth;
};
inline constexpr std::array<Column, 7> sheet_columns{{{"read 45:0", true},
                                                      {"through from 45", false},
                                                      {"through from 0", false},
                                                      {"back from 8", true},
                                                      {"through from 8", false},
                                                      {"back of diffuse", true},
                                                      {"through of diffuse", false}}};
inline constexpr std::array<Column, 4> film_columns{{{"read 45:0", true},
                                                     {"through from 45", false},
                                                     {"through from 0", false},
                                                     {"back to the backing", false}}};

}  // namespace mendtone::photons
