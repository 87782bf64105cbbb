#include "mendtone/adapters/mask_file.hpp"

#include <algorithm>

#include "adapters/picture_source.hpp"

namespace mendtone {

namespace {

struct Mask {
  std::unique_ptr<pictures::Source> source;
  pictures::PageFacts page;
  ImageSize size() const { return {page.width, page.height}; }
};

Result<Mask> open_mask(const std::string& path) {
  auto source = pictures::Source::open(path, false);
  if (!source) return source.error();
  auto page = (*source)->page(0);
  if (!page) return page.error();
  if (page->orientation != 1)
    return bad_input("the mask is stored turned or mirrored; save it upright", path);
  return Mask{*std::move(source), *std::move(page)};
}

/// The runs of white in one row.
std::vector<Span> white_runs(const unsigned char* row, int width) {
  std::vector<Span> runs;
  for (int x = 0; x < width;) {
    while (x < width && row[x] < 128) ++x;
    const int start = x;
    while (x < width && row[x] >= 128) ++x;
    if (x > start) runs.push_back({start, x});
  }
  return runs;
}

Result<Region> region_of(const Mask& mask, const std::string& name, const std::string& path) {
  const ImageSize size = mask.size();
  Region region{name, 0, {}};
  constexpr int at_once = 64;
  std::vector<unsigned char> rows(static_cast<std::size_t>(size.width) * at_once);
  for (int y = 0; y < size.height; y += at_once) {
    const int end = std::min(size.height, y + at_once);
    if (auto read = mask.source->rows(mask.page, 0, y, end, 1, pictures::Sample::u8, rows.data());
        !read)
      return Error{read.error().code,
                   "the mask ends early or is damaged (" + read.error().message + ")", path};
    for (int r = 0; r < end - y; ++r)
      region.rows.push_back(
          white_runs(rows.data() + static_cast<std::ptrdiff_t>(r) * size.width, size.width));
  }
  if (region.empty()) return bad_input("the mask holds no white pixel, so nothing is inside", path);
  return region;
}

}  // namespace

Result<ImageSize> mask_size(const std::string& path) {
  auto mask = open_mask(path);
  if (!mask) return mask.error();
  return mask->size();
}

Result<Region> read_mask(const std::string& path, const std::string& name, ImageSize picture) {
  auto mask = open_mask(path);
  if (!mask) return mask.error();
  const ImageSize size = mask->size();
  if (size != picture)
    return bad_input("the mask has " + std::to_string(size.width) + " x " +
                         std::to_string(size.height) + " pixels, the photograph " +
                         std::to_string(picture.width) + " x " + std::to_string(picture.height),
                     path);
  return region_of(*mask, name, path);
}

Result<std::vector<Point>> mask_outline(const std::string& path) {
  auto mask = open_mask(path);
  if (!mask) return mask.error();
  const auto region = region_of(*mask, "", path);
  if (!region) return region.error();
  const ImageSize size = mask->size();
  auto session = pictures::Session::start(path);
  if (!session) return session.error();
  auto memory = (*session)->memory(size.pixels());
  if (!memory) return memory.error();
  for (std::size_t r = 0; r < region->rows.size(); ++r)
    for (const Span& run : region->rows[r])
      std::fill(*memory + r * static_cast<std::size_t>(size.width) + run.x0,
                *memory + r * static_cast<std::size_t>(size.width) + run.x1, 255);
  pictures::Packer request = pictures::asking(pictures::Ask::outline);
  request(std::int32_t{size.width});
  request(std::int32_t{size.height});
  auto reply = (*session)->ask(request);
  if (!reply) return reply.error();
  pictures::Unpacker in(*reply);
  std::vector<Point> outline;
  for (auto left = in.take<std::uint64_t>(); left > 0 && in.sound; --left) {
    const auto x = in.take<std::int32_t>(), y = in.take<std::int32_t>();
    if (in.sound) outline.push_back({static_cast<double>(x), static_cast<double>(y)});
  }
  return outline;
}

}  // namespace mendtone
