// Draws what layer models say against what photons do, for the manual:
//   draw_layer_models FILE.svg
// A sheet is read over black and white; each model takes its two constants from that and says how
// the sheet reads over other backings, in more plies, and how much light comes through it.

#include <cmath>
#include <cstdio>
#include <fstream>
#include <functional>
#include <string>
#include <vector>

#include "mendtone/optics/many_flux.hpp"
#include "photons/truth.hpp"

namespace mendtone::photons {
namespace {

constexpr double black = 0.04, white = 0.85;
/// A pale sheet: what it takes and throws about, and how far forward.
constexpr double absorbed = 0.03, reduced = 1.05;
constexpr double asymmetries[] = {0, 0.3, 0.6};

struct Model {
  std::string name, colour;
  std::function<mendtone::Slab(double, double)> layer;  ///< of its two constants
};

std::vector<Model> models() {
  return {{"two fluxes", "#b3541e", [](double K, double S) { return layer(K, S); }},
          {"many fluxes", "#1f6f8b", [](double K, double S) {
             return many_flux({K, S}, Viewing::at_45_0);
           }}};
}

photons::Slab sheet(double g) {
  return {absorbed, reduced / (1 - g), g};
}

Functions truth(double g, double plies = 1) {
  return sheet_truth(sheet(g) * plies, Geometry::lamp_45_read_0);
}

/// L* of a grey (CIE 15:2018).
double lightness(double R) {
  return 116 * std::cbrt(R) - 16;
}

struct Constants {
  double K = 2 * absorbed, S = reduced / 2;
};

/// What the model must be made of to read over black and white as the sheet does: Newton's method.
Constants fitted(const Model& model, const Functions& seen) {
  Constants at;
  const auto miss = [&](double K, double S, double Rg) {
    return over(model.layer(K, S), Rg) - seen.over(Rg);
  };
  for (int round = 0; round < 40; ++round) {
    constexpr double h = 1e-5;
    const double b = miss(at.K, at.S, black), w = miss(at.K, at.S, white);
    const double bK = (miss(at.K + h, at.S, black) - b) / h;
    const double bS = (miss(at.K, at.S + h, black) - b) / h;
    const double wK = (miss(at.K + h, at.S, white) - w) / h;
    const double wS = (miss(at.K, at.S + h, white) - w) / h;
    const double det = wK * bS - wS * bK;
    at.K = std::max(1e-6, at.K - (w * bS - wS * b) / det);
    at.S = std::max(1e-6, at.S - (wK * b - w * bK) / det);
  }
  return at;
}

using Points = std::vector<std::pair<double, double>>;

Points over_backings(const Model& model, double g) {
  const Constants of = fitted(model, truth(g));
  Points points;
  for (double Rg = 0.04; Rg < 0.9; Rg += 0.01)
    points.push_back(
        {Rg, lightness(over(model.layer(of.K, of.S), Rg)) - lightness(truth(g).over(Rg))});
  return points;
}

Points in_plies(const Model& model, double g) {
  const Constants of = fitted(model, truth(g));
  Points points;
  for (double n = 1; n <= 4; n += 0.1)
    points.push_back({n, lightness(over(model.layer(n * of.K, n * of.S), black)) -
                             lightness(truth(g, n).over(black))});
  return points;
}

Points before_light(const Model& model, double g) {
  const Constants of = fitted(model, truth(g));
  Points points;
  for (double n = 1; n <= 4; n += 0.1)
    points.push_back({n, lightness(model.layer(n * of.K, n * of.S).out) -
                             lightness(truth(g, n).through_normal)});
  return points;
}

class Drawing {
 public:
  Drawing() {
    text_ =
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 940 310\" "
        "font-family=\"sans-serif\" font-size=\"12\">\n"
        "<rect width=\"940\" height=\"310\" fill=\"#ffffff\"/>\n";
  }

  struct Panel {
    double left;
    std::string title, across;
    double from, to, low, high;
    std::vector<double> across_marks, up_marks;
  };

  void frame(const Panel& p) {
    say("<text x=\"%.0f\" y=\"24\" font-weight=\"bold\">%s</text>\n", p.left, p.title.c_str());
    say("<text x=\"%.0f\" y=\"282\">%s</text>\n", p.left + 50, p.across.c_str());
    for (double mark : p.up_marks) {
      say("<line x1=\"%.1f\" y1=\"%.1f\" x2=\"%.1f\" y2=\"%.1f\" stroke=\"%s\"/>\n", p.left,
          y(p, mark), p.left + width, y(p, mark), mark == 0 ? "#000000" : "#dddddd");
      say("<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">%g</text>\n", p.left - 6, y(p, mark) + 4,
          mark);
    }
    for (double mark : p.across_marks)
      say("<text x=\"%.1f\" y=\"264\" text-anchor=\"middle\">%g</text>\n", x(p, mark), mark);
  }

  void line(const Panel& p, const Points& points, const std::string& colour, int dashes) {
    say("<polyline fill=\"none\" stroke=\"%s\" stroke-width=\"2\"%s points=\"", colour.c_str(),
        dashes == 0   ? ""
        : dashes == 1 ? " stroke-dasharray=\"8 4\""
                      : " stroke-dasharray=\"2 3\"");
    for (const auto& [at, value] : points) say("%.1f,%.1f ", x(p, at), y(p, value));
    text_ += "\"/>\n";
  }

  void note(double at, double down, const std::string& colour, const std::string& words) {
    say("<text x=\"%.0f\" y=\"%.0f\" fill=\"%s\">%s</text>\n", at, down, colour.c_str(),
        words.c_str());
  }

  std::string finished() const { return text_ + "</svg>\n"; }

 private:
  static constexpr double width = 230, top = 40, bottom = 245;

  static double x(const Panel& p, double value) {
    return p.left + width * (value - p.from) / (p.to - p.from);
  }
  static double y(const Panel& p, double value) {
    return bottom - (bottom - top) * (value - p.low) / (p.high - p.low);
  }
  template <class... T>
  void say(const char* format, T... values) {
    char buffer[400];
    std::snprintf(buffer, sizeof buffer, format, values...);
    text_ += buffer;
  }

  std::string text_;
};

std::string drawn() {
  Drawing drawing;
  const Drawing::Panel backings{50,  "One ply",          "reflectance of the backing", 0, 0.9, -0.4,
                                1.0, {0, 0.3, 0.6, 0.9}, {-0.4, 0, 0.4, 0.8}};
  const Drawing::Panel plies{360, "Plies over black", "plies",           1, 4, -3,
                             1,   {1, 2, 3, 4},       {-3, -2, -1, 0, 1}};
  const Drawing::Panel light{670,
                             "On a light sheet, along the normal",
                             "plies",
                             1,
                             4,
                             -2,
                             4,
                             {1, 2, 3, 4},
                             {-2, -1, 0, 1, 2, 3, 4}};
  for (const auto& panel : {backings, plies, light}) drawing.frame(panel);
  double down = 40;
  for (const Model& model : models()) {
    int dashes = 0;
    for (double g : asymmetries) {
      drawing.line(backings, over_backings(model, g), model.colour, dashes);
      drawing.line(plies, in_plies(model, g), model.colour, dashes);
      drawing.line(light, before_light(model, g), model.colour, dashes);
      ++dashes;
    }
    drawing.note(690, down += 16, model.colour, model.name);
  }
  drawing.note(50, 298, "#000000",
               "L* predicted from one ply over black and white, less that of photons. Scattering g "
               "0 (line), 0.3 (dashes), 0.6 (dots).");
  return drawing.finished();
}

}  // namespace
}  // namespace mendtone::photons

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fprintf(stderr, "draw_layer_models FILE.svg\n");
    return 2;
  }
  std::ofstream out(argv[1], std::ios::binary);
  out << mendtone::photons::drawn();
  if (!out.flush()) {
    std::fprintf(stderr, "%s: cannot write there\n", argv[1]);
    return 4;
  }
  return 0;
}
