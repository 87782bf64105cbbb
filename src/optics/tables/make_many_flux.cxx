// Solves slabs on a grid of absorption and scattering and prints the tables behind
// many_flux as C++. Run by the build.
#include <Eigen/Dense>
#include <charconv>
#include <fstream>
#include <iostream>
#include <vector>

#include "mendtone/optics/inversion.hpp"
#include "optics/many_flux_table.hpp"
#include "optics/streams.hpp"

using namespace mendtone;

namespace {

using Row = std::array<double, table::slots>;

Row ratios(const Streams& in, double K, double S, Viewing viewing) {
  Slab slab = in.seen(in.slab(K, S), viewing);
  // Nothing comes through: only K / S matters, and a thinner one of those is as black.
  while (slab.T < 1e-30) {
    K /= 2;
    S /= 2;
    slab = in.seen(in.slab(K, S), viewing);
  }
  const LayerCoefficients two = coefficients(slab.R12, slab.T);
  return {two.KX / (2 * K),     two.SX / S,
          slab.seen / slab.R12, slab.in / slab.T,
          slab.out / slab.T,    slab.thrown / slab.R12,
          slab.lit / slab.R12,  0};
}

Row mixed(double a, const Row& x, double b, const Row& y) {
  Row sum;
  for (std::size_t i = 0; i < sum.size(); ++i) sum[i] = a * x[i] + b * y[i];
  return sum;
}

/// At the edges the ratios are limits: carried there along two values near them.
Row at_node(const Streams& in, double K, double S, Viewing viewing) {
  if (S == 0) {
    constexpr double small = 1e-5;
    return mixed(2, at_node(in, K, small, viewing), -1, at_node(in, K, 2 * small, viewing));
  }
  if (K > 0) return ratios(in, K, S, viewing);
  const double small = 1e-4 / (1 + S);
  Row limit = mixed(2, ratios(in, small, S, viewing), -1, ratios(in, 2 * small, S, viewing));
  // Light that is hardly absorbed crosses twice the thickness on average, whatever scatters it.
  limit[table::K_ratio] = 1;
  return limit;
}

/// Rows: equations of a cubic spline through every node, its ends without a knot of their own.
Eigen::MatrixXd spline_equations() {
  constexpr int n = table::coefficients;
  Eigen::MatrixXd equations = Eigen::MatrixXd::Zero(n, n);
  for (int i = 0; i < table::nodes; ++i)
    equations.row(i + 1).segment(i, 3) << 1 / 6.0, 4 / 6.0, 1 / 6.0;
  equations.row(0).head(5) << 1, -4, 6, -4, 1;
  equations.row(n - 1).tail(5) << 1, -4, 6, -4, 1;
  return equations;
}

std::vector<double> spline_of(const Streams& in, Viewing viewing) {
  constexpr int n = table::coefficients;
  std::array<Eigen::MatrixXd, table::slots> values;
  values.fill(Eigen::MatrixXd::Zero(n, n));
  for (int i = 0; i < table::nodes; ++i)
    for (int j = 0; j < table::nodes; ++j) {
      const Row row = at_node(in, table::absorption.node(i), table::scattering.node(j), viewing);
      for (std::size_t q = 0; q < row.size(); ++q) values[q](i + 1, j + 1) = row[q];
    }
  const Eigen::PartialPivLU<Eigen::MatrixXd> spline(spline_equations());
  std::vector<double> all(static_cast<std::size_t>(n * n * table::slots));
  for (int q = 0; q < table::slots; ++q) {
    const Eigen::MatrixXd along_K = spline.solve(values[static_cast<std::size_t>(q)]);
    const Eigen::MatrixXd both = spline.solve(along_K.transpose()).transpose();
    for (int i = 0; i < n; ++i)
      for (int j = 0; j < n; ++j)
        all[static_cast<std::size_t>((i * n + j) * table::slots + q)] = both(i, j);
  }
  return all;
}

/// Linear in 1 / S.
Row endless(const Streams& in, Viewing viewing) {
  const double large = table::scattering.most;
  return mixed(2, at_node(in, 0, 2 * large, viewing), -1, at_node(in, 0, large, viewing));
}

template <class Values>
void print(std::ostream& out, const Values& values) {
  char text[40];
  out << "{";
  for (std::size_t i = 0; i < values.size(); ++i) {
    const auto end = std::to_chars(text, text + sizeof text, values[i]).ptr;
    out.write(text, end - text);
    out << ((i + 1) % table::slots == 0 ? ",\n" : ",");
  }
  out << "}";
}

void print(std::ostream& out, const char* name, Viewing viewing) {
  const Streams in(tabulated_streams, tabulated_phase);
  out << "const Tables " << name << " = {";
  print(out, spline_of(in, viewing));
  out << ",\n";
  print(out, endless(in, viewing));
  out << "};\n";
}

}  // namespace

int main(int count, char** arguments) {
  if (count != 2) {
    std::cerr << "One argument is needed: the file to write.\n";
    return 2;
  }
  std::ofstream out(arguments[1]);
  out << "#include \"optics/many_flux_table.hpp\"\n\nnamespace mendtone::table {\n\n";
  print(out, "at_45_0", Viewing::at_45_0);
  print(out, "diffuse_8", Viewing::diffuse_8);
  out << "\n}  // namespace mendtone::table\n";
  out.close();
  return out ? 0 : 4;
}
