#pragma once
#include <Eigen/Dense>
#include <array>
#include <vector>

#include "mendtone/colour/weights.hpp"
#include "mendtone/materials/calibration.hpp"

// The parameters of a candidate law and what each swatch says of them.
namespace mendtone::calibration {

/// A candidate law.
struct Law {
  bool scatters = true;      ///< two constants; else k alone
  bool interface = false;    ///< film: k1 and k2 fitted
  bool filling = false;      ///< absorbed: pores filled by the binder
  bool many_fluxes = false;  ///< the layer solved in many directions; else in two
  LoadLaw::Kind load = LoadLaw::Kind::linear;

  bool operator==(const Law&) const = default;
};

/// Where each parameter stands in the vector. k and s are those of each colorant's largest load,
/// so all are of the order of 1; the law's own parameter is the exponent, or the largest load over
/// the half-way load.
class Layout {
 public:
  Layout(const Law& law, std::size_t colorants, std::size_t bands);

  const Law& law() const { return law_; }
  Eigen::Index size() const { return size_; }
  std::size_t colorants() const { return colorants_; }
  std::size_t bands() const { return bands_; }
  bool curved() const { return law_.load != LoadLaw::Kind::linear; }

  Eigen::Index k(std::size_t j) const { return index(j * bands_); }
  Eigen::Index s(std::size_t j) const { return index((colorants_ + j) * bands_); }
  Eigen::Index curve(std::size_t j) const { return curve_ + index(j); }
  Eigen::Index curve_mean() const { return curve_ + index(colorants_); }
  Eigen::Index filling(std::size_t j) const { return filling_ + index(j); }
  Eigen::Index filling_mean() const { return filling_ + index(colorants_); }
  Eigen::Index k1() const { return interface_; }
  Eigen::Index k2() const { return interface_ + 1; }

 private:
  static Eigen::Index index(std::size_t i) { return static_cast<Eigen::Index>(i); }

  Law law_;
  std::size_t colorants_, bands_;
  Eigen::Index curve_ = -1, filling_ = -1, interface_ = -1, size_ = 0;
};

/// Bounds and priors of the parameters; sd 0: none.
struct Prior {
  Eigen::VectorXd low, high;
  Eigen::MatrixXd precision;  ///< prior information, in units of 1 / parameter^2
  Eigen::VectorXd centre;     ///< what the precision pulls towards
};

/// What is fixed for all laws: the problem, colour weights, the metric at each reading.
struct Frame {
  /// `top_load` empty: the largest loads of the problem's own swatches.
  explicit Frame(const CalibrationProblem& problem, std::vector<double> top_load = {});

  const CalibrationProblem& problem;
  TristimulusWeights weights;
  double per_band = 0;                         ///< weight of one band's lightness error
  std::vector<double> top_load;                ///< [colorant], the largest in the readings
  std::vector<std::vector<std::size_t>> used;  ///< [swatch] its colorants
  struct Target {
    Lab lab;
    Eigen::Matrix3d metric;    ///< CIEDE2000 of a small Lab step d is |metric d|
    Eigen::VectorXd spectral;  ///< weight of each band's reflectance error, DE00-like
  };
  std::vector<std::vector<Target>> target;  ///< [swatch][reading]

  LayerModel model(const Law& law) const;
  const Ply& ply(const Law& law) const;  ///< absorbed: the bare one, as the law's layer has it
};

/// Load law relative to the largest load: 1 at x = 1.
struct Growth {
  double g = 0, by_curve = 0, by_log_load = 0;
};
Growth growth(LoadLaw::Kind kind, double curve, double x);

/// The parameters' meaning as a palette (without posterior, learnt part, warnings).
Palette as_palette(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta);

/// Prediction of one reading and its slopes, band by band.
struct Bands {
  Eigen::VectorXd R, by_K, by_S;
  Eigen::VectorXd by_k1, by_k2;
};
Bands bands(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta,
            std::size_t swatch, std::size_t reading);

/// One swatch's residuals and their slopes. Residuals: per reading three of colour (DE00-like),
/// then one a band; rows of `local` follow `columns`.
struct Linear {
  std::vector<std::pair<Eigen::Index, Eigen::Index>> segment;  ///< (global start, length)
  Eigen::Index columns = 0;
  Eigen::MatrixXd J;  ///< residual rows x local columns
  Eigen::VectorXd y;
  Eigen::MatrixXd dosing;   ///< residual rows x used colorants: slopes by ln load
  Eigen::VectorXd reading;  ///< residual rows: variance that the reading's own noise gives each
  double de00 = 0;          ///< mean over its readings, exact formula
};
Linear linearised(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta,
                  std::size_t swatch);

/// Residuals only.
Eigen::VectorXd residuals(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta,
                          std::size_t swatch);

/// Mean CIEDE2000 over a swatch's readings.
double de00_of(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta,
               std::size_t swatch);

}  // namespace mendtone::calibration
