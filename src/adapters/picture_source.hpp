#pragma once
#include <memory>
#include <string>

#include "adapters/picture_helper.hpp"
#include "mendtone/formats/picture_gate.hpp"

namespace mendtone::pictures {

/// An open file that passed the gate, and the confined process that decodes it.
class Source {
 public:
  /// `what` it is called in a refusal ("photograph", "mask"). `plain_alpha`: colours that were not
  /// multiplied by their transparency stay so. Refuses what is no ordinary file, what the gate
  /// refuses, a JPEG without its end, and what the library cannot open.
  static Result<std::unique_ptr<Source>> open(const std::string& path, const std::string& what,
                                              bool plain_alpha);
  ~Source();
  Source(const Source&) = delete;
  Source& operator=(const Source&) = delete;

  const PictureHead& head() const { return head_; }
  std::uint64_t file_bytes() const { return bytes_.size; }
  /// Sizes of the pictures that the library finds in the file.
  const std::vector<ImageSize>& pages() const { return pages_; }
  /// What the library says of one of them, from 0. Refuses a size that the gate did not see, and
  /// tiles or samples too large to be taken apart.
  Result<PageFacts> page(int index);
  /// Stored rows y0 <= y < y1 of a page that was asked for, the first `channels` of its channels.
  Result<void> rows(const PageFacts& facts, int index, int y0, int y1, int channels, Sample sample,
                    void* to);

 private:
  Source(std::string path, int descriptor);
  Result<void> check_kind() const;
  Result<void> check_jpeg_end() const;
  Result<void> begin(bool plain_alpha);

  std::string path_;
  int descriptor_;
  FileBytes bytes_;
  PictureHead head_;
  std::unique_ptr<Session> session_;
  std::vector<ImageSize> pages_;
};

}  // namespace mendtone::pictures
