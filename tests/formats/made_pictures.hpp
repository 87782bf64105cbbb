#pragma once
#include <zlib.h>

#include <cstdint>
#include <string>
#include <vector>

// Pictures put together byte by byte, from the formats' public descriptions, so that they can claim
// what no honest program writes. Ref: png, jpeg, tiff6, openexr
namespace made {

inline std::string number(std::uint64_t value, std::size_t bytes, bool big_endian) {
  std::string text(bytes, '\0');
  for (std::size_t i = 0; i < bytes; ++i)
    text[big_endian ? bytes - 1 - i : i] = static_cast<char>(value >> (8 * i));
  return text;
}

inline std::string chunk(const std::string& kind, const std::string& data) {
  const std::string both = kind + data;
  const auto sum =
      crc32(0, reinterpret_cast<const Bytef*>(both.data()), static_cast<uInt>(both.size()));
  return number(data.size(), 4, true) + both + number(sum, 4, true);
}

inline std::string packed(const std::string& bytes) {
  uLongf length = compressBound(bytes.size());
  std::string out(length, '\0');
  compress2(reinterpret_cast<Bytef*>(out.data()), &length,
            reinterpret_cast<const Bytef*>(bytes.data()), bytes.size(), 9);
  out.resize(length);
  return out;
}

/// Grey, all black; 1 bit a sample. A real one, however large.
inline std::string png(std::uint32_t width, std::uint32_t height, bool interlaced = false,
                       bool with_pixels = true) {
  const std::string head = number(width, 4, true) + number(height, 4, true) +
                           std::string("\x01\0\0\0", 4) + (interlaced ? '\1' : '\0');
  const std::size_t bytes = (1 + (std::size_t{width} + 7) / 8) * height;
  return "\x89PNG\r\n\x1a\n" + chunk("IHDR", head) +
         chunk("IDAT", packed(std::string(with_pixels ? bytes : 1, '\0'))) + chunk("IEND", "");
}

/// The segments of a JPEG up to its first scan, a few bytes of that, and the end mark. `frame`:
/// 0xc0 baseline, 0xc2 progressive, others.
inline std::string jpeg(std::uint16_t width, std::uint16_t height, int frame = 0xc0,
                        int components = 3, int in_first_scan = 3) {
  const auto segment = [](int marker, const std::string& data) {
    return std::string("\xff") + static_cast<char>(marker) + number(data.size() + 2, 2, true) +
           data;
  };
  std::string sizes =
      "\x08" + number(height, 2, true) + number(width, 2, true) + static_cast<char>(components);
  std::string scan(1, static_cast<char>(in_first_scan));
  for (int c = 1; c <= components; ++c) sizes += static_cast<char>(c) + std::string("\x11\0", 2);
  for (int c = 1; c <= in_first_scan; ++c) scan += static_cast<char>(c) + std::string(1, '\0');
  scan +=
      std::string("\0", 1) + (frame == 0xc2 ? std::string("\0\0", 2) : std::string("\x3f\0", 2));
  // One code word, for 'no difference', and one for the end of a block.
  const std::string codes = std::string("\x01", 1) + std::string(15, '\0') + std::string(1, '\0');
  return "\xff\xd8" + segment(0xe0, std::string("JFIF\0\x01\x01\0\0\1\0\1\0\0", 14)) +
         segment(0xdb, std::string(1, '\0') + std::string(64, '\1')) + segment(frame, sizes) +
         segment(0xc4, std::string(1, '\0') + codes) +
         segment(0xc4, std::string(1, '\x10') + codes) + segment(0xda, scan) +
         std::string(600, '\0') + "\xff\xd9";
}

/// Grey, 8 bits, one strip whose bytes are there only where `with_pixels`; classic or Big.
inline std::string tiff(std::uint32_t width, std::uint32_t height, bool big = false,
                        bool big_endian = false, bool with_pixels = true,
                        std::uint32_t channels = 1) {
  const std::size_t bytes = with_pixels ? std::size_t{width} * height * channels : std::size_t{0};
  const auto n = [&](std::uint64_t value, std::size_t count) {
    return number(value, count, big_endian);
  };
  const std::size_t wide = big ? 8 : 4, head = big ? 16 : 8;
  std::string text = big_endian ? "MM" : "II";
  text += n(big ? 43 : 42, 2) + (big ? n(8, 2) + n(0, 2) : "") + n(head + bytes + bytes % 2, wide);
  text += std::string(bytes + bytes % 2, '\x7f');
  const std::vector<std::pair<int, std::uint64_t>> entries = {
      {256, width}, {257, height},   {258, 8},      {259, 1},    {262, 1},
      {273, head},  {277, channels}, {278, height}, {279, bytes}};
  text += n(entries.size(), big ? 8 : 2);
  for (const auto& [tag, value] : entries)
    text += n(static_cast<std::uint64_t>(tag), 2) + n(4, 2) + n(1, wide) + n(value, 4) +
            (big ? n(0, 4) : "");
  return text + n(0, wide);
}

/// The head of an OpenEXR file whose window does not begin at 0.
inline std::string exr(std::int64_t width, std::int64_t height, std::uint32_t version = 2) {
  const auto n = [](std::int64_t value) {
    return number(static_cast<std::uint64_t>(value), 4, false);
  };
  const auto attribute = [&](const std::string& name, const std::string& type,
                             const std::string& value) {
    return name + '\0' + type + '\0' + n(static_cast<std::int64_t>(value.size())) + value;
  };
  const std::string one_channel = n(2) + n(0) + n(1) + n(1);
  std::string channels;
  for (const char* name : {"B", "G", "R"}) channels += std::string(name) + '\0' + one_channel;
  return std::string("\x76\x2f\x31\x01", 4) + n(version) +
         attribute("channels", "chlist", channels + '\0') +
         attribute("dataWindow", "box2i", n(-5) + n(7) + n(width - 6) + n(height + 6)) + '\0' +
         (version & 0x1000 ? std::string(1, '\0') : "");
}

/// An icon of 80 bytes, one of the kinds of picture that nobody may bring.
inline std::string icon() {
  std::string text("\0\0\1\0\1\0", 6);
  text += std::string("\xff\xff\0\0\1\0\x20\0", 8) + number(40, 4, false) + number(22, 4, false);
  text += number(40, 4, false) + number(0x7fffffff, 4, false) + number(0x7fffffff, 4, false);
  return text + std::string(80 - text.size(), '\1');
}

inline std::string sgi() {
  return number(474, 2, true) + std::string("\1\1", 2) + number(3, 2, true) +
         number(65535, 2, true) + number(65535, 2, true) + number(4, 2, true) +
         std::string(600, '\xff');
}

inline std::string dds() {
  return "DDS " + number(124, 4, false) + number(0x1007, 4, false) + number(0xffffffff, 4, false) +
         number(0xffffffff, 4, false) + std::string(200, '\x0f');
}

}  // namespace made
