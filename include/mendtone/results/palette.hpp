#pragma once
#include "mendtone/materials/calibration.hpp"
#include "mendtone/results/tissue.hpp"

namespace mendtone::results {

template <>
struct Numbers<WavelengthGrid> {
  static constexpr std::size_t count = 0;
  static std::vector<double> get(const WavelengthGrid& v) { return {v.nm().begin(), v.nm().end()}; }
  static std::string set(WavelengthGrid& v, const std::vector<double>& read);
};
/// R12, R21, T; where more is known than of diffuse light, the slab's other numbers behind them.
template <>
struct Numbers<Slab> {
  static constexpr std::size_t count = 0;
  static std::vector<double> get(const Slab& v);
  static std::string set(Slab& v, const std::vector<double>& read);
};

/// One colorant of a mixture.
struct Load {
  std::string colorant;
  double load = 0;
};
/// Those of `loads`, one a colorant of the palette, that are above 0.
std::vector<Load> loads_of(const Palette& palette, const std::vector<double>& loads);
/// One number a colorant of the palette, in its order. Colorants that it does not hold are left
/// out.
std::vector<double> loads_in(const Palette& palette, const std::vector<Load>& loads);

void fields(Describe&, Ply&);
void fields(Describe&, LoadLaw&);
void fields(Describe&, Colorant&);
void fields(Describe&, LearntResidual&);
void fields(Describe&, Posterior&);
void fields(Describe&, Palette&);

/// A law that was tried; `constants`: 2 where the colorants scatter, else 1.
struct LawTried : TriedLaw {
  int constants = 1;
  bool screening = false;  ///< of answers of the first version, which tried it
};
void fields(Describe&, LawTried&);

/// A palette as a document of its own, without how it was found.
struct PaletteDocument {
  Palette palette;
};
void fields(Describe&, PaletteDocument&);

struct ColorantRequest {
  Sources sources;
  Application application = Application::absorbed;
  std::string out;  ///< file for the palette; empty: only the answer
  int advise = 0;   ///< how many swatches to advise
  std::map<std::string, std::string> colour_index;  ///< colorant -> "PY43"
};
void fields(Describe&, ColorantRequest&);

/// How one swatch agrees with the calibration.
struct SwatchResidual {
  std::string name, where;
  std::vector<Load> loads;
  double de00 = 0;                  ///< in the fit, mean over its backings
  double cross_validated_de00 = 0;  ///< with the swatch held out
  double dL = 0, da = 0, db = 0;    ///< read minus fitted, over its first backing
  double weight = 1;                ///< what the robust fit believed of it
  bool doubtful = false;
  std::string remark;
};
void fields(Describe&, SwatchResidual&);

/// A swatch worth making.
struct AdvisedSwatch {
  std::vector<Load> loads;
  double before_de00 = 0, after_de00 = 0;
};
void fields(Describe&, AdvisedSwatch&);

struct ColorantAnswer {
  Palette palette;
  std::vector<LawTried> laws;
  std::vector<SwatchResidual> residuals;
  double condition_number = 0;
  std::size_t held_out_folds = 0;
  std::vector<AdvisedSwatch> advice;
  std::vector<std::string> warnings;
  // Said to the person, not kept.
  double dosing_sd = 0;
  std::size_t readings = 0;
  std::string out;
};
void fields(Describe&, ColorantAnswer&);

struct SwatchRequest {
  std::string palette;     ///< file that `colorant --out` wrote
  std::string loads_file;  ///< readings CSV without bands; empty: `loads`
  std::map<std::string, double> loads;
  Sources on;           ///< readings of another tissue and of backings; none: the palette's own
  std::string on_name;  ///< the palette's own tissue by name; empty: not named
  std::string over;     ///< a backing's name; not needed for a film
  int plies = 1;
  ViewingRequest viewing;  ///< no light named: D65 (viewing), LED-B1, B2, B3 and A (gallery)
  std::string light_sheet = "D65";
  std::optional<double> pick_up_sd;  ///< relative, where it was measured
  Care care;
};
void fields(Describe&, SwatchRequest&);

struct SwatchColour {
  std::string light;
  PredictedLab lab;
  std::string not_predictable;  ///< why it is not what would be seen there; empty: it is
};
void fields(Describe&, SwatchColour&);

/// What one mixture would give.
struct PredictedSwatch {
  std::string name;
  std::vector<Load> loads;
  PredictedLab lab;  ///< under the viewing light
  std::vector<SwatchColour> by_light;
  Transmitted transmitted;
  std::vector<double> wavelengths_nm, reflectance;
  double u95_de00 = 0;
  std::vector<std::string> warnings;
};
void fields(Describe&, PredictedSwatch&);

struct SwatchAnswer {
  std::string substrate;
  Application application = Application::absorbed;
  LoadUnit load_unit = LoadUnit::unstated;
  std::string over;
  int plies = 1, observer_deg = 10;
  std::vector<PredictedSwatch> swatches;
  std::vector<std::string> warnings;
  std::vector<std::string> cautions;
};
void fields(Describe&, SwatchAnswer&);

}  // namespace mendtone::results
