#include "mendtone/match/correct.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

/// DeltaE00 per unit of L*, a*, b* at a colour: makes the three axes alike.
std::array<double, 3> metric_at(const Lab& lab) {
  constexpr double h = 0.05;
  return {de00(lab, {lab.L + h, lab.a, lab.b}) / h, de00(lab, {lab.L, lab.a + h, lab.b}) / h,
          de00(lab, {lab.L, lab.a, lab.b + h}) / h};
}

/// The unknowns in one vector: log strength of each colorant laid down, the model's offset (three
/// axes, DeltaE00), and for each trial its mix's log dosing errors and its log pick-up error.
class Unknowns {
 public:
  Unknowns(const WashProblem& problem, const std::vector<Trial>& trials) : trials_(trials) {
    for (std::size_t c = 0; c < problem.palette.colorants.size(); ++c)
      if (std::any_of(trials.begin(), trials.end(), [&](const Trial& t) { return t.added[c] > 0; }))
        colorants_.push_back(c);
  }
  const std::vector<std::size_t>& colorants() const { return colorants_; }
  Eigen::Index strength(std::size_t i) const { return static_cast<Eigen::Index>(i); }
  Eigen::Index offset() const { return static_cast<Eigen::Index>(colorants_.size()); }
  Eigen::Index dosing(std::size_t trial, std::size_t i) const {
    return offset() + 3 + static_cast<Eigen::Index>(trial * (colorants_.size() + 1) + i);
  }
  Eigen::Index pick_up(std::size_t trial) const { return dosing(trial, colorants_.size()); }
  Eigen::Index size() const { return dosing(trials_.size(), 0); }

  Vector prior(const Spreads& s) const {
    Vector sd = Vector::Constant(size(), s.dosing);
    for (std::size_t i = 0; i < colorants_.size(); ++i) sd[strength(i)] = s.strength;
    for (Eigen::Index a = 0; a < 3; ++a) sd[offset() + a] = s.model_de00;
    for (std::size_t t = 0; t < trials_.size(); ++t) sd[pick_up(t)] = s.pick_up;
    return sd.cwiseMax(1e-6);
  }
  /// Loads on the sheet of trial `t`, by the calibration's measure.
  std::vector<double> on_sheet(std::size_t t, const Vector& x) const {
    std::vector<double> loads(trials_[t].added.size(), 0.0);
    std::size_t first = t;
    while (first > 0 && trials_[first].same_sheet) --first;
    for (std::size_t step = first; step <= t; ++step)
      for (std::size_t i = 0; i < colorants_.size(); ++i) {
        const std::size_t c = colorants_[i];
        loads[c] += trials_[step].added[c] *
                    std::exp(x[strength(i)] + x[dosing(step, i)] + x[pick_up(step)]);
      }
    return loads;
  }

 private:
  const std::vector<Trial>& trials_;
  std::vector<std::size_t> colorants_;
};

/// Lab under every light, in DeltaE00 units.
class Eye {
 public:
  explicit Eye(const WashProblem& problem) : problem_(problem) {
    for (const LightAim& light : problem.lights) metric_.push_back(metric_at(light.sheet));
  }
  Eigen::Index size() const { return static_cast<Eigen::Index>(3 * metric_.size()); }
  Vector of(const std::vector<double>& R) const {
    Vector seen(size());
    for (std::size_t m = 0; m < metric_.size(); ++m) {
      const Lab lab = problem_.lights[m].weights.lab_unchecked(R);
      const Eigen::Index at = static_cast<Eigen::Index>(3 * m);
      seen[at] = lab.L * metric_[m][0];
      seen[at + 1] = lab.a * metric_[m][1];
      seen[at + 2] = lab.b * metric_[m][2];
    }
    return seen;
  }
  Vector of_loads(const std::vector<double>& loads) const {
    return of(predict_reflectance_unchecked(problem_, loads));
  }
  Lab back(const Vector& seen, std::size_t m) const {
    const Eigen::Index at = static_cast<Eigen::Index>(3 * m);
    return {seen[at] / metric_[m][0], seen[at + 1] / metric_[m][1], seen[at + 2] / metric_[m][2]};
  }
  /// Covariance of a reading whose bands stray by `sd`, and of what the model's error differs from
  /// light to light.
  Matrix noise(const std::vector<double>& R, const Spreads& spreads) const {
    const Vector base = of(R);
    Matrix cov = Matrix::Zero(size(), size());
    std::vector<double> moved = R;
    constexpr double h = 1e-5;
    for (std::size_t b = 0; b < R.size(); ++b) {
      moved[b] = R[b] + h;
      const Vector slope = (of(moved) - base) / h * spreads.reading;
      cov += slope * slope.transpose();
      moved[b] = R[b];
    }
    const double own = 0.2 * spreads.model_de00;
    cov.diagonal().array() += own * own + 1e-8;
    return cov;
  }

 private:
  const WashProblem& problem_;
  std::vector<std::array<double, 3>> metric_;
};

/// The whole measurement equation of all trials at `x`.
Vector expected_of(const Eye& eye, const Unknowns& unknowns, std::size_t trials, const Vector& x) {
  Vector all(static_cast<Eigen::Index>(trials) * eye.size());
  for (std::size_t t = 0; t < trials; ++t) {
    Vector seen = eye.of_loads(unknowns.on_sheet(t, x));
    for (Eigen::Index i = 0; i < seen.size(); ++i) seen[i] += x[unknowns.offset() + i % 3];
    all.segment(static_cast<Eigen::Index>(t) * eye.size(), eye.size()) = seen;
  }
  return all;
}

struct Belief {
  Vector x;
  Matrix covariance;
};

/// Gauss-Newton on the log posterior, five rounds; slopes by differences.
Belief update(const Eye& eye, const Unknowns& unknowns, const std::vector<Trial>& trials,
              const Spreads& spreads) {
  const Eigen::Index n = unknowns.size(), block = eye.size();
  const Vector prior = unknowns.prior(spreads);
  Vector measured(static_cast<Eigen::Index>(trials.size()) * block);
  std::vector<Matrix> weight;
  for (std::size_t t = 0; t < trials.size(); ++t) {
    measured.segment(static_cast<Eigen::Index>(t) * block, block) = eye.of(trials[t].reflectance);
    weight.push_back(eye.noise(trials[t].reflectance, spreads).inverse());
  }
  Belief posterior{Vector::Zero(n), {}};
  Matrix information;
  for (int round = 0; round < 5; ++round) {
    const Vector base = expected_of(eye, unknowns, trials.size(), posterior.x);
    Matrix J(measured.size(), n);
    for (Eigen::Index i = 0; i < n; ++i) {
      Vector moved = posterior.x;
      constexpr double h = 1e-5;
      moved[i] += h;
      J.col(i) = (expected_of(eye, unknowns, trials.size(), moved) - base) / h;
    }
    information = prior.array().square().inverse().matrix().asDiagonal();
    Vector pull = -(posterior.x.array() / prior.array().square()).matrix();
    for (std::size_t t = 0; t < trials.size(); ++t) {
      const Eigen::Index at = static_cast<Eigen::Index>(t) * block;
      const Matrix Jt = J.middleRows(at, block);
      information += Jt.transpose() * weight[t] * Jt;
      pull += Jt.transpose() * weight[t] * (measured - base).segment(at, block);
    }
    posterior.x += information.ldlt().solve(pull);
  }
  posterior.covariance = information.ldlt().solve(Matrix::Identity(n, n));
  return posterior;
}

/// Of the last trial's offset from what the calibration alone predicts, what its drops and pick-up
/// account for: signed along the offset, 0 to 1.
double dosing_share(const Eye& eye, const Unknowns& unknowns, const std::vector<Trial>& trials,
                    const Vector& x) {
  const std::size_t last = trials.size() - 1;
  Vector lasting = Vector::Zero(x.size());
  lasting.head(unknowns.offset() + 3) = x.head(unknowns.offset() + 3);
  const Vector plain = eye.of_loads(unknowns.on_sheet(last, Vector::Zero(x.size())));
  const Vector whole = eye.of(trials[last].reflectance) - plain;
  const Vector part =
      eye.of_loads(unknowns.on_sheet(last, x)) - eye.of_loads(unknowns.on_sheet(last, lasting));
  const double square = whole.squaredNorm();
  return square > 0 ? std::clamp(part.dot(whole) / square, 0.0, 1.0) : 0;
}

bool is_allowed(const WashProblem& problem, std::size_t c) {
  const std::string& name = problem.palette.colorants[c].name;
  return max_load_of(problem, c) > 0 &&
         std::none_of(problem.excluded.begin(), problem.excluded.end(),
                      [&](const Exclusion& e) { return e.colorant == name; });
}

/// The best loads with `used`, or with one more.
Result<Recipe> best_with(const WashProblem& problem, const std::vector<int>& used,
                         const std::vector<double>& at_least) {
  Recipe best = MENDTONE_TRY(best_loads(problem, used, at_least));
  if (used.size() >= 5) return best;
  for (std::size_t c = 0; c < problem.palette.colorants.size(); ++c) {
    if (std::find(used.begin(), used.end(), static_cast<int>(c)) != used.end() ||
        !is_allowed(problem, c))
      continue;
    std::vector<int> more = used;
    more.push_back(static_cast<int>(c));
    Recipe other = MENDTONE_TRY(best_loads(problem, more, at_least));
    if (other.colour.objective < best.colour.objective - 1e-9) best = std::move(other);
  }
  return best;
}

/// Loads to measure out, for loads by the calibration's measure.
std::vector<double> measured_out(const std::vector<double>& more, const Learnt& learnt) {
  std::vector<double> loads = more;
  for (std::size_t c = 0; c < loads.size(); ++c)
    loads[c] = std::max(0.0, loads[c]) / learnt.colorants[c].strength;
  return loads;
}

Predicted expected_unchecked(const WashProblem& problem, const std::vector<double>& loads,
                             const std::vector<Lab>& offsets) {
  Predicted colour = predict_unchecked(with_offsets(problem, offsets), loads);
  for (std::size_t m = 0; m < offsets.size(); ++m) {
    LightColour& c = colour.by_light[m];
    c.lab = {c.lab.L + offsets[m].L, c.lab.a + offsets[m].a, c.lab.b + offsets[m].b};
    c.de00 = de00(problem.lights[m].sheet, c.lab);
    c.aim_de00 = de00(problem.lights[m].aim, c.lab);
    if (problem.lights[m].predictable && c.de00 > colour.by_light[colour.worst].de00)
      colour.worst = m;
  }
  return colour;
}

Result<void> check_trials(const WashProblem& problem, const std::vector<Trial>& trials) {
  const std::size_t colorants = problem.palette.colorants.size();
  MENDTONE_TRY(check(problem, std::vector<double>(colorants, 0.0)));
  if (trials.empty()) return bad_input("a correction needs a trial that was read");
  for (const Trial& trial : trials) {
    if (trial.added.size() != colorants)
      return bad_input("a trial needs one load for each of " + std::to_string(colorants) +
                       " colorants, found " + std::to_string(trial.added.size()));
    if (trial.reflectance.size() != problem.palette.grid.size())
      return bad_input("a trial has to be read at the calibration's " +
                       std::to_string(problem.palette.grid.size()) + " wavelengths, found " +
                       std::to_string(trial.reflectance.size()));
  }
  return {};
}

Result<Correction> next_coat(const WashProblem& problem, const WashProblem& as_read,
                             const std::vector<int>& used, const Learnt& learnt,
                             const std::vector<double>& reflectance) {
  // From the colour as read: what the model is off by on this very sheet.
  const std::vector<double> now = predict_reflectance_unchecked(as_read, learnt.on_sheet);
  std::vector<Lab> offsets;
  for (const LightAim& light : problem.lights) {
    const Lab read = light.weights.lab_unchecked(reflectance),
              thought = light.weights.lab_unchecked(now);
    offsets.push_back({read.L - thought.L, read.a - thought.a, read.b - thought.b});
  }
  WashProblem moved = with_offsets(problem, offsets);
  moved.max_load.clear();
  for (std::size_t c = 0; c < learnt.on_sheet.size(); ++c)
    moved.max_load.push_back(std::max(max_load_of(problem, c), learnt.on_sheet[c] * (1 + 1e-9)));
  const Recipe best = MENDTONE_TRY(best_with(moved, used, learnt.on_sheet));
  std::vector<double> more = best.loads;
  for (std::size_t c = 0; c < more.size(); ++c)
    more[c] = best.loads[c] > 0 ? best.loads[c] - learnt.on_sheet[c] : 0;
  // Less than a thousandth of what is there already is nothing that could be measured out.
  for (std::size_t c = 0; c < more.size(); ++c)
    if (more[c] < 1e-3 * learnt.on_sheet[c]) more[c] = 0;
  std::vector<double> there = learnt.on_sheet;
  for (std::size_t c = 0; c < more.size(); ++c) there[c] += more[c];
  return Correction{measured_out(more, learnt), learnt.on_sheet, offsets,
                    expected_unchecked(problem, there, offsets)};
}

}  // namespace

Spreads spreads_of(const Palette& palette) {
  // Median length of three equal Gaussian errors, against the deviation of one.
  constexpr double median_of_three = 1.5382;
  Spreads spreads;
  if (palette.posterior.dosing_sd > 0) spreads.dosing = palette.posterior.dosing_sd;
  if (palette.cross_validated_de00 > 0)
    spreads.model_de00 = palette.cross_validated_de00 / median_of_three;
  return spreads;
}

WashProblem with_offsets(const WashProblem& problem, const std::vector<Lab>& offsets) {
  WashProblem moved = problem;
  for (std::size_t m = 0; m < offsets.size(); ++m)
    for (Lab* lab : {&moved.lights[m].aim, &moved.lights[m].sheet})
      *lab = {lab->L - offsets[m].L, lab->a - offsets[m].a, lab->b - offsets[m].b};
  return moved;
}

Result<Predicted> expected(const WashProblem& problem, const std::vector<double>& loads,
                           const std::vector<Lab>& offsets) {
  MENDTONE_TRY(check(problem, loads));
  if (offsets.size() != problem.lights.size())
    return bad_input("expected one offset a light, " + std::to_string(problem.lights.size()) +
                     "; found " + std::to_string(offsets.size()));
  return expected_unchecked(problem, loads, offsets);
}

Result<Learnt> learn_from(const WashProblem& problem, const std::vector<Trial>& trials,
                          const Spreads& spreads) {
  MENDTONE_TRY(check_trials(problem, trials));
  const Eye eye(problem);
  const Unknowns unknowns(problem, trials);
  const Belief posterior = update(eye, unknowns, trials, spreads);
  const Vector& x = posterior.x;
  Learnt learnt;
  learnt.colorants.assign(problem.palette.colorants.size(), {1, 1.96 * spreads.strength});
  for (std::size_t i = 0; i < unknowns.colorants().size(); ++i) {
    const Eigen::Index at = unknowns.strength(i);
    const double strength = std::exp(x[at]);
    learnt.colorants[unknowns.colorants()[i]] = {
        strength, 1.96 * strength * std::sqrt(posterior.covariance(at, at))};
  }
  Vector offset(eye.size());
  for (Eigen::Index i = 0; i < offset.size(); ++i) offset[i] = x[unknowns.offset() + i % 3];
  for (std::size_t m = 0; m < problem.lights.size(); ++m)
    learnt.offsets.push_back(eye.back(offset, m));
  learnt.offset = learnt.offsets.front();
  const std::size_t last = trials.size() - 1;
  learnt.on_sheet = unknowns.on_sheet(last, x);
  learnt.last = problem.lights[0].weights.lab_unchecked(trials[last].reflectance);
  learnt.predicted = eye.back(eye.of_loads(unknowns.on_sheet(last, Vector::Zero(x.size()))), 0);
  learnt.measured_de00 = de00(learnt.predicted, learnt.last);
  learnt.of_which_dosing = dosing_share(eye, unknowns, trials, x);
  return learnt;
}

Result<Corrections> correct(const WashProblem& problem, const Setting& trial_place,
                            const std::vector<int>& used, const std::vector<Trial>& trials,
                            const Spreads& spreads) {
  if (used.size() > 5)
    return bad_input("a correction takes up to 5 colorants, found " + std::to_string(used.size()));
  WashProblem as_read = problem;
  as_read.place = trial_place;
  Corrections result;
  result.learnt = MENDTONE_TRY(learn_from(as_read, trials, spreads));
  const std::vector<double> none(problem.palette.colorants.size(), 0.0);
  result.coat =
      MENDTONE_TRY(next_coat(problem, as_read, used, result.learnt, trials.back().reflectance));
  result.now = expected_unchecked(problem, result.coat.on_sheet, result.coat.offsets);
  const WashProblem moved = with_offsets(problem, result.learnt.offsets);
  const Recipe mix = MENDTONE_TRY(best_with(moved, used, {}));
  result.mix = {measured_out(mix.loads, result.learnt), none, result.learnt.offsets,
                expected_unchecked(problem, mix.loads, result.learnt.offsets)};
  result.coat_is_nearer =
      result.coat.colour.by_light[0].aim_de00 <= result.mix.colour.by_light[0].aim_de00 + 0.05;
  return result;
}

}  // namespace mendtone
