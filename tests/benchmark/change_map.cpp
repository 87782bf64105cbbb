// The change map of two photographs: the program's `image change` against libvips' `vips dE00`
// (Debian's libvips-tools) on the same two files, each writing CIEDE2000 of every pixel as a TIFF
// of floats. Both run as programs of their own, so that their peak memory can be told.
// MENDTONE_MEGAPIXELS sets the size, 48 being the default.
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "benchmark/run_program.hpp"
#include "mendtone/adapters/icc.hpp"
#include "mendtone/adapters/picture_file.hpp"

namespace {

using namespace mendtone;

/// A folder of its own, gone at the end.
struct Folder {
  std::string path;
  Folder() {
    std::string name = (std::filesystem::temp_directory_path() / "mendtone-XXXXXX").string();
    path = mkdtemp(name.data());
  }
  ~Folder() { std::filesystem::remove_all(path); }
};

/// Aged paper with texture, a grey scale along the lower edge; `later`: a little paler, and
/// stained.
void draw_row(int y, ImageSize size, bool later, std::vector<std::uint16_t>& row) {
  std::uint64_t noise = 0x9e3779b97f4a7c15u * (static_cast<std::uint64_t>(y) * 2 + later + 1);
  const bool grey = y > size.height * 9 / 10;
  const int stain = later ? 2500 : 0;
  for (int x = 0; x < size.width; ++x)
    for (std::size_t c = 0; c < 3; ++c) {
      noise ^= noise << 13, noise ^= noise >> 7, noise ^= noise << 17;
      const int texture = static_cast<int>(noise >> 54) - 512;
      const int base = grey ? 4000 + x * 56000 / size.width
                            : (c == 0   ? 56500
                               : c == 1 ? 53500
                                        : 47000) +
                                  (later ? 300 : 0) - ((x / 512 + y / 512) % 7 == 0 ? stain : 0);
      row[3 * static_cast<std::size_t>(x) + c] = static_cast<std::uint16_t>(base + texture);
    }
}

struct Pair {
  Folder folder;
  ImageSize size;
  std::string before, after, values;

  Pair() {
    const char* asked = std::getenv("MENDTONE_MEGAPIXELS");
    const int megapixels = asked ? std::max(1, std::atoi(asked)) : 48;
    size = {8000, megapixels * 125};
    before = folder.path + "/before.tif";
    after = folder.path + "/after.tif";
    values = folder.path + "/values.tif";
    for (const bool later : {false, true}) {
      auto writer = PictureWriter::create(later ? after : before, size, 3, false,
                                          {srgb_profile(), 12.0, {}, PictureTags::Packing::none});
      std::vector<std::uint16_t> row(3 * static_cast<std::size_t>(size.width));
      for (int y = 0; writer && y < size.height; ++y) {
        draw_row(y, size, later, row);
        if (!(*writer)->rows(row.data(), 1)) std::abort();
      }
      if (!writer || !(*writer)->finish()) std::abort();
    }
  }
};

const Pair& pair() {
  static const Pair made;
  return made;
}

void run(benchmark::State& state, const std::vector<std::string>& command) {
  programs::run_program(state, command);
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(pair().size.pixels()));
}

void ours(benchmark::State& state) {
  const Pair& p = pair();
  run(state, {MENDTONE_PROGRAM, "image", "change", p.before, p.after, "--align", "none", "--values",
              p.values, "--force"});
}

void libvips(benchmark::State& state) {
  const Pair& p = pair();
  run(state, {"vips", "dE00", p.before, p.after, p.values});
}

}  // namespace

BENCHMARK(ours)->Name("change_map/mendtone")->UseManualTime()->Unit(benchmark::kSecond);
BENCHMARK(libvips)->Name("change_map/libvips")->UseManualTime()->Unit(benchmark::kSecond);
