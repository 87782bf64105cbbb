#include "materials/calibration_model.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "materials/colour_slopes.hpp"
#include "materials/screened.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::calibration {
namespace {

/// Share of the spectral residual beside the colour's: enough to settle what colour leaves open.
constexpr double spectral_share = 0.5;
/// Below this reflectance a lightness slope would let dark bands rule.
constexpr double darkest_R = 0.01;

constexpr double entry_loss = 0.04;  // of a film of index 1.5, near the normal

double lightness_slope(double R) {
  return 116.0 / 3 * std::pow(std::max(R, darkest_R), -2.0 / 3);
}

std::span<const double> span_of(const Eigen::VectorXd& v) {
  return {v.data(), static_cast<std::size_t>(v.size())};
}

Eigen::Vector3d vector_of(const Lab& lab) {
  return {lab.L, lab.a, lab.b};
}

InterfaceCorrection interface_of(const Frame& frame, double k1, double k2) {
  return {k1, frame.problem.specular_included ? k1 : entry_loss, k2};
}

}  // namespace

Layout::Layout(const Law& law, std::size_t colorants, std::size_t bands)
    : law_(law), colorants_(colorants), bands_(bands) {
  size_ = index(colorants * bands * (law.scatters ? 2 : 1));
  const auto take = [&](Eigen::Index& at, std::size_t count) {
    at = size_;
    size_ += index(count);
  };
  if (curved()) take(curve_, colorants + 1);
  if (law.filling) take(filling_, colorants + 1);
  if (law.interface) take(interface_, 2);
  if (law.screening) take(screening_, 2);
}

Frame::Frame(const CalibrationProblem& p, std::vector<double> top)
    : problem(p),
      weights(*tristimulus_weights(p.grid, *standard_light("D65"), Observer::deg10)),
      top_load(std::move(top)) {
  const bool own_top = top_load.empty();
  if (own_top) top_load.assign(p.colorants.size(), 0.0);
  per_band = spectral_share / std::sqrt(static_cast<double>(p.grid.size()));
  for (const CalibrationSwatch& swatch : p.swatches) {
    used.emplace_back();
    for (std::size_t j = 0; j < swatch.loads.size(); ++j) {
      if (swatch.loads[j] > 0) used.back().push_back(j);
      if (own_top) top_load[j] = std::max(top_load[j], swatch.loads[j]);
    }
    target.emplace_back();
    for (const SwatchReading& reading : swatch.over) {
      Target t{weights.lab(reading.R), {}, Eigen::VectorXd(reading.R.size())};
      t.metric = de00_metric(t.lab);
      for (std::size_t i = 0; i < reading.R.size(); ++i)
        t.spectral[static_cast<Eigen::Index>(i)] = per_band * lightness_slope(reading.R[i]);
      target.back().push_back(std::move(t));
    }
  }
}

Growth growth(LoadLaw::Kind kind, double curve, double x) {
  switch (kind) {
    case LoadLaw::Kind::power: {
      const double g = std::pow(x, curve);
      return {g, g * std::log(x), g * curve};
    }
    case LoadLaw::Kind::saturating: {
      const double d = 1 + curve * x, g = x * (1 + curve) / d;
      return {g, x * (1 - x) / (d * d), g / d};
    }
    case LoadLaw::Kind::linear:
      break;
  }
  return {x, 0, x};
}

Palette as_palette(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta) {
  const CalibrationProblem& p = frame.problem;
  Palette palette;
  palette.grid = p.grid;
  palette.application = p.application;
  palette.load_unit = p.load_unit;
  palette.substrate = p.substrate;
  palette.lot = p.lot;
  palette.stock = p.stock;
  palette.state = p.state;
  palette.ply = p.ply;
  palette.support = p.support;
  palette.backings = p.backings;
  if (layout.law().interface)
    palette.interface = interface_of(frame, theta[layout.k1()], theta[layout.k2()]);
  if (layout.law().screening) {
    palette.screening = theta[layout.screening()];
    palette.quenching = theta[layout.quenching()];
  }
  const auto bands = static_cast<Eigen::Index>(layout.bands());
  for (std::size_t j = 0; j < p.colorants.size(); ++j) {
    Colorant colorant;
    colorant.name = p.colorants[j];
    const double top = frame.top_load[j];
    colorant.law.kind = layout.law().load;
    if (colorant.law.kind == LoadLaw::Kind::power) colorant.law.parameter = theta[layout.curve(j)];
    // A law that does not bend is written as the straight line that it is.
    if (colorant.law.kind == LoadLaw::Kind::saturating) {
      if (theta[layout.curve(j)] > 1e-9)
        colorant.law.parameter = top / theta[layout.curve(j)];
      else
        colorant.law = {};
    }
    const double unit = 1 / colorant.law.value(top);
    colorant.k.resize(layout.bands());
    colorant.s.assign(layout.bands(), 0.0);
    Eigen::Map<Eigen::VectorXd>(colorant.k.data(), bands) =
        theta.segment(layout.k(j), bands) * unit;
    if (layout.law().scatters)
      Eigen::Map<Eigen::VectorXd>(colorant.s.data(), bands) =
          theta.segment(layout.s(j), bands) * unit;
    if (layout.law().filling) colorant.filling = theta[layout.filling(j)] * unit;
    palette.colorants.push_back(std::move(colorant));
  }
  return palette;
}

Bands bands(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta, std::size_t m,
            std::size_t reading) {
  const CalibrationProblem& p = frame.problem;
  const CalibrationSwatch& swatch = p.swatches[m];
  const std::vector<double>& below = swatch.over[reading].below;
  const auto B = static_cast<Eigen::Index>(layout.bands());
  const bool film = p.application == Application::film;
  Eigen::VectorXd A = Eigen::VectorXd::Zero(B), S = Eigen::VectorXd::Zero(B);
  double filled = 0;
  for (std::size_t j : frame.used[m]) {
    const double curve = layout.curved() ? theta[layout.curve(j)] : 1;
    const double g = growth(layout.law().load, curve, swatch.loads[j] / frame.top_load[j]).g;
    A += g * theta.segment(layout.k(j), B);
    if (layout.law().scatters) S += g * theta.segment(layout.s(j), B);
    if (layout.law().filling) filled += g * theta[layout.filling(j)];
  }
  if (!film) S += std::exp(-filled) * Eigen::Map<const Eigen::VectorXd>(p.ply.S.data(), B);
  const bool with_screening = layout.law().screening;
  const double screening = with_screening ? theta[layout.screening()] : 0;
  const double quenching = with_screening ? theta[layout.quenching()] : 0;
  const bool with_interface = layout.law().interface;
  const double k1 = with_interface ? theta[layout.k1()] : 0;
  const double k2 = with_interface ? theta[layout.k2()] : 0;
  const InterfaceCorrection interface =
      with_interface ? interface_of(frame, k1, k2) : InterfaceCorrection{};
  constexpr double step = 1e-6;
  const InterfaceCorrection up1 = interface_of(frame, k1 + step, k2);
  const InterfaceCorrection up2 = interface_of(frame, k1, k2 + step);

  Bands at{Eigen::VectorXd(B), Eigen::VectorXd(B), Eigen::VectorXd(B), {}, {}, {}, {}};
  if (with_interface) {
    at.by_k1.resize(B);
    at.by_k2.resize(B);
  }
  if (with_screening) {
    at.by_screening.resize(B);
    at.by_quenching.resize(B);
  }
  for (Eigen::Index i = 0; i < B; ++i) {
    const ScreenedK added = screened(A[i], screening);
    const QuenchedS scattered = quenched(S[i], added.K, quenching);
    const double own = film ? 0 : p.ply.K[static_cast<std::size_t>(i)];
    const LayerSlopes slab =
        layer_slopes(swatch.plies * (own + added.K), swatch.plies * scattered.S);
    const double read_below = below[static_cast<std::size_t>(i)];
    const auto stacked = [&](double Rg) {
      return slab.R + slab.T * slab.T * Rg / (1 - slab.R * Rg);
    };
    const double Rg = with_interface ? interface.inward(read_below) : read_below;
    const double many = Rg / (1 - slab.R * Rg);
    const double inside = slab.R + slab.T * slab.T * many;
    const double by_R = 1 + slab.T * slab.T * many * many, by_T = 2 * slab.T * many;
    const double outer = swatch.plies * (with_interface ? interface.outward_slope(inside) : 1.0);
    at.R[i] = with_interface ? interface.outward(inside) : inside;
    const double by_S = outer * (by_R * slab.dR_dS + by_T * slab.dT_dS);
    const double by_K = outer * (by_R * slab.dR_dK + by_T * slab.dT_dK) + by_S * scattered.by_K;
    at.by_A[i] = by_K * added.by_A;
    at.by_S[i] = by_S * scattered.by_S;
    if (with_screening) {
      at.by_screening[i] = by_K * added.by_screening;
      at.by_quenching[i] = by_S * scattered.by_quenching;
    }
    if (with_interface) {
      at.by_k1[i] = (up1.outward(stacked(up1.inward(read_below))) - at.R[i]) / step;
      at.by_k2[i] = (up2.outward(stacked(up2.inward(read_below))) - at.R[i]) / step;
    }
  }
  return at;
}

namespace {

/// Columns of one used colorant in the local Jacobian.
struct LocalColumns {
  Eigen::Index k = -1, s = -1, curve = -1, filling = -1;
};

}  // namespace

Linear linearised(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta,
                  std::size_t m) {
  const CalibrationProblem& p = frame.problem;
  const CalibrationSwatch& swatch = p.swatches[m];
  const auto B = static_cast<Eigen::Index>(layout.bands());
  const auto readings = static_cast<Eigen::Index>(swatch.over.size());
  const auto n = static_cast<Eigen::Index>(frame.used[m].size());
  const Law& law = layout.law();
  Linear at;
  const auto take = [&](Eigen::Index global, Eigen::Index length) {
    const Eigen::Index local = at.columns;
    at.segment.emplace_back(global, length);
    at.columns += length;
    return local;
  };
  std::vector<LocalColumns> columns;
  for (std::size_t j : frame.used[m]) {
    LocalColumns c;
    c.k = take(layout.k(j), B);
    if (law.scatters) c.s = take(layout.s(j), B);
    if (layout.curved()) c.curve = take(layout.curve(j), 1);
    if (law.filling) c.filling = take(layout.filling(j), 1);
    columns.push_back(c);
  }
  const Eigen::Index interface = law.interface ? take(layout.k1(), 2) : -1;
  const Eigen::Index screening = law.screening ? take(layout.screening(), 2) : -1;
  const Eigen::Index rows = readings * (3 + B);
  at.J = Eigen::MatrixXd::Zero(rows, at.columns);
  at.y.resize(rows);
  at.dosing = Eigen::MatrixXd::Zero(rows, n);

  std::vector<Growth> grown;
  double filled = 0;
  for (std::size_t j : frame.used[m]) {
    grown.push_back(growth(law.load, layout.curved() ? theta[layout.curve(j)] : 1,
                           swatch.loads[j] / frame.top_load[j]));
    if (law.filling) filled += grown.back().g * theta[layout.filling(j)];
  }
  const double left = std::exp(-filled);

  for (Eigen::Index b = 0; b < readings; ++b) {
    const auto at_b = static_cast<std::size_t>(b);
    const Bands read = bands(frame, layout, theta, m, at_b);
    const Frame::Target& target = frame.target[m][at_b];
    const Xyz xyz = frame.weights.xyz(span_of(read.R));
    const Lab lab = xyz_to_lab(xyz, frame.weights.white);
    const auto& w = frame.weights;
    Eigen::MatrixXd cmf(3, B);
    cmf.row(0) = Eigen::Map<const Eigen::RowVectorXd>(w.wx.data(), B);
    cmf.row(1) = Eigen::Map<const Eigen::RowVectorXd>(w.wy.data(), B);
    cmf.row(2) = Eigen::Map<const Eigen::RowVectorXd>(w.wz.data(), B);
    const Eigen::MatrixXd colour = target.metric * lab_by_xyz(xyz, w.white) * cmf;
    const Eigen::Index row = b * (3 + B);
    at.y.segment<3>(row) = target.metric * (vector_of(lab) - vector_of(target.lab));
    at.y.segment(row + 3, B) = target.spectral.cwiseProduct(
        read.R - Eigen::Map<const Eigen::VectorXd>(swatch.over[at_b].R.data(), B));
    at.de00 += de00(target.lab, lab) / static_cast<double>(readings);
    // A slope of R per band becomes three colour rows, and the band's own row.
    const auto put_bands = [&](Eigen::Index column, const Eigen::VectorXd& slope) {
      at.J.block(row, column, 3, B) = colour * slope.asDiagonal();
      at.J.block(row + 3, column, B, B).diagonal() = target.spectral.cwiseProduct(slope);
    };
    const auto whole = [&](const Eigen::VectorXd& slope) {
      Eigen::VectorXd all(3 + B);
      all.head<3>() = colour * slope;
      all.tail(B) = target.spectral.cwiseProduct(slope);
      return all;
    };
    for (Eigen::Index a = 0; a < n; ++a) {
      const std::size_t j = frame.used[m][static_cast<std::size_t>(a)];
      const LocalColumns& c = columns[static_cast<std::size_t>(a)];
      const Growth& growing = grown[static_cast<std::size_t>(a)];
      // d R / d g of this colorant, all bands.
      Eigen::VectorXd by_g = read.by_A.cwiseProduct(theta.segment(layout.k(j), B));
      put_bands(c.k, growing.g * read.by_A);
      if (law.scatters) {
        by_g += read.by_S.cwiseProduct(theta.segment(layout.s(j), B));
        put_bands(c.s, growing.g * read.by_S);
      }
      if (law.filling) {
        const Eigen::VectorXd lost =
            -left * read.by_S.cwiseProduct(Eigen::Map<const Eigen::VectorXd>(p.ply.S.data(), B));
        by_g += theta[layout.filling(j)] * lost;
        at.J.block(row, c.filling, 3 + B, 1) = whole(growing.g * lost);
      }
      if (layout.curved()) at.J.block(row, c.curve, 3 + B, 1) = whole(growing.by_curve * by_g);
      at.dosing.block(row, a, 3 + B, 1) = whole(growing.by_log_load * by_g);
    }
    if (law.interface) {
      at.J.block(row, interface, 3 + B, 1) = whole(read.by_k1);
      at.J.block(row, interface + 1, 3 + B, 1) = whole(read.by_k2);
    }
    if (law.screening) {
      at.J.block(row, screening, 3 + B, 1) = whole(read.by_screening);
      at.J.block(row, screening + 1, 3 + B, 1) = whole(read.by_quenching);
    }
  }
  return at;
}

Eigen::VectorXd residuals(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta,
                          std::size_t m) {
  const auto B = static_cast<Eigen::Index>(layout.bands());
  const auto& over = frame.problem.swatches[m].over;
  Eigen::VectorXd y(static_cast<Eigen::Index>(over.size()) * (3 + B));
  for (std::size_t b = 0; b < over.size(); ++b) {
    const Eigen::VectorXd R = bands(frame, layout, theta, m, b).R;
    const Frame::Target& target = frame.target[m][b];
    const Eigen::Index row = static_cast<Eigen::Index>(b) * (3 + B);
    y.segment<3>(row) =
        target.metric * (vector_of(frame.weights.lab(span_of(R))) - vector_of(target.lab));
    y.segment(row + 3, B) =
        target.spectral.cwiseProduct(R - Eigen::Map<const Eigen::VectorXd>(over[b].R.data(), B));
  }
  return y;
}

double de00_of(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta,
               std::size_t m) {
  double sum = 0;
  for (std::size_t b = 0; b < frame.target[m].size(); ++b)
    sum += de00(frame.target[m][b].lab,
                frame.weights.lab(span_of(bands(frame, layout, theta, m, b).R)));
  return sum / static_cast<double>(frame.target[m].size());
}

}  // namespace mendtone::calibration
