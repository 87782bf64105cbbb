#include "photons/truth.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <fstream>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "photons/tables.hpp"

namespace mendtone::photons {
namespace {

[[noreturn]] void outside(const char* what, double value, double least, double most) {
  throw std::out_of_range("photon tables: " + std::string(what) + ' ' + std::to_string(value) +
                          " is not between " + std::to_string(least) + " and " +
                          std::to_string(most));
}

/// Lagrange's weights of `N` nodes for a value between them.
template <std::size_t N>
std::array<double, N> lagrange(const std::array<double, N>& nodes, double at) {
  std::array<double, N> weights;
  for (std::size_t i = 0; i < N; ++i) {
    weights[i] = 1;
    for (std::size_t j = 0; j < N; ++j)
      if (j != i) weights[i] *= (at - nodes[j]) / (nodes[i] - nodes[j]);
  }
  return weights;
}

/// Six neighbouring nodes of an axis, as near about the value as the ends allow.
struct Near {
  std::size_t first;
  std::array<double, 6> weight;
};
Near near(const Axis& axis, double value) {
  const double place = axis.place(value);
  const double first = std::clamp(std::floor(place) - 2, 0.0, static_cast<double>(axis.nodes) - 6);
  return {static_cast<std::size_t>(first), lagrange<6>({0, 1, 2, 3, 4, 5}, place - first)};
}

/// The numbers of a file, [asymmetry][depth][column][absorption].
class Table {
 public:
  Table(const std::string& name, std::size_t columns, std::size_t absorptions)
      : columns_(columns), absorptions_(absorptions) {
    std::ifstream in(std::string(MENDTONE_PHOTON_TABLES) + '/' + name);
    std::string line;
    while (std::getline(in, line))
      if (!line.empty() && (std::isdigit(static_cast<unsigned char>(line[0])) != 0)) add_row(line);
  }
  std::size_t size() const { return value_.size(); }

  template <std::size_t Asymmetries>
  double at(const std::array<double, Asymmetries>& g, std::size_t depths, const Near& depth,
            const Near& absorption, std::size_t column) const {
    double sum = 0;
    for (std::size_t i = 0; i < Asymmetries; ++i)
      for (std::size_t k = 0; k < 6; ++k) {
        const double* row = value_.data() +
                            (((i * depths + depth.first + k) * columns_ + column) * absorptions_) +
                            absorption.first;
        double along = 0;
        for (std::size_t j = 0; j < 6; ++j) along += absorption.weight[j] * row[j];
        sum += g[i] * depth.weight[k] * along;
      }
    return sum;
  }

 private:
  void add_row(const std::string& line) {
    // Asymmetry, depth and the column's name are there for people; the order is the tables'.
    std::size_t from = 0;
    for (int skipped = 0; skipped < 3; ++skipped) from = line.find(',', from) + 1;
    for (std::size_t n = 0; n < absorptions_; ++n) {
      double value = 0;
      const auto [end, fault] =
          std::from_chars(line.data() + from, line.data() + line.size(), value);
      if (fault != std::errc{}) throw std::runtime_error("photon tables: no number in " + line);
      value_.push_back(value);
      from = static_cast<std::size_t>(end - line.data()) + 1;
    }
  }

  std::size_t columns_, absorptions_;
  std::vector<double> value_;
};

Table whole(const std::string& name, std::size_t asymmetries, const Axis& depth,
            std::size_t columns, const Axis& absorption) {
  Table table(name, columns, absorption.nodes);
  if (table.size() != asymmetries * depth.nodes * columns * absorption.nodes)
    throw std::runtime_error("photon tables: " + name + " is not whole");
  return table;
}

void check(const char* what, double value, double least, double most) {
  // A rounding beyond the end is none.
  if (!(value >= least - 1e-12 && value <= most * (1 + 1e-12))) outside(what, value, least, most);
}

}  // namespace

Slab operator*(const Slab& slab, double plies) {
  return {slab.absorbed * plies, slab.scattered * plies, slab.asymmetry};
}

Functions sheet_truth(const Slab& slab, Geometry geometry) {
  static const Table table = whole("sheets.csv", asymmetry_nodes.size(), reduced_depth,
                                   sheet_columns.size(), sheet_absorption);
  const double reduced = slab.scattered * (1 - slab.asymmetry);
  check("asymmetry", slab.asymmetry, 0, asymmetry_nodes.back());
  check("reduced depth", reduced, 0, reduced_depth.highest);
  check("absorption", slab.absorbed, 0, sheet_absorption.highest);
  const auto g = lagrange(asymmetry_nodes, slab.asymmetry);
  const Near depth = near(reduced_depth, reduced),
             absorption = near(sheet_absorption, slab.absorbed);
  const auto column = [&](std::size_t c) {
    const double share = std::exp(table.at(g, reduced_depth.nodes, depth, absorption, c));
    return sheet_columns[c].per_depth ? share * reduced : share;
  };
  Functions f;
  f.r_d = column(5);
  f.through_hemisphere = column(6);
  if (geometry == Geometry::lamp_45_read_0) {
    f.r = column(0);
    f.t_in = column(1);
    f.t_out = column(2);
  } else {
    f.r = column(3);
    f.t_in = f.through_hemisphere;
    f.t_out = column(4);
  }
  f.through_normal = f.t_out;
  return f;
}

Functions film_truth(const Slab& slab) {
  static const Table table =
      whole("films.csv", 1, film_depth, film_columns.size(), film_absorption);
  if (slab.scattered > 0) check("asymmetry", slab.asymmetry, film_asymmetry, film_asymmetry);
  check("depth", slab.scattered, 0, film_depth.highest);
  check("absorption", slab.absorbed, 0, film_absorption.highest);
  const Near depth = near(film_depth, slab.scattered);
  const Near absorption = near(film_absorption, slab.absorbed);
  const auto share = [&](std::size_t c) {
    return std::exp(table.at(std::array{1.0}, film_depth.nodes, depth, absorption, c));
  };
  Functions f;
  f.r = share(0) * slab.scattered * (1 - film_asymmetry);
  f.t_in = share(1);
  f.t_out = share(2);
  f.r_d = share(3);
  return f;
}

}  // namespace mendtone::photons
