#pragma once
#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "mendtone/base/going.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/materials/palette.hpp"

namespace mendtone {

/// The mean of the repeats of one swatch over one backing.
struct SwatchReading {
  std::vector<double> R;
  std::vector<double> below;  ///< the backing's (film: the support's) own reading
  std::string backing;
  std::size_t repeats = 1;
  double spread_de00 = 0;  ///< mean CIEDE2000 of the repeats to their mean, D65/10
};

/// One toned sheet or painted patch that carries loads: a ladder's rung, a mixture or a trial.
struct CalibrationSwatch {
  std::string name;
  std::vector<double> loads;  ///< one per colorant of the problem
  int plies = 1;
  std::vector<SwatchReading> over;
  std::string where;  ///< file and line of its first reading
};

/// One joint calibration, as plain data.
struct CalibrationProblem {
  WavelengthGrid grid;
  Application application = Application::absorbed;
  LoadUnit load_unit = LoadUnit::unstated;
  std::string substrate, lot, stock;
  State state = State::unstated;
  Ply ply;                                              ///< absorbed, in two fluxes
  Ply many_flux_ply;                                    ///< the same, in many
  Viewing viewing = Viewing::at_45_0;                   ///< of the swatches
  std::vector<double> support;                          ///< film
  bool specular_included = false;                       ///< the instrument sees the gloss: k1 is ke
  std::map<std::string, std::vector<double>> backings;  ///< all that were read, by name
  std::vector<std::string> colorants;
  std::vector<CalibrationSwatch> swatches;
  /// Standard deviation of one band of one reading of a swatch, as its repeats show it; 0: no
  /// repeats.
  double reading_sd = 0;
  std::vector<Warning> warnings;  ///< of the readings
  std::uint64_t seed = 1;         ///< of the cross-validation's folds
};

/// Brings readings to one problem: roles and backings looked up, repeats averaged, the bare
/// substrate's body found. Refuses, naming every fault at once and what to read next: no bare
/// substrate; wet readings; mixed load units, lots, stocks, states or conditions; a backing that
/// is not there; fewer than three loads of a colorant that no mixtures make up for; readings
/// without spectra or on different wavelengths.
Result<CalibrationProblem> calibration_problem(std::span<const Reading> readings,
                                               Application application);

/// A law that was tried.
struct TriedLaw {
  std::string name;  ///< "two constants, power load law, fitted interface"
  bool scatters = false, interface = false, filling = false, learnt = false;
  bool many_fluxes = false;
  LoadLaw::Kind load = LoadLaw::Kind::linear;
  double cross_validated_de00 = 0;  ///< median over held-out swatches
  double mean_de00 = 0, p95_de00 = 0;
  double fit_de00 = 0;  ///< median over the swatches that it was fitted to
  /// Trimmed mean over held-out swatches of what the error of their own loads (5 %) does not
  /// explain, CIEDE2000 an axis: what the law is chosen by. Of a learnt one: its physics'.
  double beyond_dosing_de00 = 0;
  bool chosen = false;
};

/// How one swatch agrees with the calibration.
struct SwatchResidual {
  std::string name, where;
  std::vector<double> loads;
  double de00 = 0;                  ///< in the fit, mean over its backings
  double cross_validated_de00 = 0;  ///< with the swatch held out
  double dL = 0, da = 0, db = 0;    ///< read minus fitted, over its first backing
  double weight = 1;                ///< what the robust fit believed of it
  bool doubtful = false;
  std::string remark;  ///< why, in words; empty when not doubtful
};

/// A swatch worth making.
struct AdvisedSwatch {
  std::vector<double> loads;  ///< one per colorant of the palette
  /// Root mean square uncertainty of likely mixtures, CIEDE2000, before and after reading it (and
  /// those advised before it).
  double before_de00 = 0, after_de00 = 0;
};

struct Calibration {
  Palette palette;
  std::vector<TriedLaw> laws;
  std::vector<SwatchResidual> residuals;
  double condition_number = 0;  ///< of the free parameters' scaled normal matrix
  double dosing_sd = 0;         ///< relative spread of the loads that the readings show
  std::size_t held_out_folds = 0;
  std::vector<AdvisedSwatch> advice;  ///< in the order in which to make them
  std::vector<Warning> warnings;
};

/// Fits every candidate law jointly to all swatches and keeps the one that predicts held-out
/// swatches best, the error of their own loads apart. `advise`: how many swatches to name that
/// would teach most about likely mixtures (two or three colorants within the loads that were read;
/// I-optimal on the posterior and on what the law lacks). Refuses a problem with `faults`. `going`
/// is asked after every law that was tried. Ref: kubelka1948, saunderson1942, atkinson2007
Result<Calibration> calibrate(const CalibrationProblem& problem, int advise = 0,
                              const Going& going = {});

/// What keeps a problem from being calibrated, in words: nothing read, or readings whose colorants
/// or wavelengths are not the problem's. One from `calibration_problem` has none.
std::vector<std::string> faults(const CalibrationProblem& problem);

}  // namespace mendtone
