#include "mendtone/adapters/picture_file.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cassert>
#include <cerrno>
#include <cstring>
#include <filesystem>

#include "adapters/picture_writers.hpp"

namespace mendtone {

struct PictureWriter::State {
  std::string path, temporary;
  int file = -1;
  std::unique_ptr<RowsWriter> output;
  int next_row = 0, height = 0;
  bool in_place = false;

  ~State() {
    output.reset();
    if (file >= 0) ::close(file);
    if (!in_place && !temporary.empty()) ::unlink(temporary.c_str());
  }
  Error fault() const {
    return outside_world(
        std::string("cannot write the picture: ") + std::strerror(errno != 0 ? errno : EIO), path);
  }
};

namespace {

Result<std::string> kind_of(const std::string& path, bool is_float) {
  const std::string ending = std::filesystem::path(path).extension().string();
  if (ending == ".tif" || ending == ".tiff") return std::string("tif");
  if (ending == ".png" && !is_float) return std::string("png");
  return bad_request(is_float
                         ? "measured values are written as TIFF: expected a name ending in .tif"
                         : "expected a name ending in .png, .tif or .tiff",
                     path);
}

/// A new empty file beside the final one, of the permissions that the person's umask asks for.
Result<void> open_beside(const std::string& path, const std::string& ending, std::string& temporary,
                         int& file) {
  std::string name = path + ".XXXXXX." + ending;
  file = ::mkostemps(name.data(), static_cast<int>(ending.size() + 1), O_CLOEXEC);
  if (file < 0)
    return outside_world(std::string("cannot write here: ") + std::strerror(errno), path);
  temporary = name;
  ::flock(file, LOCK_EX | LOCK_NB);  // what nobody has locked was left over, and may be swept away
  const mode_t mask = ::umask(0);
  ::umask(mask);
  ::fchmod(file, 0666 & ~mask);
  return {};
}

bool write_at(int file, std::uint64_t place, const void* bytes, std::size_t count) {
  const auto* from = static_cast<const char*>(bytes);
  while (count > 0) {
    const ssize_t done = ::pwrite(file, from, count, static_cast<off_t>(place));
    if (done < 0 && errno == EINTR) continue;
    if (done <= 0) return false;
    from += done;
    place += static_cast<std::uint64_t>(done);
    count -= static_cast<std::size_t>(done);
  }
  return true;
}

std::unique_ptr<RowsWriter> writer_of(const std::string& ending, int file, ImageSize size,
                                      int channels, bool is_float, const PictureTags& tags) {
  if (ending == "png") {
    const auto in_order = [file, place = std::uint64_t{0}](const void* bytes,
                                                           std::size_t count) mutable {
      const bool done = write_at(file, place, bytes, count);
      place += count;
      return done;
    };
    return png_writer(in_order, size, channels, 16, tags, 4);
  }
  // Numbers are written plainly, for speed; pictures are packed without loss.
  const bool packed = !is_float && tags.packing != PictureTags::Packing::none;
  const auto at = [file](std::uint64_t place, const void* bytes, std::size_t count) {
    return write_at(file, place, bytes, count);
  };
  return tiff_writer(at, size, channels, is_float, packed, tags);
}

}  // namespace

PictureWriter::PictureWriter(std::unique_ptr<State> state) : state_(std::move(state)) {}
PictureWriter::~PictureWriter() = default;

Result<std::unique_ptr<PictureWriter>> PictureWriter::create(const std::string& path,
                                                             ImageSize size, int channels,
                                                             bool is_float,
                                                             const PictureTags& tags) {
  auto ending = kind_of(path, is_float);
  if (!ending) return ending.error();
  auto state = std::make_unique<State>();
  if (auto opened = open_beside(path, *ending, state->temporary, state->file); !opened)
    return opened.error();
  state->path = path;
  state->height = size.height;
  errno = 0;
  state->output = writer_of(*ending, state->file, size, channels, is_float, tags);
  if (!state->output) return state->fault();
  return std::unique_ptr<PictureWriter>(new PictureWriter(std::move(state)));
}

Result<void> PictureWriter::rows(const void* data, int count) {
  State& s = *state_;
  assert(s.next_row + count <= s.height);
  errno = 0;
  if (!s.output->rows(data, count)) return s.fault();
  s.next_row += count;
  return {};
}

Result<void> PictureWriter::finish() {
  State& s = *state_;
  assert(s.next_row == s.height);
  errno = 0;
  const bool whole = s.output->finish() && ::fsync(s.file) == 0 &&
                     ::rename(s.temporary.c_str(), s.path.c_str()) == 0;
  if (!whole) return s.fault();
  s.in_place = true;
  return {};
}

Result<void> write_picture(const std::string& path, const Picture& picture,
                           const PictureTags& tags) {
  auto writer = PictureWriter::create(path, picture.size, 3, false, tags);
  if (!writer) return writer.error();
  if (auto done = (*writer)->rows(picture.rgb.data(), picture.size.height); !done)
    return done.error();
  return (*writer)->finish();
}

}  // namespace mendtone
