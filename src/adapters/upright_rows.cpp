#include "adapters/upright_rows.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cassert>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <vector>

namespace mendtone {
namespace {

/// Where stored rows and columns go. Ref: exif3, tag Orientation
struct Turn {
  bool swapped, rows_reversed, columns_reversed;
};
Turn turn_of(int orientation) {
  switch (orientation) {
    case 2:
      return {false, false, true};
    case 3:
      return {false, true, true};
    case 4:
      return {false, true, false};
    case 5:
      return {true, false, false};
    case 6:
      return {true, true, false};
    case 7:
      return {true, true, true};
    case 8:
      return {true, false, true};
    default:
      return {false, false, false};
  }
}

std::filesystem::path folder() {
  std::error_code none;
  const auto path = std::filesystem::temp_directory_path(none);
  return none ? "/tmp" : path;
}

Error no_room() {
  return outside_world(
      std::string("the picture is stored turned, and cannot be set upright in the folder for "
                  "temporary files: ") +
          std::strerror(errno),
      folder().string());
}

int nameless_file() {
  std::string name = (folder() / "mendtone-XXXXXX").string();
  const int file = ::mkstemp(name.data());
  if (file >= 0) ::unlink(name.c_str());
  return file;
}

bool write_at(int file, const unsigned char* bytes, std::size_t count, std::size_t at) {
  while (count > 0) {
    const ssize_t done = ::pwrite(file, bytes, count, static_cast<off_t>(at));
    if (done <= 0) return false;
    bytes += done;
    at += static_cast<std::size_t>(done);
    count -= static_cast<std::size_t>(done);
  }
  return true;
}

}  // namespace

ImageSize upright_size(ImageSize stored, int orientation) {
  return turn_of(orientation).swapped ? ImageSize{stored.height, stored.width} : stored;
}

Result<std::unique_ptr<UprightRows>> UprightRows::make(ImageSize stored, int orientation,
                                                       std::size_t pixel_bytes,
                                                       const Fetch& fetch) {
  const Turn turn = turn_of(orientation);
  const auto width = static_cast<std::size_t>(stored.width),
             height = static_cast<std::size_t>(stored.height);
  const std::size_t row_bytes = (turn.swapped ? height : width) * pixel_bytes;
  const int file = nameless_file();
  if (file < 0) return no_room();
  std::unique_ptr<UprightRows> upright(new UprightRows(file, row_bytes));
  // A band of stored rows is a band of rows here, or one of columns: then the wider it is, the
  // longer are the pieces to write.
  constexpr std::size_t at_once = 128;
  std::vector<unsigned char> band(at_once * width * pixel_bytes), piece;
  for (std::size_t r0 = 0; r0 < height; r0 += at_once) {
    const std::size_t rows = std::min(at_once, height - r0);
    MENDTONE_TRY(fetch(static_cast<int>(r0), static_cast<int>(r0 + rows), band.data()));
    const auto pixel = [&](std::size_t row, std::size_t column) {
      return band.data() + (row * width + column) * pixel_bytes;
    };
    const std::size_t pieces = turn.swapped ? width : rows, length = turn.swapped ? rows : width;
    const bool pieces_reversed = turn.swapped ? turn.columns_reversed : turn.rows_reversed,
               length_reversed = turn.swapped ? turn.rows_reversed : turn.columns_reversed;
    piece.resize(length * pixel_bytes);
    for (std::size_t p = 0; p < pieces; ++p) {
      for (std::size_t i = 0; i < length; ++i) {
        const std::size_t k = length_reversed ? length - 1 - i : i;
        std::copy_n(turn.swapped ? pixel(k, p) : pixel(p, k), pixel_bytes,
                    piece.data() + i * pixel_bytes);
      }
      const std::size_t from = turn.swapped ? p : r0 + p, all = turn.swapped ? width : height;
      const std::size_t row = pieces_reversed ? all - 1 - from : from;
      const std::size_t column = !turn.swapped ? 0 : length_reversed ? height - r0 - rows : r0;
      if (!write_at(file, piece.data(), piece.size(), row * row_bytes + column * pixel_bytes))
        return no_room();
    }
  }
  return upright;
}

UprightRows::~UprightRows() {
  ::close(file_);
}

Result<void> UprightRows::read(int y0, int y1, unsigned char* rows) const {
  assert(0 <= y0 && y0 < y1);
  std::size_t count = static_cast<std::size_t>(y1 - y0) * row_bytes_,
              at = static_cast<std::size_t>(y0) * row_bytes_;
  while (count > 0) {
    const ssize_t done = ::pread(file_, rows, count, static_cast<off_t>(at));
    if (done <= 0) return no_room();
    rows += done;
    at += static_cast<std::size_t>(done);
    count -= static_cast<std::size_t>(done);
  }
  return {};
}

}  // namespace mendtone
