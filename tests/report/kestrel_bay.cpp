#include "report/kestrel_bay.hpp"

#include <algorithm>
#include <cmath>

#include "mendtone/colour/difference.hpp"

namespace mendtone::report::sample {
namespace {

constexpr const char* notice = "invented data, nothing here was measured";

std::uint8_t encoded(double linear, bool& outside) {
  outside = outside || linear < -1e-6 || linear > 1 + 1e-6;
  const double x = std::clamp(linear, 0.0, 1.0);
  const double v = x <= 0.0031308 ? 12.92 * x : 1.055 * std::pow(x, 1 / 2.4) - 0.055;
  return static_cast<std::uint8_t>(std::lround(255 * v));
}

Curve paper_curve(double lift, double yellowness) {
  Curve curve;
  for (int nm = 380; nm <= 730; nm += 10) {
    const double rise = 1 / (1 + std::exp(-(nm - 455) / 45.0));
    const double r = 0.34 + lift + (0.36 + yellowness) * rise + 0.00012 * (nm - 550);
    curve.nm.push_back(nm);
    curve.mean.push_back(r);
    curve.low.push_back(r - 0.006);
    curve.high.push_back(r + 0.006);
  }
  return curve;
}

Outline rough(double x, double y, double radius, unsigned seed) {
  Outline outline;
  unsigned state = seed;
  for (int i = 0; i < 26; ++i) {
    state = state * 1664525u + 1013904223u;
    const double r = radius * (0.78 + 0.4 * (state >> 16) / 65535.0);
    const double angle = i * 2 * 3.14159265358979 / 26;
    outline.points.push_back({x + 1.5 * r * std::cos(angle), y + r * std::sin(angle)});
  }
  return outline;
}

Reading reading(std::string spot, std::string stage, Tone mean, double lift, double yellowness) {
  Reading r;
  r.spot = std::move(spot);
  r.stage = std::move(stage);
  r.tone = std::move(mean);
  r.n = 5;
  r.spread_de00 = 0.11;
  r.region = Region{0.19, 0.16, 0.08, 62, "5 repeats, Student and Hotelling"};
  r.curve = paper_curve(lift, yellowness);
  r.instrument = "bench spectrophotometer of the invented laboratory";
  r.geometry = "45/0";
  r.condition = "M1";
  r.backing = "black tile";
  r.state = "dry";
  r.taken = r.stage == "before treatment" ? "2026-02-02" : "2026-03-11";
  return r;
}

Difference compare(const ReportContent& content, const std::string& spot, double half,
                   const std::string& verdict) {
  const Reading *before = nullptr, *after = nullptr;
  for (const Reading& r : content.readings) {
    if (r.spot != spot) continue;
    (r.stage == "before treatment" ? before : after) = &r;
  }
  Difference d;
  d.spot = spot;
  d.from_stage = before->stage;
  d.to_stage = after->stage;
  d.light = "D65";
  d.observer_deg = 10;
  d.de00 = de00(before->tone.lab, after->tone.lab);
  d.low = std::max(0.0, d.de00 - half);
  d.high = d.de00 + half;
  const SignedDifference s = signed_difference(before->tone.lab, after->tone.lab);
  d.dL = s.dL;
  d.da = s.da;
  d.db = s.db;
  d.tolerance = 0.8;
  d.tolerance_origin = "perceptibility, 50:50, from dental studies; published, source not at hand";
  d.verdict = verdict;
  if (verdict == "undecided") d.more_readings = 7;
  return d;
}

Fill fill(std::string name, int plies, Tone seen, std::vector<std::string> reasons) {
  Fill f;
  f.name = std::move(name);
  f.use = "loss";
  f.side = "back";
  f.plies = plies;
  f.over = "grey mount board";
  f.sheet = tone(84.6, 2.4, 15.8);
  f.tone = std::move(seen);
  f.de00 = de00(f.sheet->lab, f.tone->lab);
  const SignedDifference s = signed_difference(f.sheet->lab, f.tone->lab);
  f.dL = s.dL;
  f.da = s.da;
  f.db = s.db;
  f.worst_de00 = *f.de00 + 0.35;
  f.worst_light = "LED-B1";
  f.by_light = {{"D65", f.tone->lab, *f.de00, s.dL, s.da, s.db},
                {"LED-B1",
                 {f.tone->lab.L, f.tone->lab.a + 1.1, f.tone->lab.b + 1.4},
                 *f.de00 + 0.35,
                 s.dL,
                 s.da + 0.2,
                 s.db + 0.3},
                {"LED-B3",
                 {f.tone->lab.L, f.tone->lab.a + 0.5, f.tone->lab.b + 0.7},
                 *f.de00 + 0.2,
                 s.dL,
                 s.da + 0.1,
                 s.db + 0.2},
                {"A",
                 {f.tone->lab.L, f.tone->lab.a + 2.0, f.tone->lab.b + 1.9},
                 *f.de00 + 0.3,
                 s.dL,
                 s.da + 0.2,
                 s.db + 0.2}};
  f.reasons = std::move(reasons);
  return f;
}

void add_fills(ReportContent& content) {
  Fill best = fill("toned kozo 17 g/m\u00b2, lot KB-3", 2, tone(84.9, 2.2, 15.1),
                   {"lighter by 0.3 L*", "5 L* too bright on the light sheet"});
  best.chosen = true;
  best.weight_g_m2 = 34;
  best.u95_de00 = 0.31;
  best.overlap_de00 = 0.9;
  best.nearest_probability = 0.71;
  best.transmitted = Transmitted{true, "", Lab{61.2, 5.1, 24.0}, 4.6, 5.2, "D65"};
  best.cautions = {
      "Read dry: expect it darker and more transparent when pasted; read one pasted "
      "offcut first"};
  best.outline = rough(300, 200, 80, 11);
  Fill second =
      fill("kozo 12 g/m\u00b2, lot KB-1", 3, tone(86.4, 1.0, 12.2), {"lighter by 1.8 L*"});
  second.refused_because = "three plies are thicker than the sheet";
  second.nearest_probability = 0.22;
  Fill third = fill("gampi 20 g/m\u00b2", 1, tone(82.2, 1.4, 17.9), {"darker than the sheet"});
  third.refused_because = "its sheen differs from that of the chart";
  third.nearest_probability = 0.07;
  Fill fourth = fill("mitsumata 25 g/m\u00b2, toned", 1, tone(83.0, 4.1, 19.2),
                     {"1.7 too red under D65", "bleeds when pasted"});
  content.fills = {best, second, third, fourth};
}

void add_recipe(ReportContent& content) {
  RecipeCard card;
  card.title = "Wash 1: ochre and carbon on kozo 17";
  card.tissue = "kozo 17 g/m\u00b2, lot KB-3, 2 plies";
  card.over = "grey mount board";
  card.application = "absorbed";
  card.method = "bath";
  card.load_unit = "g_m2";
  card.volume_ml = 200;
  card.area_cm2 = 150;
  card.loads = {
      {"yellow ochre PY43", 0.412}, {"raw umber PBr7", 0.118}, {"carbon black PBk7", 0.0071}};
  card.dispense = {{"yellow ochre stock, 0.020 g/ml", 6.40, 128, 200},
                   {"raw umber stock, 0.010 g/ml", 3.60, 72, 200},
                   {"carbon black stock, 0.002 g/ml", 1.10, 22, 200},
                   {"deionised water", 188.9, std::nullopt, 200}};
  card.tone = tone(84.9, 2.2, 15.1);
  card.sheet = tone(84.6, 2.4, 15.8);
  card.de00 = 0.61;
  card.aim_de00 = 0.24;
  card.u95_de00 = 0.55;
  card.worst_de00 = 0.96;
  card.worst_light = "LED-B1";
  card.one_drop_de00 = 0.08;
  for (int n = 1; n <= 3; ++n)
    card.coats.push_back({n,
                          {},
                          tone(90.1 - 1.73 * n, 0.4 + 0.6 * n, 6.2 + 2.97 * n),
                          std::max(0.61, 5.6 - 1.66 * n),
                          11.0 - 1.9 * n});
  card.notes = {"Shake the stocks before every drop: the umber settles",
                "First trial at 80 % of each load"};
  card.cautions = {"Tone and dry the tissue away from the object",
                   "Dry pigment: no dust; respirator and extraction as local rules and the safety "
                   "data sheet say",
                   "Raw umber holds manganese: not near silver images"};
  card.chosen = true;
  content.recipes = {card};
  RecipeCard other = card;
  other.title = "Wash 2: ochre and burnt sienna";
  other.loads = {{"yellow ochre PY43", 0.37}, {"burnt sienna PR101", 0.09}};
  other.de00 = 1.2;
  other.aim_de00 = 0.9;
  other.chosen = false;
  content.recipes.push_back(other);
  Trial trial;
  trial.name = "Swatch T1";
  trial.when = "2026-02-20";
  trial.predicted = tone(85.9, 2.0, 14.0);
  trial.measured = tone(85.2, 2.3, 14.9);
  trial.de00_to_aim = 0.72;
  trial.de00_to_prediction = 0.78;
  trial.learned = {{"yellow ochre PY43", 1.12, 0.04}, {"raw umber PBr7", 0.97, 0.09}};
  trial.notes = {"One more thin coat at a third of the load"};
  content.trials = {trial};
}

void add_series(ReportContent& content) {
  Series s;
  s.spot = "S1 margin";
  s.steps = "bath";
  s.light = "D65";
  s.observer_deg = 10;
  s.tolerance = 0.8;
  const double de[] = {0, 0.92, 1.48, 1.71, 1.76};
  const double ph[] = {5.4, 6.1, 6.6, 6.9, 7.0};
  const double conductivity[] = {182, 96, 41, 19, 12};
  for (int i = 0; i < 5; ++i) {
    SeriesPoint p;
    p.label = i == 0 ? "before" : "bath " + std::to_string(i);
    p.de00 = de[i];
    p.low = std::max(0.0, de[i] - 0.2);
    p.high = de[i] + 0.2;
    if (i > 0) {
      p.minutes = 15;
      p.temperature_c = 21;
      p.ph = ph[i];
      p.conductivity_us_cm = conductivity[i];
    }
    s.points.push_back(p);
  }
  s.remark = "From bath 4 on, a further bath changes less than the uncertainty of the readings";
  content.series = {s};
}

}  // namespace

Tone tone(double L, double a, double b) {
  const Xyz d65{95.047, 100, 108.883};
  const Xyz v = lab_to_xyz({L, a, b}, d65);
  const double X = v.X / 100, Y = v.Y / 100, Z = v.Z / 100;
  ScreenColour c;
  c.r = encoded(3.2406 * X - 1.5372 * Y - 0.4986 * Z, c.outside);
  c.g = encoded(-0.9689 * X + 1.8758 * Y + 0.0415 * Z, c.outside);
  c.b = encoded(0.0557 * X - 0.2040 * Y + 1.0570 * Z, c.outside);
  return {{L, a, b}, "D65", 10, c};
}

ReportContent kestrel_bay() {
  ReportContent content;
  content.title = "Pilot chart of Kestrel Bay: fill, toning and colour record";
  content.object_id = "KB.1894.7";
  content.object_description =
      "Lithographed pilot chart, 1894, one sheet, 620 \u00d7 480 mm, with losses along the lower "
      "margin";
  content.laboratory = "Paper laboratory of the Harbour Museum (invented)";
  content.operator_name = "A. Conservator";
  content.date = "2026-03-14";
  content.program_version = "mendtone 0.1.0";
  content.data_notice = notice;
  content.spots = {
      {"S1 margin", "lower left margin, 20 mm from both edges", rough(90, 330, 26, 3), {}},
      {"S2 sea", "open sea, right of the compass rose", rough(420, 120, 30, 5), {}},
      {"S3 stain", "tideline at the upper edge", rough(250, 60, 22, 9), {}}};
  content.readings = {reading("S1 margin", "before treatment", tone(82.9, 3.1, 17.9), 0, 0),
                      reading("S1 margin", "after treatment", tone(84.6, 2.4, 15.8), 0.03, 0.0),
                      reading("S2 sea", "before treatment", tone(80.2, 2.6, 15.0), -0.03, 0),
                      reading("S2 sea", "after treatment", tone(80.5, 2.5, 14.8), -0.025, 0),
                      reading("S3 stain", "before treatment", tone(74.0, 5.2, 24.1), -0.09, 0),
                      reading("S3 stain", "after treatment", tone(74.9, 4.9, 23.3), -0.08, 0)};
  content.differences = {compare(content, "S1 margin", 0.2, "beyond"),
                         compare(content, "S2 sea", 0.19, "within"),
                         compare(content, "S3 stain", 0.35, "undecided")};
  content.differences[2].warnings = {"the head was turned by a quarter between the two stages"};
  content.notes = {
      {"",
       "The chart was washed in four baths of deionised water, dried between felts and pressed. "
       "The losses were filled from the back with toned kozo, pasted with wheat starch along a "
       "margin of 2 mm. Original paper was not coloured."}};
  add_fills(content);
  add_recipe(content);
  add_series(content);
  content.unknowns = {"how the pasted fill reads: no pasted offcut was measured"};
  content.sources = {
      "kestrel-bay-before.cgats, sha256 "
      "5f0c2a9b7d1e4c36a8b90d2f4e6a7c1b3d5f7091a2b4c6d8e0f1a3b5c7d9e0f2"};
  return content;
}

}  // namespace mendtone::report::sample
