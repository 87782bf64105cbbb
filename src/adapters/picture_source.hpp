#pragma once
#include <memory>
#include <string>

#include "adapters/open_files.hpp"
#include "adapters/picture_helper.hpp"
#include "mendtone/formats/picture_gate.hpp"

namespace mendtone {
Result<PictureFormat> picture_format(const std::string& path);
}

namespace mendtone::pictures {

/// An open file that passed the gate, and the confined process that decodes it.
class Source {
 public:
  /// `plain_alpha`: colours that were not multiplied by their transparency stay so. Refuses what is
  /// no ordinary file, what the gate refuses, a JPEG without its end, and what the library cannot
  /// open.
  static Result<std::unique_ptr<Source>> open(const std::string& path, bool plain_alpha);
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
  Source(std::string path, RawFile file);
  Result<void> check_jpeg_end() const;
  Result<void> begin(bool plain_alpha);
  static Result<std::unique_ptr<Source>> examined(const std::string& path);
  friend Result<PictureFormat> mendtone::picture_format(const std::string& path);

  std::string path_;
  RawFile file_;
  FileBytes bytes_;
  PictureHead head_;
  std::unique_ptr<Session> session_;
  std::vector<ImageSize> pages_;
};

}  // namespace mendtone::pictures
