#pragma once
#include <cstdint>
#include <cstring>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

// What the program and its helper for pictures say to each other: plain numbers and texts, each
// message with its length before it, over a pair of sockets. Both run on one machine, so numbers
// are sent as they lie in memory.
namespace mendtone::pictures {

/// Raised with every change: a helper of another version is refused.
constexpr std::uint64_t protocol_version = 2;
constexpr std::size_t most_message_bytes = 64u << 20;
/// Where the helper finds its end of the first pair.
constexpr int control_socket = 3;

/// What is asked. To the helper itself: `start` (a socket comes with it) and `ended`. To the
/// process that it makes for one picture: the others.
enum class Ask : std::uint64_t { start, ended, open, page, rows, memory, coarse, blocks, outline };

/// How samples are handed over.
enum class Sample : std::uint64_t { u8, u16, f32 };
constexpr std::size_t bytes_of(Sample sample) {
  return sample == Sample::u8 ? 1 : sample == Sample::u16 ? 2 : 4;
}

/// Writes values one behind the other.
class Packer {
 public:
  std::string bytes;
  void operator()(const std::uint64_t& value) { raw(&value, sizeof value); }
  void operator()(const std::int32_t& value) { raw(&value, sizeof value); }
  void operator()(const double& value) { raw(&value, sizeof value); }
  void operator()(const std::string& text) {
    (*this)(static_cast<std::uint64_t>(text.size()));
    raw(text.data(), text.size());
  }

 private:
  void raw(const void* from, std::size_t count) {
    bytes.append(static_cast<const char*>(from), count);
  }
};

/// Reads them back. What is not there is left as it was, and `sound` says so.
class Unpacker {
 public:
  explicit Unpacker(std::string_view from) : left_(from) {}
  bool sound = true;
  bool at_end() const { return left_.empty(); }
  void operator()(std::uint64_t& value) { raw(&value, sizeof value); }
  void operator()(std::int32_t& value) { raw(&value, sizeof value); }
  void operator()(double& value) { raw(&value, sizeof value); }
  void operator()(std::string& text) {
    std::uint64_t count = 0;
    (*this)(count);
    if (count > left_.size()) sound = false;
    if (!sound) return;
    text.assign(left_.substr(0, static_cast<std::size_t>(count)));
    left_.remove_prefix(static_cast<std::size_t>(count));
  }
  template <class T>
  T take() {
    T value{};
    (*this)(value);
    return value;
  }

 private:
  void raw(void* to, std::size_t count) {
    if (count > left_.size()) sound = false;
    if (!sound) return;
    std::memcpy(to, left_.data(), count);
    left_.remove_prefix(count);
  }
  std::string_view left_;
};

/// What the library says of one picture in a file.
struct PageFacts {
  std::int32_t width = 0, height = 0, depth = 1;
  std::int32_t first_column = 0, first_row = 0;  ///< an EXR's data window need not start at 0
  std::int32_t channels = 0, alpha_channel = -1;
  std::int32_t tile_width = 0, tile_height = 0;
  std::int32_t pixel_bytes = 0;
  std::string sample;  ///< "uint8", "uint16", "half", "float", or another word
  std::int32_t is_float = 0;
  std::int32_t orientation = 1;
  std::int32_t unassociated_alpha = 0;
  std::int32_t photometric = -1;  ///< of a TIFF
  std::string tiff_space, jpeg_space, compression;
  std::string channel_names;  ///< with a comma between
  std::int32_t exif_space = 0;  ///< as Exif has it: 1 is sRGB, 0 where it says nothing. Ref: exif3
  double x_resolution = 0, y_resolution = 0;
  std::string resolution_unit, icc;
};

/// One list for writing and reading.
template <class Values, class Facts>
void fields(Values& v, Facts& f) {
  v(f.width), v(f.height), v(f.depth);
  v(f.first_column), v(f.first_row);
  v(f.channels), v(f.alpha_channel);
  v(f.tile_width), v(f.tile_height);
  v(f.pixel_bytes);
  v(f.sample);
  v(f.is_float);
  v(f.orientation);
  v(f.unassociated_alpha);
  v(f.photometric);
  v(f.tiff_space), v(f.jpeg_space), v(f.compression);
  v(f.channel_names);
  v(f.exif_space);
  v(f.x_resolution), v(f.y_resolution);
  v(f.resolution_unit), v(f.icc);
}

/// A message, and the descriptor that came with it (-1: none). The receiver owns it.
struct Message {
  std::string bytes;
  int descriptor = -1;
};

/// Sends all of it; false where the other side is gone.
bool send_message(int socket, std::string_view bytes, int descriptor = -1);
/// Waits for one; nothing where the other side is gone, is silent for too long (SO_RCVTIMEO), or
/// sends what is no message. `with_descriptor`: one may come along; else it is closed.
std::optional<Message> receive_message(int socket, bool with_descriptor);

}  // namespace mendtone::pictures
