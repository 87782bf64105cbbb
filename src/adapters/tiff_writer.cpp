#include <zlib.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <map>
#include <vector>

#include "adapters/picture_writers.hpp"

namespace mendtone {
namespace {

constexpr int strip_rows = 32;

/// The entries of the one directory, in rising order of their tags. Ref: tiff6
class Directory {
 public:
  void shorts(std::uint16_t tag, const std::vector<std::uint16_t>& values) {
    add(tag, 3, values.size(), values.data(), 2 * values.size());
  }
  void longs(std::uint16_t tag, const std::vector<std::uint32_t>& values) {
    add(tag, 4, values.size(), values.data(), 4 * values.size());
  }
  void text(std::uint16_t tag, const std::string& text) {
    add(tag, 2, text.size() + 1, text.c_str(), text.size() + 1);
  }
  void bytes(std::uint16_t tag, const std::string& bytes) {
    add(tag, 7, bytes.size(), bytes.data(), bytes.size());
  }
  void ratio(std::uint16_t tag, double value) {
    constexpr double below = 10000;
    const std::uint32_t parts[2] = {static_cast<std::uint32_t>(std::lround(value * below)),
                                    static_cast<std::uint32_t>(below)};
    add(tag, 5, 1, parts, sizeof parts);
  }

  /// As it stands at `place`, with what does not fit into an entry behind it.
  std::string at(std::uint32_t place) const {
    std::string head, behind;
    append(head, static_cast<std::uint16_t>(entries_.size()));
    const auto end = static_cast<std::uint32_t>(place + 2 + 12 * entries_.size() + 4);
    for (const auto& [tag, entry] : entries_) {
      append(head, tag);
      append(head, entry.type);
      append(head, entry.count);
      if (entry.bytes.size() <= 4) {
        head += entry.bytes + std::string(4 - entry.bytes.size(), '\0');
        continue;
      }
      append(head, static_cast<std::uint32_t>(end + behind.size()));
      behind += entry.bytes;
      if (behind.size() % 2 != 0) behind += '\0';
    }
    append(head, std::uint32_t{0});  // no other picture
    return head + behind;
  }

 private:
  struct Entry {
    std::uint16_t type;
    std::uint32_t count;
    std::string bytes;
  };
  template <class T>
  static void append(std::string& to, T value) {
    to.append(reinterpret_cast<const char*>(&value), sizeof value);
  }
  void add(std::uint16_t tag, std::uint16_t type, std::size_t count, const void* from,
           std::size_t bytes) {
    entries_[tag] = {type, static_cast<std::uint32_t>(count),
                     std::string(static_cast<const char*>(from), bytes)};
  }
  std::map<std::uint16_t, Entry> entries_;
};

/// Each sample as its difference from the one to the left: it packs better.
void to_differences(std::uint16_t* row, std::size_t samples, std::size_t channels) {
  for (std::size_t i = samples; i-- > channels;)
    row[i] = static_cast<std::uint16_t>(row[i] - row[i - channels]);
}

class TiffWriter final : public RowsWriter {
 public:
  TiffWriter(PlacedSink at, ImageSize size, int channels, bool is_float, bool packed,
             PictureTags tags)
      : at_(std::move(at)),
        size_(size),
        channels_(channels),
        is_float_(is_float),
        packed_(packed),
        tags_(std::move(tags)),
        row_bytes_(static_cast<std::size_t>(size.width) * static_cast<std::size_t>(channels) *
                   (is_float ? 4 : 2)) {}

  bool rows(const void* data, int count) override {
    const auto* from = static_cast<const unsigned char*>(data);
    if (!packed_) return plain(from, count);
    strip_.insert(strip_.end(), from, from + static_cast<std::size_t>(count) * row_bytes_);
    while (strip_.size() >= strip_rows * row_bytes_)
      if (!pack(strip_rows)) return false;
    return true;
  }

  bool finish() override {
    if (packed_ && !strip_.empty() && !pack(static_cast<int>(strip_.size() / row_bytes_)))
      return false;
    if (!packed_) count_plain();
    const auto place = static_cast<std::uint32_t>(place_ + place_ % 2);
    const std::string directory = this->directory().at(place);
    const std::uint16_t one = 1;
    const bool little = *reinterpret_cast<const unsigned char*>(&one) == 1;
    std::string head = little ? "II" : "MM";
    const std::uint16_t mark = 42;
    head.append(reinterpret_cast<const char*>(&mark), 2);
    head.append(reinterpret_cast<const char*>(&place), 4);
    return at_(place, directory.data(), directory.size()) && at_(0, head.data(), head.size());
  }

 private:
  /// Rows without packing go straight to their place.
  bool plain(const unsigned char* from, int count) {
    const std::size_t bytes = static_cast<std::size_t>(count) * row_bytes_;
    if (!at_(place_, from, bytes)) return false;
    place_ += bytes;
    return true;
  }
  void count_plain() {
    for (int y = 0; y < size_.height; y += strip_rows) {
      offsets_.push_back(static_cast<std::uint32_t>(8 + static_cast<std::size_t>(y) * row_bytes_));
      lengths_.push_back(static_cast<std::uint32_t>(
          static_cast<std::size_t>(std::min(strip_rows, size_.height - y)) * row_bytes_));
    }
  }

  /// The first rows of `strip_`, packed, as the next strip.
  bool pack(int rows) {
    const std::size_t bytes = static_cast<std::size_t>(rows) * row_bytes_;
    if (!is_float_)
      for (int r = 0; r < rows; ++r)
        to_differences(reinterpret_cast<std::uint16_t*>(strip_.data() +
                                                        static_cast<std::size_t>(r) * row_bytes_),
                       row_bytes_ / 2, static_cast<std::size_t>(channels_));
    uLongf length = compressBound(bytes);
    std::vector<unsigned char> packed(length);
    if (compress2(packed.data(), &length, strip_.data(), bytes, 6) != Z_OK ||
        !at_(place_, packed.data(), length))
      return false;
    strip_.erase(strip_.begin(), strip_.begin() + static_cast<std::ptrdiff_t>(bytes));
    offsets_.push_back(static_cast<std::uint32_t>(place_));
    lengths_.push_back(static_cast<std::uint32_t>(length));
    place_ += length + length % 2;
    return true;
  }

  Directory directory() const {
    const auto each = [&](int value) {
      return std::vector<std::uint16_t>(static_cast<std::size_t>(channels_),
                                        static_cast<std::uint16_t>(value));
    };
    Directory d;
    d.longs(256, {static_cast<std::uint32_t>(size_.width)});
    d.longs(257, {static_cast<std::uint32_t>(size_.height)});
    d.shorts(258, each(is_float_ ? 32 : 16));
    d.shorts(259, {static_cast<std::uint16_t>(packed_ ? 8 : 1)});         // zlib, or plain
    d.shorts(262, {static_cast<std::uint16_t>(channels_ == 1 ? 1 : 2)});  // black is 0; RGB
    if (!tags_.description.empty()) d.text(270, tags_.description);
    d.longs(273, offsets_);
    d.shorts(274, {1});  // upright
    d.shorts(277, {static_cast<std::uint16_t>(channels_)});
    d.longs(278, {strip_rows});
    d.longs(279, lengths_);
    if (tags_.pixels_per_mm) {
      d.ratio(282, *tags_.pixels_per_mm * 25.4);
      d.ratio(283, *tags_.pixels_per_mm * 25.4);
      d.shorts(296, {2});  // per inch
    }
    d.shorts(284, {1});  // the samples of a pixel stand together
    d.text(305, "mendtone");
    if (packed_ && !is_float_) d.shorts(317, {2});  // differences
    d.shorts(339, each(is_float_ ? 3 : 1));
    if (!tags_.profile.empty()) d.bytes(34675, tags_.profile);
    return d;
  }

  PlacedSink at_;
  ImageSize size_;
  int channels_;
  bool is_float_, packed_;
  PictureTags tags_;
  std::size_t row_bytes_;
  std::vector<unsigned char> strip_;
  std::vector<std::uint32_t> offsets_, lengths_;
  std::uint64_t place_ = 8;
};

}  // namespace

std::unique_ptr<RowsWriter> tiff_writer(PlacedSink at, ImageSize size, int channels, bool is_float,
                                        bool packed, const PictureTags& tags) {
  return std::make_unique<TiffWriter>(std::move(at), size, channels, is_float, packed, tags);
}

}  // namespace mendtone
