#include "materials/calibration_model.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "materials/colour_slopes.hpp"
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
      Target t{weights.lab_unchecked(reading.R), {}, Eigen::VectorXd(reading.R.size())};
      t.metric = de00_metric(t.lab);
      for (std::size_t i = 0; i < reading.R.size(); ++i)
        t.spectral[static_cast<Eigen::Index>(i)] = per_band * lightness_slope(reading.R[i]);
      target.back().push_back(std::move(t));
    }
  }
}

LayerModel Frame::model(const Law& law) const {
  return law.many_fluxes ? many_fluxes(problem.viewing) : LayerModel::two_fluxes;
}

const Ply& Frame::ply(const Law& law) const {
  return law.many_fluxes ? problem.many_flux_ply : problem.ply;
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
  palette.model = frame.model(layout.law());
  palette.ply = frame.ply(layout.law());
  palette.support = p.support;
  palette.backings = p.backings;
  if (layout.law().interface)
    palette.interface = interface_of(frame, theta[layout.k1()], theta[layout.k2()]);
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

namespace {

double growth_of(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta,
                 std::size_t m, std::size_t j) {
  const double curve = layout.curved() ? theta[layout.curve(j)] : 1;
  return growth(layout.law().load, curve, frame.problem.swatches[m].loads[j] / frame.top_load[j]).g;
}

Eigen::Map<const Eigen::VectorXd> own(const std::vector<double>& of_ply) {
  return {of_ply.data(), static_cast<Eigen::Index>(of_ply.size())};
}

/// Absorption and scattering of one ply of a swatch, or of its film, in every band.
struct Toned {
  Eigen::VectorXd K, S;
};
Toned toned(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta, std::size_t m) {
  const auto B = static_cast<Eigen::Index>(layout.bands());
  Toned sum{Eigen::VectorXd::Zero(B), Eigen::VectorXd::Zero(B)};
  double filled = 0;
  for (std::size_t j : frame.used[m]) {
    const double g = growth_of(frame, layout, theta, m, j);
    sum.K += g * theta.segment(layout.k(j), B);
    if (layout.law().scatters) sum.S += g * theta.segment(layout.s(j), B);
    if (layout.law().filling) filled += g * theta[layout.filling(j)];
  }
  if (frame.problem.application == Application::film) return sum;
  const Ply& ply = frame.ply(layout.law());
  sum.K += own(ply.K);
  sum.S += std::exp(-filled) * own(ply.S);
  return sum;
}

/// A film's interface, and the same with k1 and k2 a little higher.
struct Faces {
  bool any = false;
  InterfaceCorrection here, more_k1, more_k2;
};
/// Of one-sided differences along k1 and k2, which are of the order of 1: as much is off the slope.
constexpr double face_step = 1e-6;

Faces faces_of(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta) {
  if (!layout.law().interface) return {};
  const double k1 = theta[layout.k1()], k2 = theta[layout.k2()];
  return {true, interface_of(frame, k1, k2), interface_of(frame, k1 + face_step, k2),
          interface_of(frame, k1, k2 + face_step)};
}

/// A slab seen over a backing, and its slopes along the K and S of one ply.
struct Seen {
  double R = 0, by_K = 0, by_S = 0;
};
Seen seen(const SlabSlopes& slab, double read_below, int plies, const Faces& faces) {
  const OverSlopes inside =
      over_slopes(slab, faces.any ? faces.here.inward(read_below) : read_below);
  const double outer = plies * (faces.any ? faces.here.outward_slope(inside.R) : 1.0);
  return {faces.any ? faces.here.outward(inside.R) : inside.R, outer * inside.by_absorption,
          outer * inside.by_scattering};
}

/// Slope of what is seen along k1 or k2.
double slope_of_face(const Slab& slab, double read_below, double R,
                     const InterfaceCorrection& more) {
  return (more.outward(over(slab, more.inward(read_below))) - R) / face_step;
}

Bands bands_of(Eigen::Index B, const Law& law) {
  Bands at{Eigen::VectorXd(B), Eigen::VectorXd(B), Eigen::VectorXd(B), {}, {}};
  if (law.interface) {
    at.by_k1.resize(B);
    at.by_k2.resize(B);
  }
  return at;
}

}  // namespace

Bands bands(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta, std::size_t m,
            std::size_t reading) {
  const CalibrationProblem& p = frame.problem;
  const CalibrationSwatch& swatch = p.swatches[m];
  const Law& law = layout.law();
  const auto B = static_cast<Eigen::Index>(layout.bands());
  const Toned sum = toned(frame, layout, theta, m);
  const Faces faces = faces_of(frame, layout, theta);
  const LayerModel model = frame.model(law);
  Bands at = bands_of(B, law);
  for (Eigen::Index i = 0; i < B; ++i) {
    const double read_below = swatch.over[reading].below[static_cast<std::size_t>(i)];
    const SlabSlopes slab = slab_slopes_of(model, swatch.plies * sum.K[i], swatch.plies * sum.S[i]);
    const Seen one = seen(slab, read_below, swatch.plies, faces);
    at.R[i] = one.R;
    at.by_K[i] = one.by_K;
    at.by_S[i] = one.by_S;
    if (law.interface) {
      at.by_k1[i] = slope_of_face(slab.at, read_below, one.R, faces.more_k1);
      at.by_k2[i] = slope_of_face(slab.at, read_below, one.R, faces.more_k2);
    }
  }
  return at;
}

namespace {

/// Three rows of colour come before the rows of the bands.
constexpr Eigen::Index colour_rows = 3;

/// Slopes of one reading along R become its rows: three of colour, and the bands' own.
struct ReadingRows {
  Eigen::Index row = 0, bands = 0;
  Eigen::MatrixXd colour;           ///< 3 x bands
  const Eigen::VectorXd& spectral;  ///< weight of each band's own row

  /// A parameter a band, from `column` on.
  void put_bands(Eigen::MatrixXd& J, Eigen::Index column, const Eigen::VectorXd& slope) const {
    J.block(row, column, colour_rows, bands) = colour * slope.asDiagonal();
    J.block(row + colour_rows, column, bands, bands).diagonal() = spectral.cwiseProduct(slope);
  }
  /// One parameter for all bands.
  void put(Eigen::MatrixXd& J, Eigen::Index column, const Eigen::VectorXd& slope) const {
    J.block(row, column, colour_rows, 1) = colour * slope;
    J.block(row + colour_rows, column, bands, 1) = spectral.cwiseProduct(slope);
  }
};

/// Slopes of tristimulus values along R.
Eigen::MatrixXd xyz_by_R(const TristimulusWeights& w) {
  const auto B = static_cast<Eigen::Index>(w.wx.size());
  Eigen::MatrixXd rows(colour_rows, B);
  rows.row(0) = Eigen::Map<const Eigen::RowVectorXd>(w.wx.data(), B);
  rows.row(1) = Eigen::Map<const Eigen::RowVectorXd>(w.wy.data(), B);
  rows.row(2) = Eigen::Map<const Eigen::RowVectorXd>(w.wz.data(), B);
  return rows;
}

/// One swatch's residuals and slopes, on their way.
class Linearising {
 public:
  Linearising(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta, std::size_t m)
      : frame_(frame),
        layout_(layout),
        law_(layout.law()),
        theta_(theta),
        m_(m),
        swatch_(frame.problem.swatches[m]),
        B_(static_cast<Eigen::Index>(layout.bands())) {}

  Linear made() {
    place_columns();
    grow();
    const auto readings = static_cast<Eigen::Index>(swatch_.over.size());
    const Eigen::Index rows = readings * (colour_rows + B_);
    at_.J = Eigen::MatrixXd::Zero(rows, at_.columns);
    at_.y.resize(rows);
    at_.dosing = Eigen::MatrixXd::Zero(rows, static_cast<Eigen::Index>(parts_.size()));
    at_.reading.resize(rows);
    for (std::size_t b = 0; b < swatch_.over.size(); ++b) put_reading(b);
    return std::move(at_);
  }

 private:
  /// One used colorant: its columns in the local Jacobian, and how much of it there is.
  struct Part {
    std::size_t j = 0;
    Eigen::Index k = -1, s = -1, curve = -1, filling = -1;
    Growth grown;
  };

  Eigen::Index take(Eigen::Index global, Eigen::Index length) {
    const Eigen::Index local = at_.columns;
    at_.segment.emplace_back(global, length);
    at_.columns += length;
    return local;
  }
  void place_columns() {
    for (std::size_t j : frame_.used[m_]) {
      Part c{j, -1, -1, -1, -1, {}};
      c.k = take(layout_.k(j), B_);
      if (law_.scatters) c.s = take(layout_.s(j), B_);
      if (layout_.curved()) c.curve = take(layout_.curve(j), 1);
      if (law_.filling) c.filling = take(layout_.filling(j), 1);
      parts_.push_back(c);
    }
    if (law_.interface) interface_ = take(layout_.k1(), 2);
  }
  void grow() {
    double filled = 0;
    for (Part& part : parts_) {
      const double curve = layout_.curved() ? theta_[layout_.curve(part.j)] : 1;
      part.grown = growth(law_.load, curve, swatch_.loads[part.j] / frame_.top_load[part.j]);
      if (law_.filling) filled += part.grown.g * theta_[layout_.filling(part.j)];
    }
    own_left_ = std::exp(-filled);
  }

  void put_reading(std::size_t b) {
    const Bands read = bands(frame_, layout_, theta_, m_, b);
    const Frame::Target& target = frame_.target[m_][b];
    const TristimulusWeights& w = frame_.weights;
    const Xyz xyz = w.xyz_unchecked(span_of(read.R));
    const Lab lab = xyz_to_lab(xyz, w.white);
    const ReadingRows rows{static_cast<Eigen::Index>(b) * (colour_rows + B_), B_,
                           target.metric * lab_by_xyz(xyz, w.white) * xyz_by_R(w), target.spectral};
    at_.y.segment<colour_rows>(rows.row) = target.metric * (vector_of(lab) - vector_of(target.lab));
    at_.y.segment(rows.row + colour_rows, B_) = target.spectral.cwiseProduct(
        read.R - Eigen::Map<const Eigen::VectorXd>(swatch_.over[b].R.data(), B_));
    const double variance = frame_.problem.reading_sd * frame_.problem.reading_sd /
                            static_cast<double>(swatch_.over[b].repeats);
    at_.reading.segment<colour_rows>(rows.row) = variance * rows.colour.rowwise().squaredNorm();
    at_.reading.segment(rows.row + colour_rows, B_) = variance * target.spectral.cwiseAbs2();
    at_.de00 += de00(target.lab, lab) / static_cast<double>(swatch_.over.size());
    for (std::size_t a = 0; a < parts_.size(); ++a) put_colorant(rows, read, a);
    if (law_.interface) {
      rows.put(at_.J, interface_, read.by_k1);
      rows.put(at_.J, interface_ + 1, read.by_k2);
    }
  }
  void put_colorant(const ReadingRows& rows, const Bands& read, std::size_t a) {
    const Part& c = parts_[a];
    const Growth& grown = c.grown;
    // d R / d g of this colorant, all bands.
    Eigen::VectorXd by_g = read.by_K.cwiseProduct(theta_.segment(layout_.k(c.j), B_));
    rows.put_bands(at_.J, c.k, grown.g * read.by_K);
    if (law_.scatters) {
      by_g += read.by_S.cwiseProduct(theta_.segment(layout_.s(c.j), B_));
      rows.put_bands(at_.J, c.s, grown.g * read.by_S);
    }
    if (law_.filling) {
      const Eigen::VectorXd lost = -own_left_ * read.by_S.cwiseProduct(own(frame_.ply(law_).S));
      by_g += theta_[layout_.filling(c.j)] * lost;
      rows.put(at_.J, c.filling, grown.g * lost);
    }
    if (layout_.curved()) rows.put(at_.J, c.curve, grown.by_curve * by_g);
    rows.put(at_.dosing, static_cast<Eigen::Index>(a), grown.by_log_load * by_g);
  }

  const Frame& frame_;
  const Layout& layout_;
  const Law& law_;
  const Eigen::VectorXd& theta_;
  std::size_t m_;
  const CalibrationSwatch& swatch_;
  Eigen::Index B_;
  Linear at_;
  std::vector<Part> parts_;
  Eigen::Index interface_ = -1;
  double own_left_ = 1;  ///< of the ply's own scattering
};

}  // namespace

Linear linearised(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta,
                  std::size_t m) {
  return Linearising(frame, layout, theta, m).made();
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
    y.segment<3>(row) = target.metric * (vector_of(frame.weights.lab_unchecked(span_of(R))) -
                                         vector_of(target.lab));
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
                frame.weights.lab_unchecked(span_of(bands(frame, layout, theta, m, b).R)));
  return sum / static_cast<double>(frame.target[m].size());
}

}  // namespace mendtone::calibration
