#pragma once
#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "mendtone/adapters/picture_file.hpp"

namespace mendtone {

/// Takes bytes in order; false where it cannot.
using ByteSink = std::function<bool(const void* bytes, std::size_t count)>;

/// One format, row by row from the top.
class RowsWriter {
 public:
  virtual ~RowsWriter() = default;
  virtual bool rows(const void* data, int count) = 0;
  virtual bool finish() = 0;
};

/// 8 or 16 bits a sample, through libpng. `level`: how hard it packs, 1 to 9. Null where it cannot
/// begin.
std::unique_ptr<RowsWriter> png_writer(ByteSink sink, ImageSize size, int channels, int bits,
                                       const PictureTags& tags, int level);

/// 16-bit integers or floats in strips, plain or packed with zlib; below 4 GB. `at` writes bytes at
/// a place of the file. Ref: tiff6
using PlacedSink = std::function<bool(std::uint64_t place, const void* bytes, std::size_t count)>;
std::unique_ptr<RowsWriter> tiff_writer(PlacedSink at, ImageSize size, int channels, bool is_float,
                                        bool packed, const PictureTags& tags);

}  // namespace mendtone
