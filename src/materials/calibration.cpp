#include "mendtone/materials/calibration.hpp"

#include <algorithm>
#include <cmath>

#include "materials/calibration_fit.hpp"
#include "materials/calibration_learnt.hpp"
#include "materials/calibration_posterior.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/materials/prediction.hpp"

namespace mendtone {
namespace {

using namespace calibration;

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const double at = share * static_cast<double>(values.size() - 1);
  const auto low = static_cast<std::size_t>(at);
  const std::size_t high = std::min(low + 1, values.size() - 1);
  return values[low] + (at - static_cast<double>(low)) * (values[high] - values[low]);
}

/// The far tail cut: one ruined swatch must not choose the law.
double trimmed_mean(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t kept = std::max<std::size_t>(1, values.size() * 19 / 20);
  double sum = 0;
  for (std::size_t i = 0; i < kept; ++i) sum += values[i];
  return sum / static_cast<double>(kept);
}

/// What every candidate's held-out swatches are judged by: usual errors of a dropper and of the
/// colour, so that a law is not praised for guessing how a load strayed.
constexpr Noise judging{0.2, 0.05};

std::string name_of(const Law& law) {
  std::string name = law.scatters ? "two constants" : "single constant";
  name += ", " + std::string(mendtone::name_of(law.load)) + " load law";
  if (law.interface) name += ", fitted interface";
  if (law.filling) name += ", pores filled";
  if (law.many_fluxes) name += ", many fluxes";
  return name;
}

struct Tried {
  Fit fit;
  std::vector<double> held_out;  ///< CIEDE2000 of each swatch
  double score = 0;              ///< the smaller the better
  TriedLaw summary;
};

Tried tried(const Frame& frame, Fit fit, const std::vector<std::vector<std::size_t>>& folds) {
  Tried result{std::move(fit), {}, 0, {}};
  const Layout& layout = result.fit.layout;
  const Law& law = layout.law();
  result.held_out.resize(frame.problem.swatches.size());
  std::vector<double> beyond_dosing(result.held_out.size());
  for (const auto& fold : folds) {
    const Eigen::VectorXd theta = without(result.fit, fold);
    for (std::size_t m : fold) {
      result.held_out[m] = de00_of(frame, layout, theta, m);
      beyond_dosing[m] = distance_beyond_dosing(frame, layout, theta, m, judging);
    }
  }
  result.score = trimmed_mean(beyond_dosing);
  std::vector<double> inside;
  for (const Linear& linear : result.fit.linear) inside.push_back(linear.de00);
  double mean = 0;
  for (double de : result.held_out) mean += de / static_cast<double>(result.held_out.size());
  result.summary = {name_of(law),
                    law.scatters,
                    law.interface,
                    law.filling,
                    false,
                    law.many_fluxes,
                    law.load,
                    quantile(result.held_out, 0.5),
                    mean,
                    quantile(result.held_out, 0.95),
                    quantile(inside, 0.5),
                    result.score,
                    false};
  return result;
}

/// The law with the smallest score. Of two shapes that take-up follows readings hardly decide in
/// six rungs: a saturating law must be better than the power by a tenth (maintainers' choice: it
/// lets weak loads grow straight, which no ladder at the virtual bench did).
std::size_t best_of(const std::vector<Tried>& candidates) {
  const auto law_of = [&](std::size_t i) { return candidates[i].fit.layout.law(); };
  std::size_t best = 0;
  for (std::size_t i = 0; i < candidates.size(); ++i)
    if (candidates[i].score < candidates[best].score) best = i;
  if (law_of(best).load != LoadLaw::Kind::saturating) return best;
  Law power = law_of(best);
  power.load = LoadLaw::Kind::power;
  for (std::size_t i = 0; i < candidates.size(); ++i)
    if (law_of(i) == power && candidates[i].score < 1.1 * candidates[best].score) return i;
  return best;
}

/// Doubt begins where a swatch lies further off than one in two thousand should.
constexpr double doubtful_distance = 4.5;
constexpr double doubtful_de00 = 1.0;

/// The learnt residual on top of `law`: how well it does on held-out swatches.
struct TriedLearnt {
  LearntShape shape;
  LearntResidual learnt;
  std::vector<double> held_out;
  TriedLaw summary;
};

double palette_de00(const Frame& frame, const Palette& palette, std::size_t m) {
  double sum = 0;
  const CalibrationSwatch& swatch = frame.problem.swatches[m];
  for (std::size_t b = 0; b < swatch.over.size(); ++b)
    sum += de00(frame.target[m][b].lab,
                frame.weights.lab_unchecked(
                    reflectance(palette, swatch.loads, swatch.plies, swatch.over[b].below)));
  return sum / static_cast<double>(swatch.over.size());
}

TriedLearnt tried_learnt(const Frame& frame, const Tried& law,
                         const std::vector<std::vector<std::size_t>>& folds) {
  const Layout& layout = law.fit.layout;
  TriedLearnt result;
  const Eigen::MatrixXd lack = lacking(frame, layout, law.fit.theta);
  result.shape = learnt_shape(frame, lack, law.fit.weight);
  result.learnt = learnt_from(frame, result.shape, lack, law.fit.weight, {});
  result.held_out.assign(law.held_out.size(), 0.0);
  for (const auto& fold : folds) {
    const Eigen::VectorXd theta = without(law.fit, fold);
    Palette palette = as_palette(frame, layout, theta);
    palette.learnt =
        learnt_from(frame, result.shape, lacking(frame, layout, theta), law.fit.weight, fold);
    for (std::size_t m : fold) result.held_out[m] = palette_de00(frame, palette, m);
  }
  Palette whole = as_palette(frame, layout, law.fit.theta);
  whole.learnt = result.learnt;
  std::vector<double> inside;
  for (std::size_t m = 0; m < law.held_out.size(); ++m)
    inside.push_back(palette_de00(frame, whole, m));
  result.summary = law.summary;
  result.summary.name += ", learnt residual";
  result.summary.learnt = true;
  double mean = 0, before = 0, after = 0;
  for (std::size_t m = 0; m < result.held_out.size(); ++m) {
    mean += result.held_out[m] / static_cast<double>(result.held_out.size());
    before += law.held_out[m] * law.held_out[m];
    after += result.held_out[m] * result.held_out[m];
  }
  result.summary.cross_validated_de00 = quantile(result.held_out, 0.5);
  result.summary.mean_de00 = mean;
  result.summary.p95_de00 = quantile(result.held_out, 0.95);
  result.summary.fit_de00 = quantile(inside, 0.5);
  result.learnt.share = std::clamp(1 - after / std::max(before, 1e-12), 0.0, 1.0);
  return result;
}

/// Swatches of two or more colorants: what a residual over loads can be learnt from.
std::size_t mixtures_in(const Frame& frame) {
  return static_cast<std::size_t>(
      std::count_if(frame.used.begin(), frame.used.end(),
                    [](const std::vector<std::size_t>& used) { return used.size() > 1; }));
}

/// The share of their predicted u95 within which 95 of 100 like swatches will fall, from those
/// that were held out: a conformal quantile, which allows for their number. Ref: vovk2005
double conformal95(std::vector<double> ratio) {
  if (ratio.empty()) return 1;
  const auto n = static_cast<double>(ratio.size());
  const double share = n > 1 ? std::min(1.0, (0.95 * (n + 1) - 1) / (n - 1)) : 1;
  return std::clamp(quantile(std::move(ratio), share), 0.5, 5.0);
}

/// What held-out swatches say of u95.
void set_inflation(const Frame& frame, const std::vector<double>& held_out, Palette& palette) {
  std::vector<double> alone, mixed, all;
  for (std::size_t m = 0; m < held_out.size(); ++m) {
    const CalibrationSwatch& swatch = frame.problem.swatches[m];
    double u = 0;
    for (const SwatchReading& over : swatch.over)
      u += u95_de00(palette, swatch.loads, swatch.plies, over.below, frame.weights) /
           static_cast<double>(swatch.over.size());
    all.push_back(held_out[m] / std::max(u, 1e-9));
    (frame.used[m].size() > 1 ? mixed : alone).push_back(all.back());
  }
  Posterior& posterior = palette.posterior;
  posterior.inflation = conformal95(alone.empty() ? all : alone);
  // So few mixtures that the largest of them would have to stand for their 95 % point.
  constexpr std::size_t few = 19;
  posterior.mixture_inflation = conformal95(mixed.size() < few ? all : mixed);
  if (mixed.size() >= few) return;
  if (!mixed.empty())
    posterior.mixture_inflation = std::max(posterior.mixture_inflation, conformal95(mixed));
  if (palette.application != Application::film || mixed.size() >= few / 2) return;
  // A film's ladders say little of its mixtures: at the virtual bench their 95 % point lay 1.5
  // times as far off as ladders promise (maintainers' choice, no other source).
  constexpr double unread_mixtures = 1.5;
  posterior.mixture_inflation = unread_mixtures * posterior.inflation;
  palette.warnings.push_back(
      "calibrated on ladders, with next to no mixtures: a film's mixtures are hardly known from "
      "them, so their uncertainty is widened by half; read ten mixtures or more");
}

std::string remark_on(const SwatchResidual& residual, double distance) {
  return "read " + fixed(residual.de00, 1) + " DeltaE00 from what all other swatches say (dL* " +
         fixed_signed(residual.dL, 1) + ", da* " + fixed_signed(residual.da, 1) + ", db* " +
         fixed_signed(residual.db, 1) + "), " + fixed(std::sqrt(distance), 1) +
         " times the usual; weighted down to " + fixed(100 * residual.weight, 0) +
         " %: read it again, or check its loads";
}

SwatchResidual residual_of(const Frame& frame, const Tried& chosen, const Palette& palette,
                           double held_out, std::size_t m) {
  const CalibrationSwatch& swatch = frame.problem.swatches[m];
  SwatchResidual residual;
  residual.name = swatch.name;
  residual.where = swatch.where;
  residual.loads = swatch.loads;
  residual.de00 = palette_de00(frame, palette, m);
  residual.cross_validated_de00 = held_out;
  const Lab fitted_lab = frame.weights.lab_unchecked(
      reflectance(palette, swatch.loads, swatch.plies, swatch.over.front().below));
  const SignedDifference d = signed_difference(fitted_lab, frame.target[m].front().lab);
  residual.dL = d.dL;
  residual.da = d.da;
  residual.db = d.db;
  const auto at = static_cast<Eigen::Index>(m);
  residual.weight = std::min(1.0, chosen.fit.weight[at]);
  const double distance = chosen.fit.distance[at];
  residual.doubtful = distance > doubtful_distance && residual.de00 > doubtful_de00;
  if (residual.doubtful) residual.remark = remark_on(residual, distance);
  return residual;
}

void describe_colorants(const Frame& frame, const std::vector<double>& held_out, Palette& palette) {
  for (std::size_t j = 0; j < palette.colorants.size(); ++j) {
    Colorant& colorant = palette.colorants[j];
    std::vector<double> loads, errors;
    std::size_t alone = 0;
    for (std::size_t m = 0; m < held_out.size(); ++m) {
      const double load = frame.problem.swatches[m].loads[j];
      if (load <= 0) continue;
      loads.push_back(load);
      errors.push_back(held_out[m]);
      alone += frame.used[m].size() == 1 ? 1 : 0;
    }
    const auto [low, high] = std::minmax_element(loads.begin(), loads.end());
    colorant.load_range = {*low, *high};
    colorant.cross_validated_de00 = quantile(errors, 0.5);
    if (alone == 0) colorant.warnings.push_back("read in mixtures only, never alone");
    if (*high < 3 * *low)
      colorant.warnings.push_back(
          "its loads span less than a factor of three; its load law is "
          "hardly known");
    double k = 0, k_se = 0;
    for (std::size_t i = 0; i < colorant.k.size(); ++i) {
      k += colorant.k[i];
      k_se += colorant.k_se[i];
    }
    if (k_se > 0.5 * k)
      colorant.warnings.push_back("its absorption is hardly determined: standard error " +
                                  fixed(100 * k_se / std::max(k, 1e-12), 0) +
                                  " % of it; read darker rungs");
  }
}

bool knows(const Ply& ply, std::size_t bands) {
  return ply.K.size() == bands && ply.S.size() == bands;
}

}  // namespace

std::vector<std::string> faults(const CalibrationProblem& problem) {
  std::vector<std::string> found;
  const std::size_t bands = problem.grid.size();
  const auto check = [&](bool good, const std::string& fault) {
    if (!good) found.push_back(fault);
  };
  const bool film = problem.application == Application::film;
  check(bands > 2, "a calibration needs more than two wavelengths, found " + std::to_string(bands));
  check(!problem.colorants.empty(), "no colorant is named");
  check(!problem.swatches.empty(), "no swatch was read");
  check(film ? problem.support.size() == bands
             : knows(problem.ply, bands) && knows(problem.many_flux_ply, bands),
        "the bare " + std::string(film ? "support" : "tissue") +
            " is not known at the calibration's wavelengths");
  std::vector<bool> used(problem.colorants.size(), false);
  for (const CalibrationSwatch& swatch : problem.swatches) {
    const auto here = [&](const std::string& fault) {
      return "the swatch '" + swatch.name + "' " + fault;
    };
    check(swatch.loads.size() == problem.colorants.size(),
          here("does not have one load a colorant"));
    check(swatch.plies >= 1 && !swatch.over.empty(), here("was not read"));
    for (const SwatchReading& reading : swatch.over)
      check(reading.R.size() == bands && reading.below.size() == bands,
            here("is not read at the calibration's wavelengths"));
    for (std::size_t j = 0; j < std::min(swatch.loads.size(), used.size()); ++j) {
      check(swatch.loads[j] >= 0 && std::isfinite(swatch.loads[j]), here("has a load below 0"));
      used[j] = used[j] || swatch.loads[j] > 0;
    }
  }
  for (std::size_t j = 0; j < used.size(); ++j)
    check(used[j], "no swatch holds '" + problem.colorants[j] + "'");
  return found;
}

Result<Calibration> calibrate(const CalibrationProblem& problem, int advise, const Going& going) {
  if (const auto wrong = faults(problem); !wrong.empty()) return bad_input(wrong, "calibration");
  const Frame frame(problem);
  const auto all_folds = folds(problem);
  const bool film = problem.application == Application::film;
  std::vector<Tried> candidates;
  // Thirteen laws are tried, and what the best leaves open takes about as long as two of them.
  constexpr double laws = 13, steps = laws + 2;
  const auto add = [&](const Law& law, std::optional<std::size_t> from) -> Result<void> {
    if (going) MENDTONE_TRY(going(static_cast<double>(candidates.size()) / steps));
    const Layout to(law, problem.colorants.size(), problem.grid.size());
    const Fit* simpler = from ? &candidates[*from].fit : nullptr;
    Fit fit = fitted(frame, to,
                     simpler ? carried_over(simpler->layout, simpler->theta, to) : start(frame, to),
                     simpler ? simpler->noise : Noise{});
    Tried one = tried(frame, std::move(fit), all_folds);
    candidates.push_back(std::move(one));
    return {};
  };
  using Kind = LoadLaw::Kind;
  const auto three_kinds = [&](bool scatters) -> Result<void> {
    const std::size_t first = candidates.size();
    Law law;
    law.scatters = scatters;
    MENDTONE_TRY(add(law, std::nullopt));
    for (Kind kind : {Kind::power, Kind::saturating}) {
      law.load = kind;
      MENDTONE_TRY(add(law, first));
    }
    return {};
  };
  MENDTONE_TRY(three_kinds(false));
  MENDTONE_TRY(three_kinds(true));
  for (std::size_t i : {3, 4, 5}) {
    Law law = candidates[i].fit.layout.law();
    (film ? law.interface : law.filling) = true;
    MENDTONE_TRY(add(law, i));
  }
  for (std::size_t i : {4, 5, 7, 8}) {
    Law law = candidates[i].fit.layout.law();
    law.many_fluxes = true;
    MENDTONE_TRY(add(law, i));
  }
  if (going) MENDTONE_TRY(going(laws / steps));
  const std::size_t best = best_of(candidates);

  Calibration result;
  for (const Tried& candidate : candidates) result.laws.push_back(candidate.summary);
  const Tried& chosen = candidates[best];
  std::vector<double> held_out = chosen.held_out;
  result.palette = as_palette(frame, chosen.fit.layout, chosen.fit.theta);
  constexpr std::size_t least_mixtures = 20;
  std::size_t chosen_row = best;
  if (mixtures_in(frame) >= least_mixtures) {
    TriedLearnt learnt = tried_learnt(frame, chosen, all_folds);
    if (trimmed_mean(learnt.held_out) < 0.98 * trimmed_mean(held_out)) {
      chosen_row = result.laws.size();
      held_out = learnt.held_out;
      result.palette.learnt = std::move(learnt.learnt);
    }
    result.laws.push_back(learnt.summary);
  }
  result.laws[chosen_row].chosen = true;

  Palette physics = as_palette(frame, chosen.fit.layout, chosen.fit.theta);
  Open open = what_is_open(frame, chosen.fit, physics);
  for (std::size_t j = 0; j < physics.colorants.size(); ++j) {
    result.palette.colorants[j].k_se = physics.colorants[j].k_se;
    result.palette.colorants[j].s_se = physics.colorants[j].s_se;
  }
  result.palette.posterior = std::move(open.posterior);
  set_inflation(frame, held_out, result.palette);
  result.condition_number = open.condition_number;
  result.palette.cross_validated_de00 = quantile(held_out, 0.5);
  result.dosing_sd = chosen.fit.noise.dosing;
  result.held_out_folds = all_folds.size();
  describe_colorants(frame, held_out, result.palette);
  for (std::size_t m = 0; m < problem.swatches.size(); ++m)
    result.residuals.push_back(residual_of(frame, chosen, result.palette, held_out[m], m));
  result.advice = advised(frame, chosen.fit, chosen.score, advise);
  result.warnings = problem.warnings;
  return result;
}

}  // namespace mendtone
