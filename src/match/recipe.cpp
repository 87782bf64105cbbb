#include "mendtone/match/recipe.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <memory>
#include <set>
#include <thread>

#include "match/recipe_search.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone {
namespace {

using detail::Compiled;

/// One solved subset, as the search keeps it.
struct Kept {
  float F = 0;  ///< squared objective, the number of colorants counted
  std::uint64_t index = 0;
  std::uint8_t n = 0;
  std::uint8_t colorant[detail::most_colorants] = {};
  float strength[detail::most_colorants] = {};

  bool before(const Kept& o) const { return F != o.F ? F < o.F : index < o.index; }
};

/// The best `room` of what it is shown, in a buffer made once.
class Best {
 public:
  explicit Best(std::size_t room) : room_(room) { kept_.reserve(room + 1); }

  bool wants(float F) const { return kept_.size() < room_ || F <= kept_.front().F; }
  void add(const Kept& k) {
    kept_.push_back(k);
    std::push_heap(kept_.begin(), kept_.end(), less);
    if (kept_.size() <= room_) return;
    std::pop_heap(kept_.begin(), kept_.end(), less);
    kept_.pop_back();
    full_ = true;
  }
  const std::vector<Kept>& kept() const { return kept_; }
  bool dropped_any() const { return full_; }
  float worst() const { return kept_.front().F; }

 private:
  static bool less(const Kept& a, const Kept& b) { return a.before(b); }
  std::size_t room_;
  std::vector<Kept> kept_;
  bool full_ = false;
};

std::uint64_t choose(int n, int k) {
  std::uint64_t c = 1;
  for (int i = 1; i <= k; ++i) c = c * static_cast<std::uint64_t>(n - k + i) / i;
  return c;
}

/// The `rank`-th combination of `k` out of `n`, in lexical order.
void unrank(std::uint64_t rank, int n, int k, std::uint8_t* out) {
  int c = 0;
  for (int i = 0; i < k; ++i) {
    for (;; ++c) {
      const std::uint64_t with = choose(n - c - 1, k - i - 1);
      if (rank < with) break;
      rank -= with;
    }
    out[i] = static_cast<std::uint8_t>(c++);
  }
}

void next_combination(int n, int k, std::uint8_t* c) {
  int i = k - 1;
  while (i >= 0 && c[i] == n - k + i) --i;
  if (i < 0) return;
  ++c[i];
  for (int j = i + 1; j < k; ++j) c[j] = static_cast<std::uint8_t>(c[j - 1] + 1);
}

std::vector<int> allowed(const WashProblem& problem) {
  std::vector<int> list;
  for (std::size_t c = 0; c < problem.palette.colorants.size(); ++c) {
    const auto& name = problem.palette.colorants[c].name;
    const bool out = std::any_of(problem.excluded.begin(), problem.excluded.end(),
                                 [&](const Exclusion& e) { return e.colorant == name; });
    if (!out && max_load_of(problem, c) > 0) list.push_back(static_cast<int>(c));
  }
  return list;
}

constexpr int chunk = 1024;  ///< subsets; the unit of work of a thread

/// Work space of one thread for subsets of one size; allocates nothing while it runs.
class Worker {
 public:
  Worker(const Compiled<float>& problem, const std::vector<int>& colorants, int n,
         float per_colorant, std::size_t room)
      : solver_(problem, n),
        colorants_(colorants),
        n_(n),
        count_weight_(per_colorant * static_cast<float>(n)),
        best_(room),
        subsets_(static_cast<std::size_t>(chunk) * n),
        F_(chunk),
        strengths_(static_cast<std::size_t>(chunk) * n) {}

  void run(std::uint64_t first, int count, std::uint64_t index_base) {
    std::uint8_t c[detail::most_colorants];
    const int all = static_cast<int>(colorants_.size());
    unrank(first, all, n_, c);
    for (int j = 0; j < count; ++j) {
      for (int i = 0; i < n_; ++i)
        subsets_[static_cast<std::size_t>(j) * n_ + i] =
            static_cast<std::uint8_t>(colorants_[c[i]]);
      next_combination(all, n_, c);
    }
    solver_.solve(subsets_.data(), count, F_.data(), strengths_.data());
    for (int j = 0; j < count; ++j) keep(j, index_base + first + static_cast<std::uint64_t>(j));
  }
  const Best& best() const { return best_; }

 private:
  void keep(int j, std::uint64_t index) {
    const float F = F_[j] + count_weight_;
    if (!best_.wants(F)) return;
    Kept k;
    k.F = F;
    k.index = index;
    k.n = static_cast<std::uint8_t>(n_);
    for (int i = 0; i < n_; ++i) {
      k.colorant[i] = subsets_[static_cast<std::size_t>(j) * n_ + i];
      k.strength[i] = strengths_[static_cast<std::size_t>(j) * n_ + i];
      // Not used after all: the smaller subset is the same recipe.
      if (k.strength[i] == 0) return;
    }
    best_.add(k);
  }

  detail::LaneSolver solver_;
  const std::vector<int>& colorants_;
  int n_;
  float count_weight_;
  Best best_;
  std::vector<std::uint8_t> subsets_;
  std::vector<float> F_, strengths_;
};

struct Searched {
  std::vector<Kept> kept;
  std::uint64_t count = 0;
  bool dropped_any = false;
};

/// How far the search is, in chunks.
struct Progress {
  const Going& going;
  std::uint64_t done, all;

  Result<void> after(std::uint64_t more) const {
    if (!going) return {};
    return going(static_cast<double>(done + more) /
                 static_cast<double>(std::max<std::uint64_t>(all, 1)));
  }
};

constexpr std::uint64_t chunks_of(std::uint64_t subsets) {
  return (subsets + chunk - 1) / chunk;
}

/// Chunks are dealt out by number, each worker keeping its own best: what comes out does not
/// depend on how many workers there are. The calling thread asks after each of its chunks whether
/// to go on.
Result<void> search_size(const Compiled<float>& problem, const std::vector<int>& colorants, int n,
                         float per_colorant, std::size_t room, int threads, Progress& progress,
                         Searched& result) {
  const std::uint64_t total = choose(static_cast<int>(colorants.size()), n);
  const std::uint64_t chunks = chunks_of(total);
  Result<void> on;
  std::atomic<bool> stopped = false;
  const int used =
      static_cast<int>(std::min<std::uint64_t>(static_cast<std::uint64_t>(threads), chunks));
  std::vector<std::unique_ptr<Worker>> workers;
  for (int t = 0; t < used; ++t)
    workers.push_back(std::make_unique<Worker>(problem, colorants, n, per_colorant, room));
  const auto work = [&](int t) {
    for (std::uint64_t c = static_cast<std::uint64_t>(t); c < chunks && !stopped;
         c += static_cast<std::uint64_t>(used)) {
      if (t == 0 && !(on = progress.after(c))) {
        stopped = true;
        return;
      }
      workers[t]->run(c * chunk,
                      static_cast<int>(std::min<std::uint64_t>(chunk, total - c * chunk)),
                      result.count);
    }
  };
  std::vector<std::thread> others;
  for (int t = 1; t < used; ++t) others.emplace_back(work, t);
  if (used > 0) work(0);
  for (std::thread& other : others) other.join();
  if (!on) return on;
  progress.done += chunks;
  for (const auto& worker : workers) {
    result.kept.insert(result.kept.end(), worker->best().kept().begin(),
                       worker->best().kept().end());
    result.dropped_any = result.dropped_any || worker->best().dropped_any();
  }
  result.count += total;
  return {};
}

/// Whether no recipe of `n` colorants or more can come among the best `top`: the number of
/// colorants alone makes its square larger than that of the `top`-th best so far. A set that leaves
/// one of its colorants out is a smaller set, and was seen.
bool beyond(Searched& searched, std::size_t top, double count_weight) {
  if (searched.kept.size() < top) return false;
  std::nth_element(searched.kept.begin(), searched.kept.begin() + static_cast<long>(top) - 1,
                   searched.kept.end(), [](const Kept& a, const Kept& b) { return a.before(b); });
  const double last = searched.kept[top - 1].F;
  // What single precision may have lost.
  return count_weight > last + 1e-4 + 1e-3 * last;
}

std::string proof_of(const WashResult& result) {
  if (result.skipped == 0) return "exhaustive: every set of colorants was solved";
  return "bounded: " + std::to_string(result.skipped) +
         " larger sets were left out, since their number of colorants alone weighs more than the "
         "last recipe shown";
}

Recipe judged(const WashProblem& problem, std::vector<double> loads) {
  Recipe recipe{std::move(loads), {}, false};
  for (std::size_t c = 0; c < recipe.loads.size(); ++c)
    recipe.at_limit = recipe.at_limit || (recipe.loads[c] > 0 &&
                                          recipe.loads[c] >= max_load_of(problem, c) * (1 - 1e-9));
  recipe.colour = predict_unchecked(problem, recipe.loads);
  return recipe;
}

/// Loads of all colorants from the strengths of some; those below 1e-9 of the maximum are none.
std::vector<double> all_loads(const WashProblem& problem, const std::vector<int>& colorants,
                              const double* strengths) {
  std::vector<double> loads(problem.palette.colorants.size(), 0.0);
  for (std::size_t i = 0; i < colorants.size(); ++i) {
    const int c = colorants[i];
    const double load = detail::load_of(problem.palette.colorants[c].law, strengths[i]);
    const double most = max_load_of(problem, c);
    loads[c] = load < 1e-9 * most ? 0 : std::min(load, most);
  }
  return loads;
}

/// The aims moved by what the calibration's learnt part adds at `loads`, which the search's plain
/// physics does not see.
WashProblem moved_aims(const WashProblem& problem, const std::vector<double>& loads) {
  WashProblem plain = problem;
  plain.palette.learnt.reset();
  const Predicted with = predict_unchecked(problem, loads),
                  without = predict_unchecked(plain, loads);
  const auto move = [](Lab& aim, const Lab& from, const Lab& to) {
    aim = {aim.L + to.L - from.L, aim.a + to.a - from.a, aim.b + to.b - from.b};
  };
  for (std::size_t i = 0; i < plain.lights.size(); ++i)
    move(plain.lights[i].aim, with.by_light[i].lab, without.by_light[i].lab);
  if (with.transmitted) move(plain.transmitted.sheet, *with.transmitted, *without.transmitted);
  return plain;
}

/// Finished in double precision; a learnt part is met by moving the aims and solving again.
Recipe finished(const WashProblem& problem, const Compiled<double>& exact,
                const std::vector<int>& colorants, double* strengths) {
  detail::finish(exact, colorants, strengths);
  std::vector<double> loads = all_loads(problem, colorants, strengths);
  for (int round = 0; problem.palette.learnt && round < 4; ++round) {
    const auto moved = detail::with_aims(exact, moved_aims(problem, loads));
    detail::finish(moved, colorants, strengths);
    loads = all_loads(problem, colorants, strengths);
  }
  return judged(problem, std::move(loads));
}

Recipe finished(const WashProblem& problem, const Compiled<double>& exact, const Kept& kept) {
  const std::vector<int> colorants(kept.colorant, kept.colorant + kept.n);
  double strengths[detail::most_colorants] = {};
  std::copy(kept.strength, kept.strength + kept.n, strengths);
  return finished(problem, exact, colorants, strengths);
}

}  // namespace

std::vector<std::string> faults(const WashProblem& problem) {
  std::vector<std::string> found;
  const Palette& palette = problem.palette;
  const std::size_t bands = palette.grid.size();
  const auto check = [&](bool good, const std::string& fault) {
    if (!good) found.push_back(fault);
  };
  const bool film = palette.application == Application::film;
  check(!palette.colorants.empty(), "the calibration holds no colorant");
  check(palette.colorants.size() < 256, "at most 255 colorants can be searched");
  check(bands >= 2, "the calibration has no wavelengths");
  for (const Colorant& c : palette.colorants)
    check(c.k.size() == bands && c.s.size() == bands,
          "the colorant '" + c.name + "' does not have one k and one s a wavelength");
  check(film || (palette.ply.K.size() == bands && palette.ply.S.size() == bands),
        "the tissue is not known at the wavelengths of the calibration");
  check(film || palette.ply.model == palette.model,
        "the tissue's absorption and scattering are of another model than the calibration's");
  check(problem.plies >= 1,
        "a wash needs at least one ply, found " + std::to_string(problem.plies));
  check(problem.place.below.size() == bands,
        "what lies behind is not known at the wavelengths of the calibration");
  check(problem.place.above.empty() || problem.place.above.size() == bands,
        "what lies on top is not known at the wavelengths of the calibration");
  check(problem.place.beneath.empty() || problem.place.beneath.size() == bands,
        "what lies beneath is not known at the wavelengths of the calibration");
  check(!problem.transmitted.known || (problem.transmitted.weights.wx.size() == bands &&
                                       problem.transmitted.weights.wy.size() == bands &&
                                       problem.transmitted.weights.wz.size() == bands),
        "the light sheet is not prepared for the calibration's wavelengths");
  check(!problem.lights.empty(), "no light was given");
  check(problem.lights.empty() || problem.lights.front().predictable,
        "under the viewing light no colour can be predicted");
  const auto searched = std::count_if(problem.lights.begin(), problem.lights.end(),
                                      [](const LightAim& light) { return light.predictable; });
  check(searched <= detail::most_lights, "at most " + std::to_string(detail::most_lights) +
                                             " lights can be searched at once, found " +
                                             std::to_string(searched));
  for (const LightAim& light : problem.lights)
    check(light.weights.wx.size() == bands && light.weights.wy.size() == bands &&
              light.weights.wz.size() == bands && light.weights.grid.size() == bands,
          "the light '" + light.weights.light +
              "' is not prepared for the calibration's wavelengths");
  check(problem.max_load.empty() || problem.max_load.size() == palette.colorants.size(),
        "there must be one maximum load a colorant, or none at all");
  for (std::size_t c = 0; c < palette.colorants.size(); ++c) {
    if (!problem.max_load.empty() && c >= problem.max_load.size()) break;
    const double most = max_load_of(problem, c);
    check(most >= 0 && std::isfinite(most),
          "the maximum load of '" + palette.colorants[c].name + "' cannot be " +
              (std::isfinite(most) ? shortest(most) : "infinite"));
  }
  for (const Exclusion& e : problem.excluded)
    check(std::any_of(palette.colorants.begin(), palette.colorants.end(),
                      [&](const Colorant& c) { return c.name == e.colorant; }),
          "'" + e.colorant + "' is to be left out, but the calibration has no such colorant");
  check(problem.at_most >= 1 && problem.at_most <= detail::most_searched,
        "a recipe may hold 1 to " + std::to_string(detail::most_searched) +
            " colorants, asked for " + std::to_string(problem.at_most));
  check(problem.top >= 1, "at least one recipe has to be asked for");
  const RecipeWeights& w = problem.weights;
  for (double weight : {w.viewing, w.worst, w.transmitted, w.colorants, w.load})
    check(weight >= 0 && std::isfinite(weight),
          "a weight cannot be " + (std::isfinite(weight) ? shortest(weight) : "infinite"));
  check(w.viewing + w.worst > 0, "the viewing light and the worst light cannot both weigh nothing");
  return found;
}

Result<WashResult> search_recipes(const WashProblem& problem, int threads, const Going& going) {
  if (const auto wrong = faults(problem); !wrong.empty()) return bad_input(wrong, "wash problem");
  const std::vector<int> colorants = allowed(problem);
  const Compiled<float> quick = detail::compile<float>(problem, {});
  const Compiled<double> exact = detail::compile<double>(problem, {});
  // More than asked for, so that rounding in the quick search cannot lose a near tie.
  const std::size_t room = static_cast<std::size_t>(problem.top) * 2 + 64;

  WashResult result;
  Searched searched;
  const int most = std::min<int>(problem.at_most, static_cast<int>(colorants.size()));
  Progress progress{going, 0, 0};
  for (int n = 1; n <= most; ++n)
    progress.all += chunks_of(choose(static_cast<int>(colorants.size()), n));
  for (int n = 1; n <= most; ++n) {
    if (problem.skip_hopeless && !problem.palette.learnt &&
        beyond(searched, static_cast<std::size_t>(problem.top), problem.weights.colorants * n)) {
      const std::uint64_t sets = choose(static_cast<int>(colorants.size()), n);
      result.skipped += sets;
      progress.done += chunks_of(sets);
      continue;
    }
    MENDTONE_TRY(search_size(quick, colorants, n, static_cast<float>(problem.weights.colorants),
                             room, std::max(1, threads), progress, searched));
  }
  std::sort(searched.kept.begin(), searched.kept.end(),
            [](const Kept& a, const Kept& b) { return a.before(b); });
  if (searched.kept.size() > room) {
    searched.kept.resize(room);
    searched.dropped_any = true;
  }
  result.untoned =
      judged(problem, std::vector<double>(problem.palette.colorants.size(), 0.0)).colour;
  result.recipes.push_back(
      {std::vector<double>(problem.palette.colorants.size(), 0.0), result.untoned, false});
  for (const Kept& kept : searched.kept) {
    Recipe recipe = finished(problem, exact, kept);
    // One that finished without all of its colorants is a smaller set, and was seen as that.
    if (std::count_if(recipe.loads.begin(), recipe.loads.end(), [](double c) { return c > 0; }) !=
        kept.n)
      continue;
    const bool same = std::any_of(result.recipes.begin(), result.recipes.end(),
                                  [&](const Recipe& r) { return r.loads == recipe.loads; });
    if (!same) result.recipes.push_back(std::move(recipe));
  }
  std::stable_sort(
      result.recipes.begin(), result.recipes.end(),
      [](const Recipe& a, const Recipe& b) { return a.colour.objective < b.colour.objective; });
  if (result.recipes.size() > static_cast<std::size_t>(problem.top))
    result.recipes.resize(static_cast<std::size_t>(problem.top));
  result.searched = searched.count + 1;
  const double lost_from = searched.dropped_any ? std::sqrt(searched.kept.back().F) : 1e300;
  result.exact = lost_from > result.recipes.back().colour.objective + 0.002;
  if (!result.exact) result.why_not_exact = "more near ties than the search keeps";
  if (problem.palette.learnt) {
    result.exact = false;
    result.why_not_exact =
        "the calibration has a learnt part, which was met only for the best of the plain physics";
  }
  if (result.exact) result.proof = proof_of(result);
  return result;
}

Result<Recipe> best_loads(const WashProblem& problem, const std::vector<int>& colorants,
                          const std::vector<double>& at_least) {
  const std::size_t all = problem.palette.colorants.size();
  MENDTONE_TRY(check(problem, at_least.empty() ? std::vector<double>(all, 0.0) : at_least));
  const std::set<int> each(colorants.begin(), colorants.end());
  if (each.empty() || each.size() != colorants.size() || each.size() > detail::most_colorants ||
      *each.begin() < 0 || *each.rbegin() >= static_cast<int>(all))
    return bad_input("expected 1 to " + std::to_string(detail::most_colorants) +
                         " colorants of the calibration, each once; found " +
                         std::to_string(colorants.size()),
                     "wash problem");
  const Compiled<double> exact = detail::compile<double>(problem, at_least);
  std::optional<Recipe> best;
  for (double start : detail::starts) {
    double strengths[detail::most_colorants] = {};
    for (std::size_t i = 0; i < colorants.size(); ++i) {
      const auto& law = exact.strength[colorants[i]];
      strengths[i] = std::max(law.u_min, start * law.u_max);
    }
    Recipe found = finished(problem, exact, colorants, strengths);
    if (!best || found.colour.objective < best->colour.objective) best = std::move(found);
  }
  return *best;
}

}  // namespace mendtone
