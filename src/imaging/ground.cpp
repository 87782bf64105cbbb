#include "mendtone/imaging/ground.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <map>

#include "imaging/tones.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone {
namespace {

constexpr double most_samples = 200'000;
// 97.5 % of a normal ground in three dimensions lie within this squared distance, and their scatter
// must be widened by this to be that of the whole (chi-square distribution, from memory).
constexpr double cutoff = 9.348, widening = 1.079;

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

Lab median_of(const std::vector<Lab>& labs) {
  std::vector<double> L, a, b;
  for (const Lab& lab : labs) {
    L.push_back(lab.L);
    a.push_back(lab.a);
    b.push_back(lab.b);
  }
  return {median_of(std::move(L)), median_of(std::move(a)), median_of(std::move(b))};
}

/// Every pixel of the region, row by row.
template <class Take>
Result<void> each_row(RowReader& picture, const Region& region, Take take) {
  CodedRows rows;
  LabPixels lab;
  for (int y = region.y0; y < region.y1(); ++y) {
    if (region.at(y).empty()) continue;
    if (auto read = picture.read(y, y + 1, rows); !read) return read;
    to_lab(picture.transform(), rows, lab);
    take(y, region.at(y), lab);
  }
  return {};
}

Result<std::vector<Lab>> sample(RowReader& picture, const Region& region) {
  const double share = most_samples / static_cast<double>(region.pixels());
  std::vector<Lab> samples;
  MENDTONE_TRY(each_row(picture, region, [&](int y, const auto& spans, const LabPixels& lab) {
    // By chance and not every n-th, which could fall in step with ruled lines.
    CounterRandom random(4, static_cast<std::uint64_t>(y));
    for (const Span& span : spans)
      for (int x = span.x0; x < span.x1; ++x) {
        if (share < 1 && random.uniform() > share) continue;
        const auto i = static_cast<std::size_t>(x);
        samples.push_back({lab.L[i], lab.a[i], lab.b[i]});
      }
  }));
  return samples;
}

/// The middle of the fullest cell of 2 units, its neighbours counted in.
Lab commonest(const std::vector<Lab>& samples) {
  using Cell = std::array<int, 3>;
  std::map<Cell, std::size_t> counts;
  const auto cell_of = [](const Lab& lab) {
    return Cell{static_cast<int>(std::floor(lab.L / 2)), static_cast<int>(std::floor(lab.a / 2)),
                static_cast<int>(std::floor(lab.b / 2))};
  };
  for (const Lab& lab : samples) ++counts[cell_of(lab)];
  Cell best{};
  std::size_t most = 0;
  for (const auto& [cell, count] : counts) {
    std::size_t around = 0;
    for (int i = 0; i < 27; ++i) {
      const auto near =
          counts.find({cell[0] + i % 3 - 1, cell[1] + i / 3 % 3 - 1, cell[2] + i / 9 - 1});
      if (near != counts.end()) around += near->second;
    }
    if (around > most) {
      most = around;
      best = cell;
    }
  }
  return {best[0] * 2 + 1.0, best[1] * 2 + 1.0, best[2] * 2 + 1.0};
}

struct Model {
  Eigen::Vector3d centre;
  Eigen::Matrix3d covariance, inverse;

  double distance2(const Lab& lab) const {
    const Eigen::Vector3d d = Eigen::Vector3d(lab.L, lab.a, lab.b) - centre;
    return d.dot(inverse * d);
  }
};

Model model_of(const std::vector<Lab>& members, double widen) {
  Model model;
  model.centre.setZero();
  model.covariance.setZero();
  const auto n = static_cast<double>(members.size());
  for (const Lab& lab : members) model.centre += Eigen::Vector3d(lab.L, lab.a, lab.b) / n;
  for (const Lab& lab : members) {
    const Eigen::Vector3d d = Eigen::Vector3d(lab.L, lab.a, lab.b) - model.centre;
    model.covariance += d * d.transpose() / n;
  }
  // A drawn or posterised ground has no scatter at all; a tenth of a unit keeps it invertible.
  model.covariance = widen * model.covariance + 0.01 * Eigen::Matrix3d::Identity();
  model.inverse = model.covariance.inverse();
  return model;
}

Result<Model> find_ground(const std::vector<Lab>& samples, const Lab& start) {
  std::vector<Lab> members;
  for (const Lab& lab : samples)
    if (de_ab(lab, start) < 5) members.push_back(lab);
  Model model;
  for (int step = 0; step < 50; ++step) {
    if (members.size() * 10 < samples.size() || members.size() < 50)
      return bad_input(
          "no colour holds a tenth of the region, so there is no ground to speak of; "
          "choose a smaller region, or name the paper's colour with --near");
    model = model_of(members, step == 0 ? 1.5 : widening);
    std::vector<Lab> next;
    for (const Lab& lab : samples)
      if (model.distance2(lab) < cutoff) next.push_back(lab);
    if (next.size() == members.size()) break;
    members = std::move(next);
  }
  return model;
}

// What tells drawn lines, stains and paper apart: maintainers' figures, without a source.
constexpr double scatter_distance2 = 21.1;  // 99.99 % of a normal ground (chi-square, from memory)
constexpr double scatter_de_ab = 2;         // nor is what is so near to the paper called anything
constexpr double dark_share = 0.5, dark_dC = 8;
constexpr double stain_hue_from = 50, stain_hue_to = 110;

/// The paper's own noise, though beyond what its tone is taken from.
bool is_scatter(const Lab& lab, const Model& model, const Lab& ground) {
  return model.distance2(lab) < scatter_distance2 || de_ab(lab, ground) < scatter_de_ab;
}

double more_chroma(const Lab& lab, const Lab& ground) {
  return std::hypot(lab.a, lab.b) - std::hypot(ground.a, ground.b);
}

/// Darker than any stain of that little colour: a line itself, and not its edge.
bool is_line(const Lab& lab, const Lab& ground) {
  return lab.L < dark_share * ground.L && more_chroma(lab, ground) < dark_dC;
}

Foreign::Kind kind_of(const Lab& lab, const Lab& ground) {
  const double dL = lab.L - ground.L, dC = more_chroma(lab, ground);
  if (dL > 0 && dC < 4) return Foreign::Kind::lighter;
  if (is_line(lab, ground)) return Foreign::Kind::ink;
  // Ink takes the paper's yellow with its light; a stain deepens it.
  if (dL < 0 && dC < 0.05 * dL) return Foreign::Kind::ink;
  const double hue = std::atan2(lab.b, lab.a) * 180 / std::acos(-1.0);
  if (dL < 0 && hue > stain_hue_from && hue < stain_hue_to) return Foreign::Kind::stain;
  return Foreign::Kind::other;
}

/// A pixel on the edge of a line holds light of both. Whether this one does: whether it lies within
/// the paper's scatter of the mixture that is as light.
bool is_edge(const Lab& lab, const Lab& line, const Model& model, const Lab& ground) {
  const Xyz paper = lab_to_xyz(ground, image_white), dark = lab_to_xyz(line, image_white);
  const double t = (lab_to_xyz(lab, image_white).Y - dark.Y) / (paper.Y - dark.Y);
  if (!(t >= 0 && t <= 1)) return false;
  const Lab mixed = xyz_to_lab({dark.X + t * (paper.X - dark.X), dark.Y + t * (paper.Y - dark.Y),
                                dark.Z + t * (paper.Z - dark.Z)},
                               image_white);
  const Eigen::Vector3d from_mixed(lab.L - mixed.L, lab.a - mixed.a, lab.b - mixed.b);
  return from_mixed.dot(model.inverse * from_mixed) < cutoff;
}

std::vector<Foreign> foreign_of(const std::vector<Lab>& samples, const Model& model,
                                const Lab& ground) {
  std::vector<Lab> beyond, lines;
  for (const Lab& lab : samples) {
    if (model.distance2(lab) < cutoff || is_scatter(lab, model, ground)) continue;
    beyond.push_back(lab);
    if (is_line(lab, ground)) lines.push_back(lab);
  }
  std::optional<Lab> line;
  if (!lines.empty()) line = median_of(lines);
  std::map<Foreign::Kind, std::vector<Lab>> kinds;
  for (const Lab& lab : beyond) {
    const bool edge = line && is_edge(lab, *line, model, ground);
    kinds[edge ? Foreign::Kind::ink : kind_of(lab, ground)].push_back(lab);
  }
  std::vector<Foreign> all;
  for (const auto& [kind, members] : kinds) {
    const double share = static_cast<double>(members.size()) / static_cast<double>(samples.size());
    if (share >= 0.001) all.push_back({kind, share, median_of(members)});
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const Foreign& p, const Foreign& q) { return p.share > q.share; });
  return all;
}

struct Grain {
  double X = 0, Y = 0, Z = 0;
  std::size_t ground = 0, all = 0;
};

/// The ground's mean light in squares of the grain's size, where at least half is ground.
Result<std::vector<WeightedLab>> grains_of(RowReader& picture, const Region& region,
                                           const Model& model, double grain_px) {
  const int size = std::max(1, static_cast<int>(std::lround(grain_px)));
  std::map<std::pair<int, int>, Grain> open;
  std::vector<WeightedLab> grains;
  const auto close = [&](const Grain& g) {
    if (g.ground * 2 < g.all ||
        g.all * 4 < static_cast<std::size_t>(size) * static_cast<std::size_t>(size))
      return;
    const auto n = static_cast<double>(g.ground);
    grains.push_back(
        {xyz_to_lab({g.X / n * image_white.X, g.Y / n * image_white.Y, g.Z / n * image_white.Z},
                    image_white),
         n});
  };
  int row = region.y0 / size;
  MENDTONE_TRY(each_row(picture, region, [&](int y, const auto& spans, const LabPixels& lab) {
    if (y / size != row) {
      for (const auto& [place, grain] : open) close(grain);
      open.clear();
      row = y / size;
    }
    for (const Span& span : spans)
      for (int x = span.x0; x < span.x1; ++x) {
        const auto i = static_cast<std::size_t>(x);
        Grain& g = open[{row, x / size}];
        ++g.all;
        if (model.distance2({lab.L[i], lab.a[i], lab.b[i]}) >= cutoff) continue;
        float X = lab.L[i], Y = lab.a[i], Z = lab.b[i];
        lab_to_relative_xyz(&X, &Y, &Z, 1);
        g.X += X;
        g.Y += Y;
        g.Z += Z;
        ++g.ground;
      }
  }));
  for (const auto& [place, grain] : open) close(grain);
  return grains;
}

}  // namespace

std::string_view name_of(Foreign::Kind kind) {
  switch (kind) {
    case Foreign::Kind::ink:
      return "ink";
    case Foreign::Kind::stain:
      return "stain";
    case Foreign::Kind::lighter:
      return "lighter";
    case Foreign::Kind::other:
      break;
  }
  return "other";
}

Result<GroundAnalysis> analyse_ground(RowReader& picture, const Region& region,
                                      const GroundOptions& options) {
  GroundAnalysis result;
  result.region = region.name;
  result.pixels = region.pixels();
  if (result.pixels < 200)
    return bad_input("'" + region.name + "' has " + std::to_string(result.pixels) +
                     " pixels; at least 200 are needed to tell paper from ink");
  auto samples = MENDTONE_TRY(sample(picture, region));
  result.sampled = samples.size();
  auto model = find_ground(samples, options.near.value_or(commonest(samples)));
  if (!model) return bad_input("'" + region.name + "': " + model.error().message);

  std::vector<Lab> members;
  for (const Lab& lab : samples)
    if (model->distance2(lab) < cutoff) members.push_back(lab);
  Ground& ground = result.ground;
  ground.median = median_of(members);
  for (int i = 0; i < 9; ++i)
    ground.covariance[static_cast<std::size_t>(i)] = model->covariance(i / 3, i % 3);
  ground.share = static_cast<double>(members.size()) / static_cast<double>(samples.size());
  std::vector<double> distance;
  for (const Lab& lab : members) distance.push_back(de00(ground.median, lab));
  std::sort(distance.begin(), distance.end());
  ground.spread_de00 = distance[distance.size() / 2];
  ground.p90_de00 = distance[distance.size() * 9 / 10];
  result.foreign = foreign_of(samples, *model, ground.median);

  auto grains = MENDTONE_TRY(grains_of(picture, region, *model, options.grain_px));
  result.grains = grains.size();
  // Too narrow a region for the grain asked for: the ground is its own and only tone.
  if (grains.empty()) grains.push_back({ground.median, 1});
  result.tones =
      mottle_tones(grains, options.tones_at_most, options.tone_step_de00, result.within_de00);
  return result;
}

}  // namespace mendtone
