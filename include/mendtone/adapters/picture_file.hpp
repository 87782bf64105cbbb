#pragma once
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/picture.hpp"

namespace mendtone {

/// What is written beside the pixels.
struct PictureTags {
  std::string profile;  ///< ICC bytes; empty for planes of numbers
  std::optional<double> pixels_per_mm;
  std::string description;
  enum class Packing { usual, none };
  Packing packing = Packing::usual;  ///< none: larger, but written and read sooner
  bool srgb = false;                 ///< a PNG says that it is sRGB, without a profile
};

/// Writes a picture row by row into a temporary file beside `path`; `finish` puts it in its place.
/// Without it nothing is left. PNG or TIFF, by the ending of `path` (.png, .tif, .tiff).
class PictureWriter {
 public:
  /// `channels` 1 or 3; float files only as TIFF.
  static Result<std::unique_ptr<PictureWriter>> create(const std::string& path, ImageSize size,
                                                       int channels, bool is_float,
                                                       const PictureTags& tags);
  ~PictureWriter();
  /// The next `count` rows; 16-bit or float as created.
  Result<void> rows(const void* data, int count);
  Result<void> finish();

 private:
  struct State;
  explicit PictureWriter(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

/// All at once.
Result<void> write_picture(const std::string& path, const Picture& picture,
                           const PictureTags& tags);

}  // namespace mendtone
