#include "mendtone/imaging/target.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cassert>
#include <cmath>

#include "mendtone/colour/difference.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone {
namespace {

/// The projective map that takes the unit square's corners to the given ones. Ref: heckbert1989
struct Quad {
  double a, b, c, d, e, f, g, h;
  Point operator()(double u, double v) const {
    const double w = g * u + h * v + 1;
    return {(a * u + b * v + c) / w, (d * u + e * v + f) / w};
  }
};

Quad quad_of(const std::array<Point, 4>& p) {
  const double sx = p[0].x - p[1].x + p[2].x - p[3].x, sy = p[0].y - p[1].y + p[2].y - p[3].y;
  const double dx1 = p[1].x - p[2].x, dx2 = p[3].x - p[2].x, dy1 = p[1].y - p[2].y,
               dy2 = p[3].y - p[2].y, det = dx1 * dy2 - dx2 * dy1;
  const double g = (sx * dy2 - dx2 * sy) / det, h = (dx1 * sy - sx * dy1) / det;
  return {p[1].x - p[0].x + g * p[1].x,
          p[3].x - p[0].x + h * p[3].x,
          p[0].x,
          p[1].y - p[0].y + g * p[1].y,
          p[3].y - p[0].y + h * p[3].y,
          p[0].y,
          g,
          h};
}

/// All corners turn the same way, clockwise as seen.
bool convex(const std::array<Point, 4>& p) {
  for (std::size_t i = 0; i < 4; ++i) {
    const Point &q = p[(i + 1) % 4], &r = p[(i + 2) % 4];
    if (!((q.x - p[i].x) * (r.y - q.y) - (q.y - p[i].y) * (r.x - q.x) > 0)) return false;
  }
  return true;
}

struct Sum {
  double X = 0, Y = 0, Z = 0, L = 0, L2 = 0, x = 0, y = 0;
  std::size_t n = 0;
};

RegionColour colour_of(const Region& region, const Sum& s) {
  const auto n = static_cast<double>(s.n);
  RegionColour c;
  c.name = region.name;
  c.pixels = s.n;
  c.lab = xyz_to_lab({s.X / n * image_white.X, s.Y / n * image_white.Y, s.Z / n * image_white.Z},
                     image_white);
  c.centre = {s.x / n, s.y / n};
  c.spread_dL = std::sqrt(std::max(0.0, s.L2 / n - s.L / n * (s.L / n)));
  return c;
}

}  // namespace

Result<std::vector<Region>> grid_patches(const std::array<Point, 4>& corners, int columns, int rows,
                                         double part, ImageSize picture) {
  if (columns < 1 || rows < 1 || columns * rows > 10000)
    return bad_request("the grid needs at least one column and one row");
  if (!(part > 0 && part <= 1)) return bad_request("the part of a patch is above 0 and at most 1");
  if (!convex(corners))
    return bad_request(
        "the four corners make no quadrilateral; give them top left, top right, "
        "bottom right, bottom left");
  const Quad quad = quad_of(corners);
  std::vector<Region> patches;
  for (int row = 0; row < rows; ++row)
    for (int column = 0; column < columns; ++column) {
      const auto corner = [&](double dx, double dy) {
        return quad((column + 0.5 + dx * part / 2) / columns, (row + 0.5 + dy * part / 2) / rows);
      };
      auto region = MENDTONE_TRY(polygon_region(
          "row " + std::to_string(row + 1) + ", column " + std::to_string(column + 1),
          {corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1)}, picture));
      patches.push_back(std::move(region));
    }
  return patches;
}

Result<std::vector<RegionColour>> region_colours(RowReader& picture,
                                                 const std::vector<Region>& regions) {
  std::vector<Sum> sums(regions.size());
  CodedRows rows;
  LabPixels lab, light;
  const ImageSize size = picture.size();
  for (int y = 0; y < size.height; ++y) {
    const bool wanted = std::any_of(regions.begin(), regions.end(),
                                    [&](const Region& r) { return !r.at(y).empty(); });
    if (!wanted) continue;
    MENDTONE_TRY(picture.read(y, y + 1, rows));
    to_lab(picture.transform(), rows, lab);
    light = lab;
    lab_to_relative_xyz(light.L.data(), light.a.data(), light.b.data(), light.size());
    for (std::size_t r = 0; r < regions.size(); ++r)
      for (const Span& span : regions[r].at(y))
        for (int x = span.x0; x < span.x1; ++x) {
          const auto i = static_cast<std::size_t>(x);
          Sum& s = sums[r];
          s.X += light.L[i];
          s.Y += light.a[i];
          s.Z += light.b[i];
          s.L += lab.L[i];
          s.L2 += double(lab.L[i]) * lab.L[i];
          s.x += x;
          s.y += y;
          ++s.n;
        }
  }
  std::vector<RegionColour> colours;
  for (std::size_t r = 0; r < regions.size(); ++r) {
    if (sums[r].n == 0) return bad_request("'" + regions[r].name + "' holds no pixel");
    colours.push_back(colour_of(regions[r], sums[r]));
  }
  return colours;
}

TargetFigures target_figures(const std::vector<RegionColour>& patches,
                             const std::vector<Lab>& reference) {
  assert(patches.size() == reference.size() && patches.size() >= 3);
  TargetFigures f;
  const auto n = static_cast<double>(patches.size());
  Eigen::MatrixXd place(patches.size(), 3);
  Eigen::VectorXd dL(patches.size());
  for (std::size_t i = 0; i < patches.size(); ++i) {
    const Lab &is = patches[i].lab, &ought = reference[i];
    f.de00.push_back(de00(ought, is));
    f.mean_de00 += f.de00.back() / n;
    if (f.de00[i] > f.de00[f.worst]) f.worst = i;
    const auto row = static_cast<Eigen::Index>(i);
    dL(row) = is.L - ought.L;
    place.row(row) << 1, patches[i].centre.x, patches[i].centre.y;
    f.mean_dL += dL(row) / n;
    if (std::hypot(ought.a, ought.b) > 3) continue;
    const double off = std::hypot(is.a - ought.a, is.b - ought.b);
    ++f.neutrals;
    f.balance_mean += off;
    f.balance_max = std::max(f.balance_max, off);
  }
  if (f.neutrals > 0) f.balance_mean /= static_cast<double>(f.neutrals);
  f.max_de00 = f.de00[f.worst];
  std::vector<double> sorted = f.de00;
  std::sort(sorted.begin(), sorted.end());
  const double rank = 0.9 * (n - 1);
  const auto below = static_cast<std::size_t>(rank);
  const std::size_t above = std::min(below + 1, sorted.size() - 1);
  f.p90_de00 = sorted[below] + (rank - std::floor(rank)) * (sorted[above] - sorted[below]);
  // Light that falls off shows as lightness errors that follow the place of the patch.
  const Eigen::VectorXd plane = place.completeOrthogonalDecomposition().solve(dL);
  const Eigen::VectorXd fitted = place * plane;
  f.tilt_dL = fitted.maxCoeff() - fitted.minCoeff();
  return f;
}

}  // namespace mendtone
