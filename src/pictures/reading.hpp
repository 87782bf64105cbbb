#pragma once
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "adapters/picture_protocol.hpp"

namespace mendtone::pictures {

/// Width and height of each picture in a file, at most the first 1000.
using PageSizes = std::vector<std::pair<std::int32_t, std::int32_t>>;

/// Makes the library ready: what it looks for on the disk, it finds now.
void warm_up_reading();

/// One file, read through OpenImageIO by the reader that is named and no other.
class OpenPicture {
 public:
  OpenPicture();
  ~OpenPicture();
  /// Takes the descriptor over. Each returns why it cannot, or nothing.
  std::optional<std::string> open(const std::string& reader, bool plain_alpha, int descriptor,
                                  PageSizes& pages);
  std::optional<std::string> page(int index, PageFacts& facts);
  /// Rows y0 <= y < y1 as they are stored, their first `channels`, into `to`.
  std::optional<std::string> rows(int page, int y0, int y1, int channels, Sample sample, void* to,
                                  std::size_t room);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace mendtone::pictures
