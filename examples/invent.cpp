// Invents the readings of the Kestrel Bay pilot chart, 1894: no sheet, tissue, colorant or
// instrument of this name exists. The files in kestrel-bay/ were made by `invent readings`; a test
// makes them again and compares. `invent trial` plays the bench: it lays down what a recipe says,
// with errors that the planner is not told.
#include <array>
#include <cmath>
#include <functional>
#include <iostream>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/adapters/files.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/optics/layer.hpp"

namespace {

using mendtone::CounterRandom;
using mendtone::fixed;
using Spectrum = std::vector<double>;

constexpr int first_nm = 380, last_nm = 730, step_nm = 10;
constexpr double reading_noise = 0.0012;  // sd of one press of the button, relative
constexpr const char* invented =
    "Invented for the examples of mendtone: no real sheet, tissue, colorant or instrument was read";

Spectrum over_bands(const std::function<double(double)>& f) {
  Spectrum values;
  for (int nm = first_nm; nm <= last_nm; nm += step_nm) values.push_back(f(nm));
  return values;
}

double step_up(double nm, double centre, double width) {
  return 1 / (1 + std::exp(-(nm - centre) / width));
}

const Spectrum black = over_bands([](double nm) { return 0.041 + 0.004 * step_up(nm, 600, 80); });
const Spectrum white =
    over_bands([](double nm) { return 0.905 - 0.05 * std::exp(-(nm - 380) / 45); });
const Spectrum mount_board =
    over_bands([](double nm) { return 0.86 - 0.16 * std::exp(-(nm - 380) / 90); });

/// Absorption and scattering of a whole sheet.
struct Sheet {
  Spectrum K, S;
};

/// Cellulose: scattering falls slowly with wavelength; absorption is the yellow of age.
Sheet paper(double grammage, double s_m2_kg, double k_m2_kg, double yellow_nm) {
  const double kg = grammage / 1000;
  return {over_bands(
              [&](double nm) { return kg * k_m2_kg * (0.04 + std::exp(-(nm - 400) / yellow_nm)); }),
          over_bands([&](double nm) { return kg * s_m2_kg * std::pow(550 / nm, 0.35); })};
}

/// Five invented colorants: absorption and scattering per g/m2 at full effect.
struct Colorant {
  std::string name;
  std::function<double(double)> k, s;
  double exponent;  // take-up is not linear
};

const std::vector<Colorant>& colorants() {
  static const std::vector<Colorant> all{
      {"ochre", [](double nm) { return 0.04 + 1.5 * (1 - step_up(nm, 520, 22)); },
       [](double nm) { return 0.10 + 0.14 * step_up(nm, 540, 40); }, 0.88},
      {"red earth", [](double nm) { return 0.10 + 2.0 * (1 - step_up(nm, 575, 18)); },
       [](double nm) { return 0.08 + 0.16 * step_up(nm, 600, 30); }, 0.90},
      {"raw umber", [](double nm) { return 0.5 + 1.4 * std::exp(-(nm - 380) / 120); },
       [](double nm) { return 0.07 + 0.05 * step_up(nm, 600, 60); }, 0.86},
      {"bone black", [](double nm) { return 2.9 - 0.0006 * (nm - 380); },
       [](double) { return 0.03; }, 0.84},
      {"chalk", [](double nm) { return 0.004 + 0.01 * std::exp(-(nm - 380) / 60); },
       [](double) { return 0.22; }, 0.95}};
  return all;
}

using Loads = std::map<std::string, double>;

/// What the bench does to the ply: take-up below proportion, binder filling the pores.
Sheet toned(const Sheet& bare, const Loads& loads) {
  Sheet sheet = bare;
  double total = 0;
  for (const auto& [name, load] : loads) total += load;
  const double pores = 1 - 0.03 * total / (total + 2);
  for (double& S : sheet.S) S *= pores;
  for (const Colorant& c : colorants()) {
    const auto found = loads.find(c.name);
    if (found == loads.end() || found->second <= 0) continue;
    const double effect = std::pow(found->second, c.exponent);
    const Spectrum k = over_bands(c.k), s = over_bands(c.s);
    for (std::size_t i = 0; i < k.size(); ++i) {
      sheet.K[i] += k[i] * effect;
      sheet.S[i] += s[i] * effect;
    }
  }
  return sheet;
}

Spectrum reading_of(const Sheet& sheet, const Spectrum& backing) {
  Spectrum R(backing.size());
  for (std::size_t i = 0; i < R.size(); ++i)
    R[i] = mendtone::over(mendtone::layer(sheet.K[i], sheet.S[i]), backing[i]);
  return R;
}

/// One press: a small gain error of the seat, and noise in each band.
Spectrum pressed(Spectrum R, CounterRandom& random) {
  const double seat = 1 + 0.0015 * random.normal();
  for (double& value : R) value *= seat * (1 + reading_noise * random.normal());
  return R;
}

std::string bands_heading(const std::string& prefix, const std::string& separator) {
  std::string text;
  for (int nm = first_nm; nm <= last_nm; nm += step_nm)
    text += separator + prefix + std::to_string(nm);
  return text;
}

std::string bands(const Spectrum& R, const std::string& separator) {
  std::string text;
  for (double value : R) text += separator + fixed(value, 5);
  return text;
}

/// Rows of our readings CSV; the fixed columns are given as one text.
class Csv {
 public:
  explicit Csv(const std::string& columns) {
    text_ = std::string("# ") + invented + ".\n" + columns + bands_heading("", ",") + "\n";
  }
  void row(const std::string& fields, const Spectrum& R) { text_ += fields + bands(R, ",") + "\n"; }
  const std::string& text() const { return text_; }

 private:
  std::string text_;
};

struct Backing {
  std::string name;
  const Spectrum* R;
};
const std::array<Backing, 2> two_backings{{{"black", &black}, {"white", &white}}};

std::string backings_csv() {
  Csv csv("name,repeat,role,state,geometry,condition,instrument,aperture_mm,scale");
  CounterRandom random(1894, 1);
  for (const auto& [name, R] :
       {Backing{"black", &black}, Backing{"white", &white}, Backing{"mount board", &mount_board}})
    for (int repeat = 1; repeat <= 3; ++repeat)
      csv.row(name + "," + std::to_string(repeat) +
                  ",backing,dry,45/0,M2,invented hand-held,4,fraction",
              pressed(*R, random));
  return csv.text();
}

const Sheet chart = paper(78, 41, 13, 92);
const Sheet washed_chart = paper(78, 41, 12, 92);  // after the third bath, dry and conditioned

/// The loss is read with the laboratory's instrument program, which writes CGATS: one table for
/// each backing.
std::string chart_cgats(const Sheet& sheet, std::uint64_t stream) {
  CounterRandom random(1894, stream);
  std::string text;
  const int fields = 2 + static_cast<int>(black.size());
  for (const auto& [name, R] : two_backings) {
    text += text.empty() ? "CGATS.17\n" : "\n";
    text += std::string("DESCRIPTOR\t\"") + invented +
            "\"\nORIGINATOR\t\"Kestrel Bay pilot chart, 1894\"\n";
    text += "INSTRUMENTATION\t\"invented hand-held\"\nMEASUREMENT_GEOMETRY\t\"45/0\"\n";
    text += "FILTER\t\"M2\"\nSAMPLE_BACKING\t\"" + name + "\"\n";
    text += "NUMBER_OF_FIELDS\t" + std::to_string(fields) +
            "\nBEGIN_DATA_FORMAT\nSAMPLE_ID\tSAMPLE_NAME" + bands_heading("SPECTRAL_NM", "\t") +
            "\nEND_DATA_FORMAT\nNUMBER_OF_SETS\t5\nBEGIN_DATA\n";
    for (int repeat = 1; repeat <= 5; ++repeat)
      text += std::to_string(repeat) + "\t\"loss 1\"" +
              bands(pressed(reading_of(sheet, *R), random), "\t") + "\n";
    text += "END_DATA\n";
  }
  return text;
}

std::string chart_csv() {
  Csv csv(
      "name,repeat,role,backing,state,geometry,condition,instrument,aperture_mm,grammage_g_m2,"
      "scale");
  CounterRandom random(1894, 3);
  const Sheet near_tear = paper(78, 41, 15, 95), stained = paper(78, 40, 28, 110);
  for (const auto& [spot, sheet] :
       {std::pair<std::string, const Sheet*>{"tear 2", &near_tear}, {"tide line 3", &stained}})
    for (const auto& [name, R] : two_backings)
      for (int repeat = 1; repeat <= 3; ++repeat)
        csv.row(spot + "," + std::to_string(repeat) + ",target," + name +
                    ",dry,45/0,M2,invented hand-held,4,78,fraction",
                pressed(reading_of(*sheet, *R), random));
  return csv.text();
}

struct DrawerSheet {
  std::string name;
  double grammage, s_m2_kg, k_m2_kg, yellow_nm;
  Loads wash;
};

const std::vector<DrawerSheet>& drawer() {
  static const std::vector<DrawerSheet> all{
      {"kozo 3.5 plain", 3.5, 33, 0.5, 60, {}},
      {"kozo 3.5 straw", 3.5, 33, 0.5, 60, {{"ochre", 0.07}}},
      {"kozo 5 plain", 5, 34, 0.5, 60, {}},
      {"kozo 5 straw", 5, 34, 0.5, 60, {{"ochre", 0.09}, {"raw umber", 0.02}}},
      {"kozo 5 tea-brown", 5, 34, 0.5, 60, {{"ochre", 0.08}, {"raw umber", 0.14}}},
      {"gampi 7 plain", 7, 28, 0.9, 70, {}},
      {"gampi 7 honey", 7, 28, 0.9, 70, {{"ochre", 0.16}, {"red earth", 0.02}}},
      {"kozo 9 plain", 9, 35, 0.5, 60, {}},
      {"kozo 9 parchment", 9, 35, 0.5, 60, {{"ochre", 0.14}, {"raw umber", 0.05}}},
      {"mitsumata 11 plain", 11, 31, 0.8, 65, {}},
      {"mitsumata 11 grey", 11, 31, 0.8, 65, {{"bone black", 0.03}}},
      {"kozo 12 plain", 12, 35, 0.5, 60, {}},
      {"kozo 12 parchment", 12, 35, 0.5, 60, {{"ochre", 0.16}, {"raw umber", 0.07}}},
      {"kozo 12 sand",
       12,
       35,
       0.5,
       60,
       {{"ochre", 0.20}, {"red earth", 0.03}, {"bone black", 0.012}}},
      {"kozo 12 umber", 12, 35, 0.5, 60, {{"raw umber", 0.36}}},
      {"kozo 17 plain", 17, 36, 0.5, 60, {}},
      {"kozo 17 parchment", 17, 36, 0.5, 60, {{"ochre", 0.18}, {"raw umber", 0.08}}},
      {"kozo 17 sand",
       17,
       36,
       0.5,
       60,
       {{"ochre", 0.24}, {"red earth", 0.04}, {"bone black", 0.015}}},
      {"kozo 23 plain", 23, 36, 0.6, 60, {}},
      {"kozo 23 cream", 23, 36, 0.6, 60, {{"ochre", 0.14}}},
      {"kozo 23 sand",
       23,
       36,
       0.6,
       60,
       {{"ochre", 0.30}, {"red earth", 0.05}, {"bone black", 0.02}}},
      {"kozo 30 plain", 30, 37, 0.6, 60, {}},
      {"kozo 30 cream", 30, 37, 0.6, 60, {{"ochre", 0.20}, {"raw umber", 0.04}}},
      {"kozo 40 plain", 40, 38, 0.7, 60, {}}};
  return all;
}

std::string drawer_csv() {
  Csv csv(
      "name,repeat,role,backing,state,geometry,condition,instrument,aperture_mm,lot,grammage_g_m2,"
      "scale");
  CounterRandom random(1894, 4);
  int lot = 100;
  for (const DrawerSheet& item : drawer()) {
    ++lot;
    const Sheet sheet =
        toned(paper(item.grammage, item.s_m2_kg, item.k_m2_kg, item.yellow_nm), item.wash);
    for (const auto& [name, R] : two_backings)
      for (int repeat = 1; repeat <= 3; ++repeat)
        csv.row(item.name + "," + std::to_string(repeat) + ",tissue," + name +
                    ",dry,45/0,M2,invented hand-held,4,K" + std::to_string(lot) + "," +
                    fixed(item.grammage, 1) + ",fraction",
                pressed(reading_of(sheet, *R), random));
  }
  return csv.text();
}

/// Four spots of the chart, `reduced` from 0 (before) to 1 (after the third bath that reduced the
/// tide line); two of them did not change.
std::string spots_csv(double reduced, std::uint64_t stream) {
  Csv csv("name,repeat,role,backing,state,geometry,condition,instrument,aperture_mm,scale");
  CounterRandom random(1894, stream);
  struct Spot {
    std::string name;
    double before, after;
  };
  for (const Spot& spot : {Spot{"spot 1 sea", 13, 12.95}, Spot{"spot 2 tide line", 28, 20},
                           Spot{"spot 3 title", 15, 15}, Spot{"spot 4 margin", 18, 16}}) {
    const Sheet sheet = paper(78, 41, spot.before + reduced * (spot.after - spot.before), 95);
    for (int repeat = 1; repeat <= 5; ++repeat)
      csv.row(spot.name + "," + std::to_string(repeat) +
                  ",target,white,dry,45/0,M2,invented hand-held,4,fraction",
              pressed(reading_of(sheet, white), random));
  }
  return csv.text();
}

const Sheet wash_tissue = paper(17, 36, 0.5, 60);  // "kozo 17 plain", lot K116

/// Six rungs for each colorant and ten mixtures, on the plain 17 g/m2 tissue, over both backings.
std::string ladders_csv() {
  std::string columns =
      "name,repeat,role,backing,state,geometry,condition,instrument,aperture_mm,lot,stock,load_"
      "unit,scale";
  for (const Colorant& c : colorants()) columns += ",load:" + c.name;
  Csv csv(columns);
  CounterRandom random(1894, 7);
  const auto rows = [&](const std::string& name, const std::string& role, const Loads& meant) {
    Loads laid = meant;
    for (auto& [colorant, load] : laid) load *= 1 + 0.03 * random.normal();  // the dropper
    const Sheet sheet = toned(wash_tissue, laid);
    std::string loads;
    for (const Colorant& c : colorants())
      loads += "," + (meant.count(c.name) ? fixed(meant.at(c.name), 4) : std::string("0"));
    for (const auto& [backing, R] : two_backings)
      for (int repeat = 1; repeat <= 2; ++repeat)
        csv.row(name + "," + std::to_string(repeat) + "," + role + "," + backing +
                    ",dry,45/0,M2,invented hand-held,4,K116,bench stock,g_m2,fraction" + loads,
                pressed(reading_of(sheet, *R), random));
  };
  rows("kozo 17 plain", "substrate", {});
  const std::map<std::string, double> top{
      {"ochre", 1.2}, {"red earth", 0.6}, {"raw umber", 1.0}, {"bone black", 0.25}, {"chalk", 3.0}};
  for (const Colorant& c : colorants())
    for (int rung = 1; rung <= 6; ++rung)
      rows(c.name + " rung " + std::to_string(rung), "swatch",
           {{c.name, top.at(c.name) * std::pow(0.6, 6 - rung)}});
  for (int mixture = 1; mixture <= 10; ++mixture) {
    Loads loads;
    for (int part = 0; part < 3; ++part) {
      const Colorant& c = colorants()[random.below(5)];
      loads[c.name] = std::round(top.at(c.name) * (0.08 + 0.4 * random.uniform()) * 1e4) / 1e4;
    }
    rows("mixture " + std::to_string(mixture), "swatch", loads);
  }
  return csv.text();
}

/// A retouching film on the fill in place: dry colour that lies on top, thin.
Spectrum painted(const Loads& loads, const Spectrum& below) {
  return reading_of(toned({Spectrum(below.size(), 0.0), Spectrum(below.size(), 0.0)}, loads),
                    below);
}

const Spectrum card =
    over_bands([](double nm) { return 0.89 - 0.07 * std::exp(-(nm - 380) / 60); });

/// Five rungs of three colorants and ten mixtures, painted on opaque white card.
std::string film_ladders_csv() {
  const std::vector<std::string> palette{"ochre", "raw umber", "bone black"};
  std::string columns =
      "name,repeat,role,state,geometry,condition,instrument,aperture_mm,stock,load_unit,scale";
  for (const std::string& name : palette) columns += ",load:" + name;
  Csv csv(columns);
  CounterRandom random(1894, 11);
  const auto rows = [&](const std::string& name, const std::string& role, const Loads& meant) {
    Loads laid = meant;
    for (auto& [colorant, load] : laid) load *= 1 + 0.03 * random.normal();  // the dropper
    std::string loads;
    for (const std::string& one : palette)
      loads += "," + (meant.count(one) ? fixed(meant.at(one), 4) : std::string("0"));
    for (int repeat = 1; repeat <= 2; ++repeat)
      csv.row(name + "," + std::to_string(repeat) + "," + role +
                  ",dry,45/0,M2,invented hand-held,4,retouching stock,g_m2,fraction" + loads,
              pressed(painted(laid, card), random));
  };
  rows("white card", "substrate", {});
  for (const std::string& name : palette)
    for (int rung = 1; rung <= 5; ++rung)
      rows(name + " rung " + std::to_string(rung), "swatch",
           {{name, (name == "bone black" ? 0.06 : 0.25) * std::pow(0.5, 5 - rung)}});
  for (int mixture = 1; mixture <= 10; ++mixture) {
    Loads loads;
    const std::uint32_t left_out = random.below(3);
    for (std::uint32_t part = 0; part < 3; ++part) {
      if (part == left_out) continue;
      const std::string& name = palette[part];
      const double top = name == "bone black" ? 0.04 : 0.15;
      loads[name] = std::round(top * (0.1 + 0.9 * random.uniform()) * 1e4) / 1e4;
    }
    rows("mixture " + std::to_string(mixture), "swatch", loads);
  }
  return csv.text();
}

/// The fill of loss 1 once it is in place, read where it lies: it came out a little light.
std::string fill_csv() {
  Csv csv("name,repeat,role,backing,state,geometry,condition,instrument,aperture_mm,scale");
  CounterRandom random(1894, 12);
  const Sheet fill = toned(paper(34, 36, 0.6, 60), {{"ochre", 0.05}});
  for (int repeat = 1; repeat <= 3; ++repeat)
    csv.row("fill of loss 1," + std::to_string(repeat) +
                ",tissue,mount board,dry,45/0,M2,invented hand-held,4,fraction",
            pressed(reading_of(fill, mount_board), random));
  return csv.text();
}

/// The loads of one recipe of what `mendtone wash` answered, in whole drops where it has them.
std::optional<Loads> loads_of(const std::string& path, std::size_t number) {
  const auto bytes = mendtone::read_file(path);
  if (!bytes) return std::nullopt;
  const auto json = nlohmann::json::parse(*bytes, nullptr, false);
  if (!json.is_object() || !json.contains("recipes") || json["recipes"].size() < number)
    return std::nullopt;
  const auto& recipe = json["recipes"][number - 1];
  return recipe.contains("whole_drops") ? recipe["whole_drops"]["loads"].get<Loads>()
                                        : recipe["loads"].get<Loads>();
}

std::string trial_csv(const Loads& meant, CounterRandom& random) {
  const double pick_up = 1 + 0.05 * random.normal();
  Loads laid = meant;
  for (auto& [name, load] : laid) load *= pick_up * (1 + 0.05 * random.normal());
  std::string columns =
      "name,repeat,role,backing,state,geometry,condition,instrument,aperture_mm,lot,stock,"
      "load_unit,scale";
  std::string loads;
  for (const auto& [name, load] : meant) {
    columns += ",load:" + name;
    loads += "," + mendtone::shortest(load);
  }
  Csv csv(columns);
  const Sheet sheet = toned(wash_tissue, laid);
  for (int repeat = 1; repeat <= 3; ++repeat)
    csv.row(
        "trial," + std::to_string(repeat) +
            ",trial,mount board,dry,45/0,M2,invented hand-held,4,K116,bench stock,g_m2,fraction" +
            loads,
        pressed(reading_of(sheet, mount_board), random));
  return csv.text();
}

/// A recipe as laid down by a bench with a 5 % dropper and a 5 % pick-up, read over the mount
/// board, three times. `seed` chooses the day.
int trial(const std::string& file, const std::string& seed, const std::string& recipe) {
  const auto day = mendtone::parse_number(seed);
  const auto meant = loads_of(recipe, 1);
  if (!day || !meant) {
    std::cerr << "invent: expected a seed and what mendtone wash answered as JSON\n";
    return 2;
  }
  CounterRandom random(static_cast<std::uint64_t>(*day), 8);
  const auto written = mendtone::write_file(file, trial_csv(*meant, random));
  if (!written) std::cerr << "invent: " << written.error().text() << '\n';
  return written ? 0 : 4;
}

int readings(const std::string& folder) {
  const std::map<std::string, std::string> files{{"backings.csv", backings_csv()},
                                                 {"chart.cgats", chart_cgats(chart, 2)},
                                                 {"chart-washed.cgats", chart_cgats(washed_chart, 13)},
                                                 {"chart.csv", chart_csv()},
                                                 {"drawer.csv", drawer_csv()},
                                                 {"before.csv", spots_csv(0, 5)},
                                                 {"bath-1.csv", spots_csv(0.65, 9)},
                                                 {"bath-2.csv", spots_csv(0.96, 10)},
                                                 {"after.csv", spots_csv(1, 6)},
                                                 {"ladders.csv", ladders_csv()},
                                                 {"film-ladders.csv", film_ladders_csv()},
                                                 {"fill.csv", fill_csv()}};
  for (const auto& [name, text] : files)
    if (auto written = mendtone::write_file(folder + "/" + name, text); !written) {
      std::cerr << "invent: " << written.error().text() << '\n';
      return 4;
    }
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  if (arguments.size() == 2 && arguments[0] == "readings") return readings(arguments[1]);
  if (arguments.size() == 4 && arguments[0] == "trial")
    return trial(arguments[1], arguments[2], arguments[3]);
  std::cerr << "usage: invent readings FOLDER | invent trial FILE SEED WASH.json\n";
  return 2;
}
