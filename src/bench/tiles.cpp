#include "bench/tiles.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <vector>

#include "mendtone/adapters/photograph.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/imaging/pyramid.hpp"
#include "mendtone/imaging/reduced.hpp"

namespace mendtone::bench {
namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t most_bytes = std::uintmax_t{8} << 30;

/// What the file of levels begins with.
struct Header {
  std::array<char, 8> mark{'m', 't', 't', 'i', 'l', 'e', 's', '1'};
  std::int32_t width = 0, height = 0;
  std::int32_t levels = 0;
  std::int32_t first = 0;  ///< the first level that is kept
};

struct File {
  int fd = -1;
  explicit File(int descriptor) : fd(descriptor) {}
  ~File() {
    if (fd >= 0) ::close(fd);
  }
  File(const File&) = delete;
  File& operator=(const File&) = delete;
};

Error fault(const std::string& what, const std::string& path) {
  return outside_world(what + ": " + std::strerror(errno), path);
}

bool read_at(int fd, void* to, std::size_t size, std::size_t from) {
  return ::pread(fd, to, size, static_cast<off_t>(from)) == static_cast<ssize_t>(size);
}

/// Where a level's rows begin in the file.
std::size_t level_start(const Header& header, int level) {
  std::size_t start = sizeof(Header);
  for (int one = header.first; one < level; ++one)
    start += 3 * level_size({header.width, header.height}, one).pixels();
  return start;
}

struct Cut {
  int x0 = 0, y0 = 0;
  ImageSize size;
};

Result<Cut> cut_of(const Header& header, int level, int x, int y) {
  const ImageSize whole = level_size({header.width, header.height}, std::clamp(level, 0, 30));
  const bool there = level >= 0 && level < header.levels && x >= 0 && y >= 0 &&
                     x <= (whole.width - 1) / tile_px && y <= (whole.height - 1) / tile_px;
  if (!there) return bad_input("the photograph has no such tile");
  const int x0 = x * tile_px, y0 = y * tile_px;
  return Cut{x0, y0, {std::min(tile_px, whole.width - x0), std::min(tile_px, whole.height - y0)}};
}

Result<std::string> cut_from_levels(int fd, const Header& header, int level, const Cut& cut) {
  const auto width =
      static_cast<std::size_t>(level_size({header.width, header.height}, level).width);
  std::vector<std::uint8_t> rgb(3 * cut.size.pixels());
  const std::size_t row = 3 * static_cast<std::size_t>(cut.size.width);
  for (int y = 0; y < cut.size.height; ++y) {
    const std::size_t from =
        level_start(header, level) +
        3 * (static_cast<std::size_t>(cut.y0 + y) * width + static_cast<std::size_t>(cut.x0));
    if (!read_at(fd, rgb.data() + static_cast<std::size_t>(y) * row, row, from))
      return outside_world("the picture made for the screen is cut short; delete it");
  }
  return screen_png(rgb.data(), cut.size);
}

Result<std::string> cut_from_photograph(const std::string& path, const Cut& cut,
                                        const ScreenPixels& pixels) {
  auto photograph = Photograph::open(path, {{}, 0, true});
  if (!photograph) return photograph.error();
  auto part = reduced(**photograph, {cut.x0, cut.y0, cut.size}, 1);
  if (!part) return part.error();
  std::vector<std::uint8_t> rgb(3 * cut.size.pixels());
  pixels.convert(part->lab.L.data(), part->lab.a.data(), part->lab.b.data(), cut.size.pixels(),
                 rgb.data());
  return screen_png(rgb.data(), cut.size);
}

/// Whether a part in the middle can be read without all that comes before it.
bool can_be_entered_anywhere(const PhotographFacts& facts) {
  return facts.orientation == 1 && (facts.format == "TIFF" || facts.format == "EXR");
}

/// Rows of all levels into their places of one file.
class LevelsWriter {
 public:
  LevelsWriter(int fd, const Header& header, const ScreenPixels& pixels)
      : fd_(fd), header_(header), pixels_(pixels) {}

  Result<void> put(int level, int y, const LabPixels& row) {
    if (level < header_.first) return {};
    lab_ = row;
    rgb_.resize(3 * row.size());
    pixels_.convert(lab_.L.data(), lab_.a.data(), lab_.b.data(), row.size(), rgb_.data());
    const std::size_t at = level_start(header_, level) + static_cast<std::size_t>(y) * rgb_.size();
    const ssize_t written = ::pwrite(fd_, rgb_.data(), rgb_.size(), static_cast<off_t>(at));
    if (written == static_cast<ssize_t>(rgb_.size())) return {};
    if (written >= 0) errno = ENOSPC;
    return outside_world(std::string("the picture for the screen cannot be kept: ") +
                         std::strerror(errno));
  }

 private:
  int fd_;
  const Header& header_;
  const ScreenPixels& pixels_;
  LabPixels lab_;
  std::vector<std::uint8_t> rgb_;
};

Result<void> check_unchanged(const EnteredPhotograph& photograph) {
  auto now = sha256_of_file(photograph.path);
  if (!now) return now.error();
  if (*now == photograph.sha256) return {};
  return bad_input("this file was changed since it was entered in the record", photograph.path);
}

}  // namespace

void Tiles::make_room() const {
  struct Kept {
    fs::path path;
    std::uintmax_t bytes;
    fs::file_time_type used;
  };
  std::vector<Kept> all;
  std::uintmax_t total = 0;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator(folder_, ignored)) {
    if (entry.path().extension() != ".levels") continue;
    all.push_back({entry.path(), entry.file_size(ignored), entry.last_write_time(ignored)});
    total += all.back().bytes;
  }
  std::sort(all.begin(), all.end(),
            [](const Kept& one, const Kept& other) { return one.used < other.used; });
  for (std::size_t i = 0; i < all.size() && total > most_bytes; ++i) {
    fs::remove(all[i].path, ignored);
    total -= all[i].bytes;
  }
}

Result<void> Tiles::make(const EnteredPhotograph& photograph, const std::string& file) const {
  if (auto same = check_unchanged(photograph); !same) return same;
  auto opened = Photograph::open(photograph.path, {{}, 0, true});
  if (!opened) return opened.error();
  const ImageSize size = (*opened)->size();
  Header header;
  header.width = size.width;
  header.height = size.height;
  header.levels = level_count(size, tile_px);
  header.first = can_be_entered_anywhere((*opened)->facts()) ? 1 : 0;
  std::error_code code;
  fs::create_directories(folder_, code);
  make_room();
  std::string temporary = file + ".XXXXXX";
  const File out(::mkostemp(temporary.data(), O_CLOEXEC));
  if (out.fd < 0) return fault("the picture for the screen cannot be kept", folder_);
  ::flock(out.fd, LOCK_EX | LOCK_NB);  // what is not locked is swept away at the next start
  LevelsWriter writer(out.fd, header, pixels_);
  auto done = pyramid(**opened, header.levels, [&](int level, int y, const LabPixels& row) {
    return writer.put(level, y, row);
  });
  if (done && ::pwrite(out.fd, &header, sizeof header, 0) != sizeof header)
    done = fault("the picture for the screen cannot be kept", folder_);
  if (done && ::rename(temporary.c_str(), file.c_str()) != 0)
    done = fault("the picture for the screen cannot be kept", folder_);
  if (!done) ::unlink(temporary.c_str());
  return done;
}

/// The file of levels; whoever asks for the same photograph meanwhile waits.
Result<std::string> Tiles::made(const EnteredPhotograph& photograph) {
  const std::string file = folder_ + "/" + photograph.sha256 + ".levels";
  std::shared_ptr<std::mutex> making;
  {
    const std::lock_guard lock(mutex_);
    auto& one = making_[photograph.sha256];
    if (!one) one = std::make_shared<std::mutex>();
    making = one;
  }
  const std::lock_guard lock(*making);
  std::error_code ignored;
  if (fs::exists(file, ignored)) return file;
  if (auto done = make(photograph, file); !done) return done.error();
  return file;
}

Result<std::string> Tiles::png(const EnteredPhotograph& photograph, int level, int x, int y) {
  auto file = made(photograph);
  if (!file) return file.error();
  const File levels(::open(file->c_str(), O_RDONLY | O_CLOEXEC));
  Header header;
  const Header sound;
  if (levels.fd < 0 || !read_at(levels.fd, &header, sizeof header, 0) || header.mark != sound.mark)
    return outside_world("the picture made for the screen cannot be read; delete it", *file);
  auto cut = cut_of(header, level, x, y);
  if (!cut) return cut.error();
  return level < header.first ? cut_from_photograph(photograph.path, *cut, pixels_)
                              : cut_from_levels(levels.fd, header, level, *cut);
}

}  // namespace mendtone::bench
