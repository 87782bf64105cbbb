// Sends the photons that tests/photons/tables are made of:
//   make_photon_tables FOLDER PHOTONS THREADS
// PHOTONS for the beam at 45 degrees, fewer for the rest; 8000000 made the tables that are kept,
// in three minutes of one core. The same arguments but THREADS give the same files.

#include <array>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <string>
#include <thread>

#include "photons/sent.hpp"
#include "photons/tables.hpp"

namespace mendtone::photons {
namespace {

constexpr std::uint64_t seed = 20;
/// Few photons meet anything in a thin slab: each is walked alone, where all are made to; a quarter
/// of the photons will do. Deep slabs cost the longest walks: they get a third.
constexpr double thin_below = 0.4, deep_from = 2.5;
/// A reading's noise is most of a beam at 45 degrees; what only d:8 asks for gets least.
std::size_t share_of(std::size_t photons, Beam beam) {
  return beam == Beam::at_45 ? photons : beam == Beam::at_8 ? photons / 4 : photons / 2;
}

void in_threads(std::size_t threads, std::vector<std::function<void()>> work) {
  std::atomic<std::size_t> next{0};
  const auto worker = [&] {
    for (std::size_t i = next++; i < work.size(); i = next++) work[i]();
  };
  std::vector<std::thread> all;
  for (std::size_t t = 0; t < threads; ++t) all.emplace_back(worker);
  for (std::thread& t : all) t.join();
}

std::vector<double> nodes_of(const Axis& axis, double from, double to, double scale) {
  std::vector<double> nodes;
  for (std::size_t i = 0; i < axis.nodes; ++i)
    if (axis.node(i) >= from && axis.node(i) < to) nodes.push_back(axis.node(i) * scale);
  return nodes;
}

/// One beam through slabs of one stuff: a tally for each depth of the axis.
struct Beams {
  std::vector<PathLengths> back, through, read;

  void add(const Tally& more) {
    const auto each = [](std::vector<PathLengths>& to, const std::vector<PathLengths>& from) {
      to.insert(to.end(), from.begin(), from.end());
    };
    each(back, more.back);
    each(through, more.through);
    each(read, more.read);
  }
};

/// `by`: a depth for each unit of the axis.
Beams send(const Axis& axis, double by, double g, double index, Beam beam, std::size_t photons) {
  const auto stream = static_cast<std::uint64_t>(beam);
  const std::size_t count = share_of(photons, beam);
  Beams all;
  const auto alone = [&](double from, double to, std::size_t each) {
    for (double depth : nodes_of(axis, from, to, by))
      all.add(walk({g, index, {depth}}, beam, each, seed, stream));
  };
  alone(0, thin_below, count / 4);
  if (beam == Beam::from_backing) {
    alone(thin_below, 1e9, count / 4);
    return all;
  }
  const auto together = [&](double from, double to, std::size_t each, std::uint64_t own) {
    all.add(walk({g, index, nodes_of(axis, from, to, by)}, beam, each, seed, stream + own));
  };
  together(thin_below, deep_from, count, 0);
  together(deep_from, 1e9, count / 3, 16);
  return all;
}

using Rows = std::string;

void add_row(Rows& rows, double g, double depth, const Column& column, const Axis& absorption,
             const PathLengths& lengths, double factor) {
  char text[64];
  std::snprintf(text, sizeof text, "%.6g,%.6g,%s", g, depth, std::string(column.name).c_str());
  rows += text;
  for (std::size_t j = 0; j < absorption.nodes; ++j) {
    const double share = factor * lengths.left(absorption.node(j) / depth);
    std::snprintf(text, sizeof text, ",%.5f",
                  std::log(column.per_depth ? share / (depth * (1 - g)) : share));
    rows += text;
  }
  rows += '\n';
}

void add_sheets(Rows& rows, double g, const Beams& at_45, const Beams& at_0, const Beams& at_8,
                const Beams& diffuse) {
  for (std::size_t k = 0; k < reduced_depth.nodes; ++k) {
    const double depth = reduced_depth.node(k) / (1 - g);
    const PathLengths* of[] = {&at_45.read[k],     &at_45.through[k], &at_0.through[k],
                               &at_8.back[k],      &at_8.through[k],  &diffuse.back[k],
                               &diffuse.through[k]};
    for (std::size_t c = 0; c < sheet_columns.size(); ++c)
      add_row(rows, g, depth, sheet_columns[c], sheet_absorption, *of[c], 1);
  }
}

Rows sheets(std::size_t photons, std::size_t threads) {
  constexpr Beam beams[] = {Beam::at_45, Beam::at_0, Beam::at_8, Beam::diffuse};
  std::vector<std::array<Beams, 4>> sent(asymmetry_nodes.size());
  std::vector<std::function<void()>> work;
  for (std::size_t i = asymmetry_nodes.size(); i-- > 0;)
    for (std::size_t b = 0; b < 4; ++b)
      work.push_back([&sent, photons, i, b, beam = beams[b]] {
        sent[i][b] =
            send(reduced_depth, 1 / (1 - asymmetry_nodes[i]), asymmetry_nodes[i], 1, beam, photons);
        std::fprintf(stderr, "g %.3f beam %zu sent\n", asymmetry_nodes[i], b);
      });
  in_threads(threads, std::move(work));
  Rows rows;
  for (std::size_t i = 0; i < asymmetry_nodes.size(); ++i)
    add_sheets(rows, asymmetry_nodes[i], sent[i][0], sent[i][1], sent[i][2], sent[i][3]);
  return rows;
}

Rows films(std::size_t photons, std::size_t threads) {
  constexpr Beam beams[] = {Beam::at_45, Beam::at_0, Beam::from_backing};
  std::array<Beams, 3> sent;
  std::vector<std::function<void()>> work;
  for (std::size_t b = 0; b < 3; ++b)
    work.push_back([&sent, photons, b, beam = beams[b]] {
      sent[b] = send(film_depth, 1, film_asymmetry, film_index, beam, photons);
      std::fprintf(stderr, "films, beam %zu sent\n", b);
    });
  in_threads(threads, std::move(work));
  const auto& [at_45, at_0, from_backing] = sent;
  Rows rows;
  for (std::size_t k = 0; k < film_depth.nodes; ++k) {
    const double g = film_asymmetry, depth = film_depth.node(k);
    const double denser = film_index * film_index;
    add_row(rows, g, depth, film_columns[0], film_absorption, at_45.read[k], 1);
    add_row(rows, g, depth, film_columns[1], film_absorption, at_45.through[k], 1);
    add_row(rows, g, depth, film_columns[2], film_absorption, at_0.through[k], 1 / denser);
    add_row(rows, g, depth, film_columns[3], film_absorption, from_backing.back[k], 1);
  }
  return rows;
}

bool write(const std::string& path, const std::string& what, const Axis& absorption,
           std::size_t photons, const Rows& rows) {
  std::ofstream out(path, std::ios::binary);
  out << "# " << what << ", made by make_photon_tables with " << photons
      << " photons. Computed, nothing was read.\n"
         "# Natural logarithms of shares of the light (of 'read', and of 'back' of sheets, "
         "of the share divided by depth (1 - asymmetry)).\n"
         "asymmetry,scattering depth,share";
  char text[32];
  for (std::size_t j = 0; j < absorption.nodes; ++j) {
    std::snprintf(text, sizeof text, ",absorbed %.5g", absorption.node(j));
    out << text;
  }
  out << '\n' << rows;
  return out.good();
}

}  // namespace
}  // namespace mendtone::photons

int main(int argc, char** argv) {
  using namespace mendtone::photons;
  if (argc != 4) {
    std::fprintf(stderr, "make_photon_tables FOLDER PHOTONS THREADS\n");
    return 2;
  }
  const std::string folder = argv[1];
  const std::size_t count = std::strtoull(argv[2], nullptr, 10);
  const std::size_t threads = std::strtoull(argv[3], nullptr, 10);
  if (count < 1000 || threads < 1) {
    std::fprintf(stderr, "At least 1000 photons and one thread\n");
    return 2;
  }
  const bool kept = write(folder + "/films.csv", "Films under a smooth face", film_absorption,
                          count, films(count, threads)) &&
                    write(folder + "/sheets.csv", "Sheets without a face", sheet_absorption, count,
                          sheets(count, threads));
  if (!kept) std::fprintf(stderr, "%s: cannot write there\n", folder.c_str());
  return kept ? 0 : 4;
}
