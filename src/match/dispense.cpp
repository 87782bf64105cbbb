#include "mendtone/match/dispense.hpp"

#include <algorithm>
#include <cmath>

#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

/// A drop that changes the colour by more than this is too coarse to count with.
constexpr double coarse_drop_de00 = 0.3;

/// More drops than this are easily miscounted (common practice, no source).
constexpr int most_counted_drops = 20;

/// One stock that the recipe uses.
struct Used {
  const Stock* stock = nullptr;
  std::size_t colorant = 0;
  double load_per_ml = 0;  ///< what 1 ml of stock in the volume lays down, all coats
  double ml = 0;
};

double load_per_ml(const DispenseProblem& p, const Stock& stock) {
  if (p.method == Method::brush)
    return stock.strength_per_ml / (p.area_m2 * p.sheets) *
           (p.laid_ml > 0 ? p.laid_ml / p.volume_ml : 1);
  return stock.strength_per_ml / p.volume_ml * p.pick_up_ml_m2 * p.coats;
}

const Stock* stock_of(const DispenseProblem& p, const std::string& colorant) {
  for (const Stock& stock : p.stocks)
    if (stock.colorant == colorant) return &stock;
  return nullptr;
}

std::vector<Used> used_stocks(const DispenseProblem& p, const WashProblem& wash,
                              const std::vector<double>& loads) {
  std::vector<Used> used;
  for (std::size_t c = 0; c < loads.size(); ++c) {
    if (!(loads[c] > 0)) continue;
    Used u{stock_of(p, wash.palette.colorants[c].name), c, 0, 0};
    u.load_per_ml = load_per_ml(p, *u.stock);
    u.ml = loads[c] / u.load_per_ml;
    used.push_back(u);
  }
  return used;
}

std::vector<double> loads_of(const std::vector<Used>& used, const std::vector<int>& drops,
                             std::size_t colorants) {
  std::vector<double> loads(colorants, 0.0);
  for (std::size_t i = 0; i < used.size(); ++i)
    loads[used[i].colorant] = drops[i] * *used[i].stock->ml_per_drop * used[i].load_per_ml;
  return loads;
}

/// The colour that measured-out loads give, on what is there already.
Predicted colour_of(const DispenseProblem& p, const WashProblem& wash, std::vector<double> loads) {
  for (std::size_t c = 0; c < loads.size(); ++c) {
    if (!p.strength.empty()) loads[c] *= p.strength[c];
    if (!p.on_sheet.empty()) loads[c] += p.on_sheet[c];
  }
  return predict_unchecked(wash, loads);
}

/// Every combination within two drops of the exact one; the best by the objective.
std::vector<int> best_drops(const DispenseProblem& p, const std::vector<Used>& used,
                            const WashProblem& wash) {
  constexpr int reach = 2;
  const std::size_t n = used.size();
  std::vector<int> lowest(n), at(n, 0), best;
  for (std::size_t i = 0; i < n; ++i)
    lowest[i] = static_cast<int>(std::floor(used[i].ml / *used[i].stock->ml_per_drop)) - reach + 1;
  double best_objective = 0;
  for (;;) {
    std::vector<int> drops(n);
    bool sound = true;
    for (std::size_t i = 0; i < n; ++i) {
      drops[i] = lowest[i] + at[i];
      sound = sound && drops[i] >= 0;
    }
    if (sound) {
      const double objective =
          colour_of(p, wash, loads_of(used, drops, wash.palette.colorants.size())).objective;
      if (best.empty() || objective < best_objective) {
        best = drops;
        best_objective = objective;
      }
    }
    std::size_t i = 0;
    while (i < n && ++at[i] == 2 * reach) at[i++] = 0;
    if (i == n) return best;
  }
}

double change(const DispenseProblem& p, const WashProblem& wash, const Lab& from,
              const std::vector<double>& loads) {
  return de00(from, colour_of(p, wash, loads).by_light[0].lab);
}

void weigh_one_drop(const DispenseProblem& p, const std::vector<Used>& used,
                    const std::vector<int>& drops, const WashProblem& wash, DispensePlan& plan) {
  for (std::size_t i = 0; i < used.size(); ++i)
    for (int by : {-1, 1}) {
      if (drops[i] == 0) continue;  // what is left out is not miscounted
      std::vector<int> other = drops;
      other[i] += by;
      const double de = change(p, wash, plan.colour.by_light[0].lab,
                               loads_of(used, other, wash.palette.colorants.size()));
      if (de <= plan.one_drop_de00) continue;
      plan.one_drop_de00 = de;
      plan.one_drop_stock = used[i].stock->name;
    }
}

void put_drops(const DispenseProblem& p, const std::vector<Used>& used, const WashProblem& wash,
               DispensePlan& plan) {
  const std::vector<int> drops = best_drops(p, used, wash);
  plan.loads = loads_of(used, drops, wash.palette.colorants.size());
  plan.colour = colour_of(p, wash, plan.loads);
  for (std::size_t i = 0; i < used.size(); ++i) {
    plan.items[i].drops = drops[i];
    plan.items[i].drops_ml = drops[i] * *used[i].stock->ml_per_drop;
  }
  weigh_one_drop(p, used, drops, wash, plan);
  if (plan.one_drop_de00 <= coarse_drop_de00) return;
  const int times = static_cast<int>(std::ceil(plan.one_drop_de00 / coarse_drop_de00));
  const std::string n = std::to_string(times);
  plan.advice.push_back("one drop of " + plan.one_drop_stock + " changes the colour by " +
                        fixed(plan.one_drop_de00, 2) + " DeltaE00: let it down first, 1 ml of " +
                        plan.one_drop_stock + " made up to " + n + " ml with water, and count " +
                        n + " times the drops; or make " + n + " times the volume");
}

/// Many drops: by a pipette, or from a stronger stock, unless a drop of that were too coarse.
void advise_on_many_drops(const std::vector<Dispensed>& items, DispensePlan& plan) {
  for (const Dispensed& item : items) {
    if (item.drops.value_or(0) <= most_counted_drops) continue;
    const double times = std::ceil(static_cast<double>(*item.drops) / most_counted_drops);
    plan.advice.push_back(std::to_string(*item.drops) + " drops of " + item.stock +
                          " are easily miscounted: measure " + fixed(item.drops_ml, 2) +
                          " ml with a pipette if you have one; else make a stock " +
                          fixed(times, 0) + " times as strong, and plan again");
  }
}

/// What comes to no drop at all is left out, and said.
void leave_out_no_drops(DispensePlan& plan) {
  for (const Dispensed& item : plan.items)
    if (item.drops == 0)
      plan.advice.push_back("of " + item.stock + " only " + fixed(item.ml, 3) +
                            " ml would be needed, less than a drop: it is left out");
  std::erase_if(plan.items, [](const Dispensed& item) { return item.drops == 0; });
}

void put_bath(const DispenseProblem& p, const WashProblem& wash, DispensePlan& plan) {
  plan.taken_per_dip_ml = p.area_m2 * p.pick_up_ml_m2;
  plan.needed_ml = plan.taken_per_dip_ml * p.sheets * p.coats + p.tray_ml;
  if (p.volume_ml + 1e-9 < plan.needed_ml)
    plan.advice.push_back("the volume does not reach: " + fixed(plan.needed_ml, 0) +
                          " ml are needed for the sheets, coats and tray");
  plan.loss_per_dip = plan.taken_per_dip_ml / p.volume_ml;
  const int later = p.sheets * p.coats - 1;
  if (later == 0 || plan.loss_per_dip >= 1) return;
  const double left = std::pow(1 - plan.loss_per_dip, later);
  std::vector<double> weaker = plan.loads;
  for (double& load : weaker) load *= left;
  plan.last_dip_de00 = change(p, wash, plan.colour.by_light[0].lab, weaker);
  plan.advice.push_back("do not top the bath up with water: each dip would then cost " +
                        fixed(100 * plan.loss_per_dip, 1) + " % of its strength, and dip " +
                        std::to_string(later + 1) + " would lay " + fixed(100 * left, 0) +
                        " % of the first; left alone the bath keeps its strength and loses " +
                        fixed(plan.taken_per_dip_ml, 1) +
                        " ml a dip, as far as the colorant stays stirred up");
}

}  // namespace

std::string_view name_of(Method method) {
  return method == Method::bath ? "bath" : "brush";
}

std::vector<std::string> faults(const DispenseProblem& p, const WashProblem& wash,
                                const std::vector<double>& loads) {
  std::vector<std::string> found;
  const auto check = [&](bool good, const std::string& fault) {
    if (!good) found.push_back(fault);
  };
  check(wash.palette.load_unit == LoadUnit::g_m2 || wash.palette.load_unit == LoadUnit::ml_m2,
        "loads are relative: there is nothing to measure out; calibrate in g/m2 or ml/m2");
  check(p.volume_ml > 0, "the volume to make up is not stated");
  check(p.method == Method::brush || p.pick_up_ml_m2 > 0,
        "a bath needs the tissue's pick-up in ml/m2: weigh it wet and dry");
  check(p.method == Method::bath || p.area_m2 > 0, "a brushed wash needs the area it is laid on");
  check(p.laid_ml >= 0 && p.laid_ml <= p.volume_ml * (1 + 1e-9),
        "more is to be laid down (" + fixed(p.laid_ml, 2) + " ml) than is made up (" +
            fixed(p.volume_ml, 2) + " ml)");
  check(p.sheets >= 1 && p.coats >= 1, "sheets and coats are at least 1");
  check(p.pick_up_sd >= 0 && p.tray_ml >= 0 && p.area_m2 >= 0,
        "spread, tray and area cannot be below 0");
  double stock_ml = 0;
  for (std::size_t c = 0; c < loads.size(); ++c) {
    if (!(loads[c] > 0)) continue;
    const std::string& name = wash.palette.colorants[c].name;
    const Stock* stock = stock_of(p, name);
    check(stock != nullptr, "there is no stock of '" + name + "'");
    if (stock == nullptr) continue;
    check(stock->strength_per_ml > 0, "the strength of stock '" + stock->name + "' is not stated");
    check(!stock->ml_per_drop || *stock->ml_per_drop > 0,
          "a drop of stock '" + stock->name + "' cannot be " +
              shortest(stock->ml_per_drop.value_or(0)) + " ml");
    if (found.empty()) stock_ml += loads[c] / load_per_ml(p, *stock);
  }
  check(stock_ml <= p.volume_ml * (1 + 1e-9),
        "the stocks are too weak: " + fixed(stock_ml, 1) + " ml of them do not go into " +
            fixed(p.volume_ml, 1) + " ml; " +
            (p.method == Method::bath ? "lay more coats" : "lay down more of it") +
            ", or make stronger stocks");
  return found;
}

Result<DispensePlan> dispense(const DispenseProblem& problem, const WashProblem& wash,
                              const std::vector<double>& loads) {
  MENDTONE_TRY(check(wash, loads));
  if (const auto wrong = faults(problem, wash, loads); !wrong.empty())
    return bad_input(wrong, "dispensing");
  const std::vector<Used> used = used_stocks(problem, wash, loads);
  DispensePlan plan;
  plan.volume_ml = problem.volume_ml;
  if (problem.method == Method::brush)
    plan.laid_ml = problem.laid_ml > 0 ? problem.laid_ml : problem.volume_ml;
  plan.loads = loads;
  plan.colour = colour_of(problem, wash, loads);
  for (const Used& u : used) plan.items.push_back({u.stock->name, u.ml, std::nullopt, u.ml});
  plan.whole_drops = !used.empty() && std::all_of(used.begin(), used.end(), [](const Used& u) {
    return u.stock->ml_per_drop.has_value();
  });
  if (plan.whole_drops) {
    put_drops(problem, used, wash, plan);
    advise_on_many_drops(plan.items, plan);
    leave_out_no_drops(plan);
  }
  double stock_ml = 0;
  for (const Dispensed& item : plan.items) stock_ml += item.drops_ml;
  plan.items.push_back({"water", std::max(0.0, problem.volume_ml - stock_ml), std::nullopt,
                        std::max(0.0, problem.volume_ml - stock_ml)});
  if (problem.method == Method::bath) put_bath(problem, wash, plan);
  for (double by : {-1.96, 1.96}) {
    std::vector<double> other = plan.loads;
    for (double& load : other) load *= std::exp(by * problem.pick_up_sd);
    plan.pick_up_u95_de00 =
        std::max(plan.pick_up_u95_de00, change(problem, wash, plan.colour.by_light[0].lab, other));
  }
  return plan;
}

}  // namespace mendtone
