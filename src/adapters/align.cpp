#include "mendtone/adapters/align.hpp"

#include <algorithm>
#include <cmath>

#include "adapters/picture_helper.hpp"
#include "mendtone/imaging/reduced.hpp"

namespace mendtone {
namespace {

using pictures::Ask;
using pictures::asking;
using pictures::Packer;
using pictures::Session;
using pictures::Unpacker;

constexpr int small_side = 1000, least_blocks = 12;
constexpr std::size_t most_band_pixels = 40'000'000;

/// Planes of L* in memory that the helper sees, one behind the other.
class Planes {
 public:
  static Result<Planes> make(Session& session, std::size_t pixels) {
    auto memory = session.memory(pixels * sizeof(float));
    if (!memory) return memory.error();
    return Planes(reinterpret_cast<float*>(*memory));
  }
  float* next(std::size_t pixels) {
    float* const place = next_;
    next_ += pixels;
    return place;
  }

 private:
  explicit Planes(float* first) : next_(first) {}
  float* next_;
};

void add_size(Packer& request, ImageSize size) {
  request(std::int32_t{size.width});
  request(std::int32_t{size.height});
}

/// What is over at the right and below is left out.
ImageSize reduced_size(ImageSize size, int factor) {
  return {size.width / factor, size.height / factor};
}

/// L* of the picture made `factor` times smaller.
Result<void> lightness(RowReader& picture, int factor, float* to) {
  const ImageSize size = reduced_size(picture.size(), factor);
  const auto small = reduced(picture, {0, 0, {size.width * factor, size.height * factor}}, factor);
  if (!small) return small.error();
  std::copy(small->lab.L.begin(), small->lab.L.end(), to);
  return {};
}

/// The coarse map in full-size pixels. Cell centres: x = factor (X + 1/2) - 1/2.
PlaneMap full_size(const std::array<double, 6>& m, int factor) {
  const double h = (factor - 1) / 2.0;
  PlaneMap map;
  for (std::size_t r = 0; r < 6; r += 3) {
    const double a = m[r], b = m[r + 1], c = m[r + 2];
    map.m[r] = a;
    map.m[r + 1] = b;
    map.m[r + 2] = c * factor + h - (a + b) * h;
  }
  return map;
}

/// Both pictures made small, laid on each other by the helper.
Result<PlaneMap> coarse(Session& session, RowReader& before, RowReader& after) {
  const auto longest = [](ImageSize s) { return std::max(s.width, s.height); };
  const int factor =
      std::max(1, std::max(longest(before.size()), longest(after.size())) / small_side);
  const ImageSize one = reduced_size(before.size(), factor),
                  two = reduced_size(after.size(), factor);
  auto planes = Planes::make(session, one.pixels() + two.pixels());
  if (!planes) return planes.error();
  if (auto done = lightness(before, factor, planes->next(one.pixels())); !done) return done.error();
  if (auto done = lightness(after, factor, planes->next(two.pixels())); !done) return done.error();
  Packer request = asking(Ask::coarse);
  add_size(request, one);
  add_size(request, two);
  auto reply = session.ask(request);
  if (!reply) return reply.error();
  Unpacker in(*reply);
  const bool found = in.take<std::uint64_t>() == 1;
  std::array<double, 6> map{};
  if (found)
    for (double& value : map) in(value);
  if (found && in.sound) return full_size(map, factor);
  return bad_input(
      "the two photographs do not look enough alike to be laid on each other; name "
      "the same places in both with --points");
}

/// L* of rows y0 … y1 of a picture.
Result<void> band(RowReader& picture, int y0, int y1, float* to) {
  const int width = picture.size().width;
  CodedRows rows;
  LabPixels lab;
  constexpr int at_once = 64;
  for (int y = y0; y < y1; y += at_once) {
    const int end = std::min(y1, y + at_once);
    if (auto read = picture.read(y, end, rows); !read) return read.error();
    to_lab(picture.transform(), rows, lab);
    to = std::copy_n(lab.L.data(), static_cast<std::ptrdiff_t>(end - y) * width, to);
  }
  return {};
}

struct Grid {
  int block, columns, rows;
};
Grid grid_of(ImageSize size) {
  const int block = std::clamp(std::min(size.width, size.height) / 6, 48, 256);
  return {block, std::clamp(size.width / block, 2, 12), std::clamp(size.height / block, 2, 12)};
}

/// The rows of the after picture in which `count` rows of the before one lie.
struct RowsThere {
  int from, to;
};
RowsThere rows_there(const PlaneMap& map, ImageSize size, int y0, int count, ImageSize other) {
  double low = other.height, high = 0;
  for (const double x : {0.0, size.width - 1.0})
    for (const double y : {double(y0), double(y0 + count)}) {
      const double v = map({x, y}).y;
      low = std::min(low, v);
      high = std::max(high, v);
    }
  return {static_cast<int>(std::clamp(low - 3, 0.0, double(other.height))),
          static_cast<int>(std::clamp(high + 3, 0.0, double(other.height)))};
}

Result<void> add_pairs(const std::string& reply, const PlaneMap& map,
                       std::vector<PointPair>& pairs) {
  Unpacker in(reply);
  for (auto left = in.take<std::uint64_t>(); left > 0; --left) {
    const auto x = in.take<double>(), y = in.take<double>(), dx = in.take<double>(),
               dy = in.take<double>();
    if (!in.sound) return bad_input("the helper for pictures gave an answer without an end");
    pairs.push_back({{x, y}, map({x + dx, y + dy})});
  }
  return {};
}

/// The blocks of one row of the grid, compared by the helper.
Result<void> pairs_of_row(Session& session, RowReader& before, RowReader& after,
                          const PlaneMap& map, const Grid& grid, int y0,
                          std::vector<PointPair>& pairs) {
  const ImageSize size = before.size(), other = after.size();
  const RowsThere there = rows_there(map, size, y0, grid.block, other);
  if (there.to - there.from < grid.block / 2) return {};
  const ImageSize one{size.width, grid.block}, two{other.width, there.to - there.from};
  if (two.pixels() > most_band_pixels)
    return bad_input(
        "the after photograph is turned too far against the before one; turn it "
        "upright first");
  auto planes = Planes::make(session, one.pixels() + two.pixels());
  if (!planes) return planes.error();
  if (auto read = band(before, y0, y0 + grid.block, planes->next(one.pixels())); !read) return read;
  if (auto read = band(after, there.from, there.to, planes->next(two.pixels())); !read) return read;
  Packer request = asking(Ask::blocks);
  add_size(request, one);
  add_size(request, two);
  for (const int number : {grid.block, grid.columns, y0, there.from}) request(std::int32_t{number});
  for (std::size_t i = 0; i < 6; ++i) request(map.m[i]);
  auto reply = session.ask(request);
  if (!reply) return reply.error();
  return add_pairs(*reply, map, pairs);
}

Result<std::vector<PointPair>> block_pairs(Session& session, RowReader& before, RowReader& after,
                                           const PlaneMap& map) {
  const Grid grid = grid_of(before.size());
  std::vector<PointPair> pairs;
  for (int row = 0; row < grid.rows; ++row) {
    const int y0 = (before.size().height - grid.block) * row / (grid.rows - 1);
    if (auto done = pairs_of_row(session, before, after, map, grid, y0, pairs); !done)
      return done.error();
  }
  return pairs;
}

}  // namespace

Result<Registration> align(RowReader& before, RowReader& after, Alignment alignment) {
  if (std::min({before.size().width, before.size().height, after.size().width,
                after.size().height}) < 96)
    return bad_input("a photograph below 96 pixels cannot be aligned by itself");
  auto session = Session::start("the two photographs");
  if (!session) return session.error();
  auto start = coarse(**session, before, after);
  if (!start) return start.error();
  PlaneMap map = *start;
  Result<Registration> found = bad_input("not aligned");
  // The second round starts from blocks that already overlap.
  for (int round = 0; round < 2; ++round) {
    auto pairs = block_pairs(**session, before, after, map);
    if (!pairs) return pairs.error();
    if (pairs->size() < least_blocks)
      return bad_input("only " + std::to_string(pairs->size()) + " of at least " +
                       std::to_string(least_blocks) +
                       " places in the photographs could be found in both; name the same places "
                       "in both with --points");
    found = register_robustly(*pairs, round == 0 ? Alignment::affine : alignment);
    if (!found) return found;
    if (round == 0) map = found->after_from_before;
  }
  return found;
}

}  // namespace mendtone
