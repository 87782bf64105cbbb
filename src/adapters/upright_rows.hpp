#pragma once
#include <functional>
#include <memory>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// The rows of a picture that is stored turned or mirrored (EXIF orientations 2 … 8), set upright.
/// They lie in a file without a name in the system's folder for temporary ones, so that memory does
/// not grow with the picture.
class UprightRows {
 public:
  /// Gives stored rows y0 <= y < y1, interleaved.
  using Fetch = std::function<Result<void>(int y0, int y1, unsigned char* rows)>;
  /// Reads the whole picture once, in rising order of rows.
  static Result<std::unique_ptr<UprightRows>> make(ImageSize stored, int orientation,
                                                   std::size_t pixel_bytes, const Fetch& fetch);
  ~UprightRows();
  UprightRows(const UprightRows&) = delete;
  UprightRows& operator=(const UprightRows&) = delete;

  /// Upright rows y0 <= y < y1.
  Result<void> read(int y0, int y1, unsigned char* rows) const;

 private:
  UprightRows(int file, std::size_t row_bytes) : file_(file), row_bytes_(row_bytes) {}
  int file_;
  std::size_t row_bytes_;
};

/// The size of a stored picture when it is upright.
ImageSize upright_size(ImageSize stored, int orientation);

}  // namespace mendtone
