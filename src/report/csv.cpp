#include "mendtone/base/csv.hpp"

#include "mendtone/base/numbers.hpp"
#include "mendtone/report/write.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

/// Rows of one section and item; light and observer stay until changed.
class Rows {
 public:
  std::string text = "section,item,quantity,value,unit,light,observer_deg,low,high\n";

  void about(std::string section, std::string item, std::string light = {}, int observer_deg = 0) {
    section_ = std::move(section);
    item_ = std::move(item);
    light_ = std::move(light);
    observer_deg_ = observer_deg;
  }

  void value(const std::string& quantity, const std::optional<double>& value,
             const std::string& unit = {}, const std::optional<double>& low = {},
             const std::optional<double>& high = {}) {
    if (value) row(quantity, shortest(*value), unit, low, high);
  }

  void words(const std::string& quantity, const std::string& value) {
    if (!value.empty()) row(quantity, value, {}, {}, {});
  }

  void lab(const std::string& prefix, const Lab& lab) {
    value(prefix + "L*", lab.L);
    value(prefix + "a*", lab.a);
    value(prefix + "b*", lab.b);
  }

 private:
  void row(const std::string& quantity, const std::string& value, const std::string& unit,
           const std::optional<double>& low, const std::optional<double>& high) {
    for (const std::string& one :
         {section_, item_, quantity, value, unit, light_,
          observer_deg_ == 0 ? std::string() : std::to_string(observer_deg_),
          low ? shortest(*low) : std::string()})
      text += spreadsheet_cell(one) + ",";
    text += (high ? shortest(*high) : std::string()) + "\n";
  }

  std::string section_, item_, light_;
  int observer_deg_ = 0;
};

void by_light(Rows& rows, const std::string& section, const std::string& item,
              const std::vector<UnderLight>& lights, int observer_deg) {
  for (const UnderLight& u : lights) {
    rows.about(section, item, u.light, observer_deg);
    rows.lab("", u.lab);
    rows.value("de00", u.de00);
    rows.value("dL", u.dL);
    rows.value("da", u.da);
    rows.value("db", u.db);
  }
}

void reading(Rows& rows, const Reading& r) {
  const std::string item = joined({r.spot, r.stage}, ", ");
  rows.about("reading", item, r.tone.light, r.tone.observer_deg);
  rows.lab("", r.tone.lab);
  if (r.n > 0) rows.value("repeats", r.n);
  rows.value("spread_de00", r.spread_de00);
  if (r.region) {
    rows.value("region L* half width", r.region->L_half);
    rows.value("region a*b* major half axis", r.region->ab_major);
    rows.value("region a*b* minor half axis", r.region->ab_minor);
    rows.value("region a*b* angle", r.region->ab_angle_deg, "degrees");
  }
  rows.about("spectrum", item);
  const Curve& c = r.curve;
  const bool band = c.low.size() == c.nm.size() && c.high.size() == c.nm.size();
  for (std::size_t i = 0; i < c.nm.size(); ++i)
    rows.value(shortest(c.nm[i]) + " nm", c.mean[i], "reflectance factor",
               band ? std::optional(c.low[i]) : std::nullopt,
               band ? std::optional(c.high[i]) : std::nullopt);
}

void difference(Rows& rows, const Difference& d) {
  rows.about("difference", joined({d.spot, d.from_stage, d.to_stage}, ", "), d.light,
             d.observer_deg);
  rows.value("de00", d.de00, "", d.low, d.high);
  rows.value("u95", d.u95);
  rows.value("de_ab", d.de_ab);
  rows.value("dL", d.dL);
  rows.value("da", d.da);
  rows.value("db", d.db);
  rows.value("dC", d.dC);
  rows.value("dH", d.dH);
  rows.value("tolerance", d.tolerance);
  rows.words("verdict", d.verdict);
  if (d.more_readings) rows.value("more_readings", *d.more_readings);
  rows.value("grey_rating", d.grey_rating);
  rows.value("metamerism_de00", d.metamerism_de00);
}

void fill(Rows& rows, const Fill& f) {
  const std::string item = fill_words(f);
  const Tone seen = f.tone.value_or(Tone{});
  rows.about("fill", item, seen.light, seen.observer_deg);
  rows.words("loss", f.loss);
  rows.words("chosen", f.chosen ? "yes" : "no");
  rows.words("verdict", f.verdict);
  rows.words("refused_because", f.refused_because);
  for (const Fact& fact : f.entered) rows.words(fact.name, fact.value);
  if (f.measured) rows.lab("read ", f.measured->lab);
  rows.value("read de00", f.measured_de00);
  if (f.tone) rows.lab("", f.tone->lab);
  if (f.sheet) rows.lab("sheet ", f.sheet->lab);
  rows.value("de00", f.de00);
  rows.value("u95_de00", f.u95_de00);
  rows.value("dL", f.dL);
  rows.value("da", f.da);
  rows.value("db", f.db);
  rows.value("overlap_de00", f.overlap_de00);
  rows.value("score", f.score);
  rows.value("nearest_probability", f.nearest_probability);
  rows.value("weight_g_m2", f.weight_g_m2, "g/m2");
  if (f.transmitted && f.transmitted->known) {
    rows.about("fill", item, f.transmitted->light, seen.observer_deg);
    rows.value("transmitted de00", f.transmitted->de00);
    rows.value("transmitted dL", f.transmitted->dL);
  }
  by_light(rows, "fill", item, f.by_light, seen.observer_deg);
}

void recipe(Rows& rows, const RecipeCard& card) {
  const Tone seen = card.tone.value_or(Tone{});
  rows.about("recipe", card.title, seen.light, seen.observer_deg);
  rows.words("chosen", card.chosen ? "yes" : "no");
  if (card.tone) rows.lab("", card.tone->lab);
  rows.value("de00", card.de00);
  rows.value("aim_de00", card.aim_de00);
  rows.value("u95_de00", card.u95_de00);
  if (card.whole_drops) rows.lab("whole drops ", card.whole_drops->lab);
  rows.value("whole drops de00", card.whole_drops_de00);
  rows.value("whole drops aim_de00", card.whole_drops_aim_de00);
  rows.value("one_drop_de00", card.one_drop_de00);
  for (const Load& load : card.loads)
    rows.value("load " + load.colorant, load.load, card.load_unit);
  for (const Dispense& item : card.dispense) {
    rows.value("measure " + item.stock, item.ml, "ml");
    rows.value("measure " + item.stock, item.drops, "drops");
  }
  for (const Coat& coat : card.coats) {
    rows.about("recipe", card.title + ", coat " + std::to_string(coat.n), seen.light,
               seen.observer_deg);
    if (coat.tone) rows.lab("", coat.tone->lab);
    rows.value("de00", coat.de00);
    rows.value("transmitted dL", coat.transmitted_dL);
  }
  by_light(rows, "recipe", card.title, card.by_light, seen.observer_deg);
}

void trial(Rows& rows, const Trial& t) {
  for (const auto& [prefix, tone] :
       {std::pair{"predicted ", &t.predicted}, {"measured ", &t.measured}}) {
    if (!*tone) continue;
    rows.about("trial", t.name, (*tone)->light, (*tone)->observer_deg);
    rows.lab(prefix, (*tone)->lab);
  }
  rows.value("de00_to_sheet", t.de00_to_sheet);
  rows.value("de00_to_aim", t.de00_to_aim);
  rows.value("de00_to_prediction", t.de00_to_prediction);
  for (const Learned& l : t.learned)
    rows.value("strength " + l.colorant, l.strength, "times the calibration",
               l.u95 ? std::optional(l.strength - *l.u95) : std::nullopt,
               l.u95 ? std::optional(l.strength + *l.u95) : std::nullopt);
}

void series(Rows& rows, const Series& s) {
  for (const SeriesPoint& p : s.points) {
    rows.about("series", joined({s.spot, p.label}, ", "), s.light, s.observer_deg);
    rows.value("de00", p.de00, "", p.low, p.high);
    rows.about("series", joined({s.spot, p.label}, ", "));
    rows.value("minutes", p.minutes, "min");
    rows.value("temperature", p.temperature_c, "degrees C");
    rows.value("pH", p.ph);
    rows.value("conductivity", p.conductivity_us_cm, "uS/cm");
  }
}

}  // namespace

std::string to_csv(const ReportContent& content) {
  Rows rows;
  rows.about("report", content.object_id);
  rows.words("title", content.title);
  rows.words("date", content.date);
  rows.words("program", content.program_version);
  rows.words("data", content.data_notice);
  for (const Reading& one : content.readings) reading(rows, one);
  for (const Difference& one : content.differences) difference(rows, one);
  for (const Fill& one : content.fills) fill(rows, one);
  for (const RecipeCard& one : content.recipes) recipe(rows, one);
  for (const Trial& one : content.trials) trial(rows, one);
  for (const Series& one : content.series) series(rows, one);
  for (const Ending& one : content.endings) {
    rows.about("ended", one.loss);
    rows.words("ended", one.ended);
    rows.words("why", one.why);
  }
  for (const Entered& one : content.entered) {
    rows.about(one.kind, one.name);
    for (const Fact& fact : one.facts) rows.words(fact.name, fact.value);
  }
  return std::move(rows.text);
}

}  // namespace mendtone::report
