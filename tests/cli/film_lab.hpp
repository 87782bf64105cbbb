#pragma once
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"
#include "virtual_bench/bench.hpp"

// A retouching film at the virtual bench, in the files that she would write. Invented: no fill,
// sheet or colorant was read.
namespace mendtone::virtual_bench {

inline const std::string film_colorants[] = {"w ochre", "w earth red", "w brown", "w black"};

class FilmLab {
 public:
  using Loads = std::vector<double>;  ///< in the bench's order

  FilmLab(std::filesystem::path folder, std::uint64_t seed)
      : folder_(std::move(folder)),
        bench_(VirtualBench::Kind::painted_film, seed),
        random_(seed, 91) {
    std::filesystem::create_directories(folder_);
    write_ladders();
    write("fill.csv", csv(read({}, "fill 1", Role::tissue)));
    write("stocks.csv",
          "stock,colorant,g_per_ml,drops,drops_g,density_g_ml\n"
          "ochre bottle,w ochre,0.0004,20,1,1\nred bottle,w earth red,0.0004,20,1,1\n"
          "brown bottle,w brown,0.0004,20,1,1\nblack bottle,w black,0.0001,20,1,1\n");
  }

  const VirtualBench& bench() const { return bench_; }
  std::string path(const std::string& name) const { return (folder_ / name).string(); }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / name, std::ios::binary) << text;
  }

  std::size_t place(const std::string& name) const {
    for (std::size_t j = 0; j < bench_.size(); ++j)
      if (bench_.colorants()[j].name == name) return j;
    return bench_.size();
  }
  /// Loads of the four, in their order.
  Loads loads(const std::vector<double>& of_four) const {
    Loads all(bench_.size(), 0.0);
    for (std::size_t i = 0; i < of_four.size(); ++i) all[place(film_colorants[i])] = of_four[i];
    return all;
  }

  /// The sheet round the fill: what these true loads on the fill would look like.
  void write_sheet(const std::vector<double>& of_four) {
    target_ = loads(of_four);
    Sheet sheet{target_};
    write("sheet.csv", csv(bench_.read(sheet, {}, "margin", Role::target, "fill", random_)));
  }
  /// One coat more on the film in hand, with a dropper's and a brush's errors.
  void lay(const Loads& meant) {
    if (film_.loads.empty()) film_.loads.assign(bench_.size(), 0.0);
    bench_.coat(film_, bench_.mix(meant, random_), random_);
  }
  void write_trial(const std::string& name) {
    write(name, csv(bench_.read(film_, {}, "fill 1", Role::trial, "fill", random_)));
  }
  /// True colour of the film in hand to the true colour of the sheet.
  double true_de00() const {
    return de00(bench_.true_lab(target_, "fill"), bench_.true_lab(film_.loads, "fill"));
  }
  double fill_de00() const {
    return de00(bench_.true_lab(target_, "fill"),
                bench_.true_lab(Loads(bench_.size(), 0.0), "fill"));
  }

  const std::vector<Reading>& ladders() const { return ladders_; }

  std::string csv(const std::vector<Reading>& readings) const {
    std::string text =
        "# Invented: the virtual bench\nname,repeat,role,state,condition,load_unit,scale";
    for (const std::string& colorant : film_colorants) text += ",load:" + colorant;
    for (double nm : bench_.grid().nm()) text += "," + shortest(nm);
    text += "\n";
    for (const Reading& r : readings) {
      text += r.name + "," + r.repeat + "," + std::string(name_of(r.role)) + ",dry," +
              std::string(name_of(r.condition)) + "," + (r.loads.empty() ? "" : "g_m2") +
              ",fraction";
      for (const std::string& colorant : film_colorants) {
        text += ",";
        if (const auto load = r.loads.find(colorant); load != r.loads.end())
          text += shortest(load->second);
      }
      for (double R : r.spectrum->value) text += "," + fixed(R, 5);
      text += "\n";
    }
    return text;
  }

 private:
  std::vector<Reading> read(const Loads& on_it, const std::string& name, Role role) {
    Sheet sheet{on_it.empty() ? Loads(bench_.size(), 0.0) : on_it};
    return bench_.read(sheet, {}, name, role, "fill", random_);
  }
  void append(std::vector<Reading>& all, const Loads& meant, const std::string& name) {
    for (Reading& r : bench_.swatch_readings(meant, name, random_)) all.push_back(std::move(r));
  }
  /// Six rungs of each of the four, and twenty mixtures of two, on the calibration's support.
  void write_ladders() {
    std::vector<Reading> all = bench_.bare_readings(random_);
    for (const std::string& colorant : film_colorants)
      for (double load = 0.2; load > 0.006; load /= 2) {  // as thin as retouching is
        Loads meant(bench_.size(), 0.0);
        meant[place(colorant)] = load;
        append(all, meant, colorant + " " + shortest(load));
      }
    for (int i = 0; i < 20; ++i) {
      const int one = i % 4, two = (one + 1 + i / 4 % 3) % 4;
      Loads meant(bench_.size(), 0.0);
      for (int j : {one, two})
        meant[place(film_colorants[j])] = 0.006 * std::pow(16, random_.uniform());
      append(all, meant, "mixture " + std::to_string(i + 1));
    }
    ladders_ = all;
    write("ladders.csv", csv(all));
  }

  std::filesystem::path folder_;
  VirtualBench bench_;
  CounterRandom random_;
  std::vector<Reading> ladders_;
  Loads target_;
  Sheet film_;
};

}  // namespace mendtone::virtual_bench
