// Draws two invented photographs of the Kestrel Bay pilot chart, 1894, before and after treatment,
// with a colour target beside it: `photographs FOLDER` writes before.tif, after.tif (16 bits,
// profile embedded), loss-1.png, loss-2.png (masks), target.cgats and points.csv. No such chart,
// camera or target exists; the same bytes come out every time.
#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <iostream>
#include <string>
#include <vector>

#include "mendtone/adapters/files.hpp"
#include "mendtone/adapters/icc.hpp"
#include "mendtone/adapters/picture_file.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/imaging/planar.hpp"

namespace {

using mendtone::fixed;
using mendtone::Lab;

constexpr double px_per_mm = 12;
constexpr int width = 1152, height = 864;
constexpr std::uint64_t seed = 1894;

/// Uniform -1 … 1 at a lattice point.
double lattice(int x, int y, int layer) {
  auto h = static_cast<std::uint32_t>(x) * 0x8da6b343u ^
           static_cast<std::uint32_t>(y) * 0xd8163841u ^
           static_cast<std::uint32_t>(layer) * 0xcb1ab31fu;
  h ^= h >> 16, h *= 0x7feb352du, h ^= h >> 15, h *= 0x846ca68bu, h ^= h >> 16;
  return h / 2147483648.0 - 1;
}

/// Smooth noise of one grain size.
double grain(double x, double y, double size, int layer) {
  const double u = x / size, v = y / size, fu = std::floor(u), fv = std::floor(v);
  const auto ease = [](double t) { return t * t * (3 - 2 * t); };
  const double s = ease(u - fu), t = ease(v - fv);
  const int i = static_cast<int>(fu), j = static_cast<int>(fv);
  const double top = lattice(i, j, layer) * (1 - s) + lattice(i + 1, j, layer) * s,
               low = lattice(i, j + 1, layer) * (1 - s) + lattice(i + 1, j + 1, layer) * s;
  return top * (1 - t) + low * t;
}

Lab mixed(const Lab& p, const Lab& q, double t) {
  return {p.L + t * (q.L - p.L), p.a + t * (q.a - p.a), p.b + t * (q.b - p.b)};
}

/// 1 inside a line of half-width `half`, 0 outside, soft over a pixel.
double stroke(double distance, double half) {
  return std::clamp((half - std::abs(distance)) * px_per_mm + 0.5, 0.0, 1.0);
}

struct Spot {
  double x, y, radius, strength;
};
constexpr std::array<Spot, 7> foxing{{{18, 14, 1.6, 1.0},
                                      {31, 41, 1.1, 0.9},
                                      {63, 12, 2.0, 0.8},
                                      {71, 45, 1.3, 1.0},
                                      {49, 22, 0.8, 0.7},
                                      {84, 30, 1.7, 0.9},
                                      {12, 47, 1.0, 0.8}}};

/// Below 0 inside the loss.
double loss_edge(int loss, double x, double y) {
  const double cx = loss == 1 ? 40 : 74, cy = loss == 1 ? 30 : 21, r = loss == 1 ? 4.2 : 2.6;
  const double angle = std::atan2(y - cy, x - cx);
  const double ragged = 0.35 * std::sin(3 * angle + loss) + 0.22 * std::sin(7 * angle + 2 * loss);
  return std::hypot((x - cx) * 0.85, y - cy) - r - ragged;
}

Lab paper(double x, double y, bool after) {
  const double mottle = grain(x, y, 2.6, 1), fibre = grain(x * 1.0, y * 2.2, 0.5, 2);
  Lab lab{86.5 + 2.4 * mottle + 0.5 * fibre, 1.7 - 0.7 * mottle, 13.8 - 3.2 * mottle};
  for (const Spot& spot : foxing) {
    const double d = std::hypot(x - spot.x, y - spot.y) / spot.radius;
    const double depth = spot.strength * (after ? 0.45 : 1) * std::exp(-d * d);
    lab.L -= 15 * depth;
    lab.a += 6 * depth;
    lab.b += 13 * depth;
  }
  if (after) lab.L += 0.9, lab.a -= 0.2, lab.b -= 1.8;
  return lab;
}

double coast(double x) {
  return 33 + 6 * std::sin(x / 9) + 2.2 * std::sin(x / 3.1 + 1);
}

/// How much printing ink covers the paper here.
double ink(double x, double y) {
  double cover = 0;
  const auto add = [&](double c) { cover = std::max(cover, c); };
  for (int line = 1; line < 8; ++line) {
    add(0.8 * stroke(x - 4 - 12 * line, 0.05));
    if (line < 5) add(0.8 * stroke(y - 4 - 11 * line, 0.05));
  }
  const double off = y - coast(x);
  add(stroke(off / std::sqrt(1 + 0.5), 0.14));
  // The shore's hatching, seaward only.
  if (off < 0 && off > -2.4) add(0.75 * stroke(std::fmod(-off, 0.6) - 0.3, 0.045));
  const double rose = std::hypot(x - 20, y - 26);
  add(stroke(rose - 6, 0.09));
  add(stroke(rose - 5.4, 0.05));
  if (rose < 6.6) {
    add(stroke(x - 20, 0.07));
    add(stroke(y - 26, 0.07));
  }
  // Soundings: little crosses on a jittered lattice, out at sea.
  const double cell = 5.5;
  const int i = static_cast<int>(std::floor(x / cell)), j = static_cast<int>(std::floor(y / cell));
  const double sx = (i + 0.5 + 0.25 * lattice(i, j, 7)) * cell,
               sy = (j + 0.5 + 0.25 * lattice(i, j, 8)) * cell;
  if (sy < coast(sx) - 4 && rose > 8) {
    if (std::abs(y - sy) < 0.6) add(stroke(x - sx, 0.06));
    if (std::abs(x - sx) < 0.45) add(stroke(y - sy, 0.06));
  }
  return cover;
}

constexpr Lab board{76, 0.2, 2.4}, table{37, 0.3, -0.6}, printing_ink{27, 0.8, 3.2};

/// The invented target: 12 columns, 2 rows; greys above, colours below.
constexpr int columns = 12;
constexpr std::array<Lab, 24> patches{
    {{95, 0, 1},    {88, 0, 0.5},  {80, 0.2, 0.3}, {72, 0, 0},    {64, 0, 0},    {56, 0, 0},
     {48, 0, 0},    {40, 0, 0},    {33, 0, 0},     {27, 0, 0},    {22, 0, 0},    {18, 0, 0},
     {86, 2, 14},   {78, 5, 22},   {66, 14, 30},   {52, 20, 34},  {46, 48, 28},  {42, 40, 8},
     {40, 22, -32}, {44, -4, -34}, {56, -24, -24}, {54, -34, 16}, {70, -24, 42}, {82, 4, 62}}};

struct Cell {
  double x, y;
};
Cell patch_corner(int index) {
  return {5.0 + 7.2 * (index % columns), 59.0 + 5.6 * (index / columns)};
}

constexpr double patch_width = 6.4, patch_height = 4.8;

Lab scene(double x, double y, bool after) {
  for (int i = 0; i < static_cast<int>(patches.size()); ++i) {
    const Cell corner = patch_corner(i);
    if (x >= corner.x && x < corner.x + patch_width && y >= corner.y && y < corner.y + patch_height)
      return patches[static_cast<std::size_t>(i)];
  }
  if (x < 4 || x > 92 || y < 4 || y > 55) return table;
  for (const int loss : {1, 2}) {
    const double edge = loss_edge(loss, x, y);
    if (edge >= 0) continue;
    if (!after) return mixed(board, {60, 0.5, 4}, std::exp(edge * 2.5));  // its own shadow
    const double fibre = 0.5 * grain(x * 2.2, y, 0.5, 5);
    return loss == 1 ? Lab{86.2 + fibre, 1.7, 12.6} : Lab{84.0 + fibre, 2.9, 14.9};
  }
  return mixed(paper(x, y, after), printing_ink, 0.92 * ink(x, y));
}

/// Where a pixel looks: the after camera stands a little turned and nearer.
Cell place_of(double px, double py, bool after) {
  if (!after) return {px / px_per_mm, py / px_per_mm};
  constexpr double turn = 0.35 * 3.14159265358979 / 180, nearer = 1.004;
  const double u = (px - 9.3 - width / 2.0) / nearer, v = (py + 6.4 - height / 2.0) / nearer;
  return {(std::cos(turn) * u + std::sin(turn) * v + width / 2.0) / px_per_mm,
          (-std::sin(turn) * u + std::cos(turn) * v + height / 2.0) / px_per_mm};
}

/// What the invented camera and lamps make of it: channels that leak, light that falls off.
Lab camera(const Lab& lab, double px, double py, bool after, mendtone::CounterRandom& noise) {
  const mendtone::Xyz t = mendtone::lab_to_xyz(lab, mendtone::image_white);
  const double r = std::hypot(px - width / 2.0, py - height / 2.0) / (width / 2.0);
  const double light = (after ? 1.02 : 1.0) * (1 - 0.025 * r * r);
  const double X = t.X / 96.42, Y = t.Y / 100, Z = t.Z / 82.49;
  mendtone::Xyz seen{96.42 * light * 1.01 * (0.87 * X + 0.13 * Y),
                     100 * light * (0.07 * X + 0.93 * Y),
                     82.49 * light * 0.985 * (-0.07 * X + 0.12 * Y + 0.95 * Z)};
  Lab out = mendtone::xyz_to_lab(seen, mendtone::image_white);
  out.L += 0.25 * noise.normal();
  out.a += 0.2 * noise.normal();
  out.b += 0.25 * noise.normal();
  return out;
}

mendtone::Picture photograph(bool after, const mendtone::PixelTransform& transform) {
  mendtone::Picture picture({width, height}, {0, 0, 0});
  for (int y = 0; y < height; ++y) {
    mendtone::CounterRandom noise(seed, static_cast<std::uint64_t>(y) * 2 + (after ? 1 : 0));
    for (int x = 0; x < width; ++x) {
      // Four looks a pixel, so that fine lines are smooth.
      Lab mean;
      for (const double dy : {-0.25, 0.25})
        for (const double dx : {-0.25, 0.25}) {
          const Cell place = place_of(x + dx, y + dy, after);
          const Lab lab = scene(place.x, place.y, after);
          mean = {mean.L + lab.L / 4, mean.a + lab.a / 4, mean.b + lab.b / 4};
        }
      const Lab lab = camera(mean, x, y, after, noise);
      const auto L = static_cast<float>(lab.L), a = static_cast<float>(lab.a),
                 b = static_cast<float>(lab.b);
      transform.from_lab(&L, &a, &b, 1, picture.at(x, y));
    }
  }
  return picture;
}

mendtone::Picture mask(int loss) {
  mendtone::Picture picture({width, height}, {0, 0, 0});
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x)
      if (loss_edge(loss, x / px_per_mm, y / px_per_mm) < 0)
        std::fill_n(picture.at(x, y), 3, std::uint16_t{65535});
  return picture;
}

std::string target_file() {
  std::string text =
      "CGATS.17\n"
      "DESCRIPTOR\t\"Invented for the examples of mendtone: no such target exists\"\n"
      "ORIGINATOR\t\"Kestrel Bay pilot chart, 1894\"\n"
      "WEIGHTING_FUNCTION\t\"ILLUMINANT, D50\"\n"
      "WEIGHTING_FUNCTION\t\"OBSERVER, 2 degree\"\n"
      "NUMBER_OF_FIELDS\t4\nBEGIN_DATA_FORMAT\nSAMPLE_NAME\tLAB_L\tLAB_A\tLAB_B\n"
      "END_DATA_FORMAT\nNUMBER_OF_SETS\t" +
      std::to_string(patches.size()) + "\nBEGIN_DATA\n";
  for (std::size_t i = 0; i < patches.size(); ++i)
    text += std::string(i < columns ? "G" : "C") + std::to_string(i % columns + 1) + "\t" +
            fixed(patches[i].L, 2) + "\t" + fixed(patches[i].a, 2) + "\t" + fixed(patches[i].b, 2) +
            "\n";
  return text + "END_DATA\n";
}

/// Five places that stand in both photographs, to a tenth of a pixel as a careful eye gives them.
std::string points_file() {
  std::string text = "# Invented for the examples of mendtone\nbefore_x,before_y,after_x,after_y\n";
  mendtone::CounterRandom random(seed, 99);
  for (const Cell mm :
       {Cell{16, 15}, Cell{88, 15}, Cell{16, 48}, Cell{88, 48}, Cell{52, 26}, Cell{64, 37}}) {
    constexpr double turn = 0.35 * 3.14159265358979 / 180, nearer = 1.004;
    const double bx = mm.x * px_per_mm, by = mm.y * px_per_mm, u = bx - width / 2.0,
                 v = by - height / 2.0;
    const double ax = nearer * (std::cos(turn) * u - std::sin(turn) * v) + 9.3 + width / 2.0,
                 ay = nearer * (std::sin(turn) * u + std::cos(turn) * v) - 6.4 + height / 2.0;
    text += fixed(bx, 1) + "," + fixed(by, 1) + "," + fixed(ax + 0.15 * random.normal(), 1) + "," +
            fixed(ay + 0.15 * random.normal(), 1) + "\n";
  }
  return text;
}

bool report(const mendtone::Result<void>& done) {
  if (!done) std::cerr << "photographs: " << done.error().text() << '\n';
  return static_cast<bool>(done);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "photographs FOLDER: draws the invented photographs into it\n";
    return 2;
  }
  const std::string folder = argv[1];
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  const auto profile = mendtone::open_profile(mendtone::srgb_profile(), 3);
  if (!profile) return 1;
  const mendtone::PictureTags tags{profile->bytes, px_per_mm,
                                   "Invented for the examples of mendtone: the Kestrel Bay pilot "
                                   "chart, 1894, which does not exist"};
  bool done = true;
  for (const bool after : {false, true})
    done = done && report(mendtone::write_picture(folder + (after ? "/after.tif" : "/before.tif"),
                                                  photograph(after, *profile->transform), tags));
  for (const int loss : {1, 2})
    done = done && report(mendtone::write_picture(folder + "/loss-" + std::to_string(loss) + ".png",
                                                  mask(loss), tags));
  done = done && report(mendtone::write_file(folder + "/target.cgats", target_file()));
  done = done && report(mendtone::write_file(folder + "/points.csv", points_file()));
  return done ? 0 : 4;
}
