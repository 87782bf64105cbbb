#include "mendtone/formats/picture_gate.hpp"

#include <algorithm>
#include <optional>
#include <set>

namespace mendtone {
namespace {

using namespace std::string_view_literals;

constexpr std::size_t most_pages = 1000, most_parts = 20000, most_channels = 16;
constexpr std::uint64_t most_side = 250000;

/// Numbers out of the file, through a window that moves on; nothing where the file ends.
class Bytes {
 public:
  Bytes(const FileBytes& file, std::string name) : file_(file), name_(std::move(name)) {}

  bool big_endian = true;

  std::string_view at(std::uint64_t offset, std::size_t count) {
    if (offset > file_.size || count > file_.size - offset) return {};
    if (offset < start_ || offset + count > start_ + window_.size()) {
      window_ = file_.read(offset, std::max<std::size_t>(count, 4096));
      start_ = offset;
    }
    const auto from = static_cast<std::size_t>(offset - start_);
    return from + count <= window_.size() ? std::string_view(window_).substr(from, count)
                                          : std::string_view();
  }
  std::optional<std::uint64_t> number(std::uint64_t offset, std::size_t count) {
    const std::string_view bytes = at(offset, count);
    if (bytes.size() != count) return {};
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < count; ++i)
      value = value << 8 | static_cast<unsigned char>(bytes[big_endian ? i : count - 1 - i]);
    return value;
  }

  std::uint64_t size() const { return file_.size; }
  Error ends_early(std::string_view format) const {
    return bad_input("the " + std::string(format) +
                         " ends early: it breaks off before its size and kind are said; bring the "
                         "whole file",
                     name_);
  }
  Error damaged(const std::string& what) const { return bad_input(what, name_); }

 private:
  const FileBytes& file_;
  std::string name_, window_;
  std::uint64_t start_ = 0;
};

std::string megapixels(double pixels) {
  const double millions = pixels / 1e6;
  if (millions >= 1e6) return "more than a million megapixels";
  return std::to_string(static_cast<long>(millions)) + " megapixels";
}

Result<ImageSize> checked_size(const Bytes& bytes, std::uint64_t width, std::uint64_t height,
                               bool in_stages) {
  const std::string size = std::to_string(width) + " x " + std::to_string(height) + " pixels";
  if (width == 0 || height == 0) return bytes.damaged("a picture of " + size + " cannot be");
  const double pixels = static_cast<double>(width) * static_cast<double>(height);
  const int most = in_stages ? most_megapixels_in_stages : most_megapixels;
  if (pixels > most * 1e6)
    return bytes.damaged("the picture claims " + size + " (" + megapixels(pixels) + "); at most " +
                         std::to_string(most_megapixels) + " megapixels are read, and " +
                         std::to_string(most_megapixels_in_stages) +
                         " of a progressive JPEG or an interlaced PNG" +
                         (in_stages && pixels <= most_megapixels * 1e6
                              ? ", which this is. Save it plain (not progressive, not interlaced)"
                              : ". Save a smaller one"));
  if (std::max(width, height) > most_side)
    return bytes.damaged("the picture claims " + size + "; a side has at most " +
                         std::to_string(most_side) + " pixels");
  return ImageSize{static_cast<int>(width), static_cast<int>(height)};
}

Result<void> check_channels(const Bytes& bytes, std::uint64_t channels) {
  if (channels <= most_channels) return {};
  return bytes.damaged("expected 1 channel (grey) or 3 (RGB), found " + std::to_string(channels));
}

// PNG: the first chunk says all but the colour space, which stands before the pixels. Ref: png

/// Whether a chunk says that the colours are sRGB. What is damaged says nothing.
bool png_says_srgb(Bytes& bytes) {
  constexpr std::uint64_t signature = 8, around_data = 12;
  std::uint64_t place = signature;
  for (std::size_t part = 0; part < most_parts; ++part) {
    const auto length = bytes.number(place, 4);
    const std::string kind(bytes.at(place + 4, 4));
    if (!length || kind.empty() || kind == "IDAT") return false;
    if (kind == "sRGB") return *length == 1;
    place += around_data + *length;
  }
  return false;
}

Result<PictureHead> png_head(Bytes& bytes) {
  bytes.big_endian = true;
  const auto width = bytes.number(16, 4), height = bytes.number(20, 4), kind = bytes.number(25, 1),
             interlaced = bytes.number(28, 1);
  if (!width || !height || !kind || !interlaced) return bytes.ends_early("PNG");
  if (bytes.at(12, 4) != "IHDR" || bytes.number(8, 4) != 13u || *interlaced > 1)
    return bytes.damaged("the PNG is damaged: it does not begin with its size and kind");
  auto size = checked_size(bytes, *width, *height, *interlaced == 1);
  if (!size) return size.error();
  return PictureHead{
      PictureFormat::png, {*size}, *interlaced == 1, *kind == 3, png_says_srgb(bytes)};
}

// JPEG: segments up to the first scan. Ref: jpeg

bool stands_alone(std::uint64_t marker) {
  return marker == 0x01 || (marker >= 0xd0 && marker <= 0xd8);
}
bool is_frame(std::uint64_t marker) {
  return marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc;
}

struct Frame {
  std::uint64_t kind = 0, width = 0, height = 0, components = 0;
};

Result<Frame> frame_at(Bytes& bytes, std::uint64_t segment, std::uint64_t kind) {
  const auto height = bytes.number(segment + 3, 2), width = bytes.number(segment + 5, 2),
             components = bytes.number(segment + 7, 1);
  if (!height || !width || !components) return bytes.ends_early("JPEG");
  if (kind > 0xc2)
    return bytes.damaged(
        "the JPEG is packed in a rare way (lossless, arithmetic or hierarchical) that is not read; "
        "save it as TIFF or PNG");
  return Frame{kind, *width, *height, *components};
}

/// The marker at or behind `place`, which may be filled up with 0xff; `place` is set behind it.
std::optional<std::uint64_t> marker_at(Bytes& bytes, std::uint64_t& place) {
  if (bytes.number(place, 1) != 0xffu) return {};
  for (std::size_t fill = 0; fill < most_parts; ++fill) {
    const auto value = bytes.number(++place, 1);
    if (!value) return {};
    if (*value == 0xff) continue;
    ++place;
    return value;
  }
  return {};
}

Result<PictureHead> jpeg_head(Bytes& bytes) {
  bytes.big_endian = true;
  std::optional<Frame> frame;
  std::uint64_t place = 2;
  for (std::size_t part = 0; part < most_parts; ++part) {
    const auto marker = marker_at(bytes, place);
    if (!marker || *marker == 0xd9) return bytes.ends_early("JPEG");
    if (stands_alone(*marker)) continue;
    const auto length = bytes.number(place, 2);
    if (!length) return bytes.ends_early("JPEG");
    if (*length < 2) return bytes.damaged("the JPEG is damaged: one of its segments has no length");
    if (is_frame(*marker)) {
      if (frame) return bytes.damaged("the JPEG is damaged: it says its size twice");
      auto found = frame_at(bytes, place, *marker);
      if (!found) return found.error();
      frame = *found;
    }
    if (*marker == 0xda) {
      if (!frame) return bytes.damaged("the JPEG is damaged: it does not say its size");
      const auto in_scan = bytes.number(place + 2, 1);
      if (!in_scan) return bytes.ends_early("JPEG");
      const bool in_stages = frame->kind == 0xc2 || *in_scan < frame->components;
      auto size = checked_size(bytes, frame->width, frame->height, in_stages);
      if (!size) return size.error();
      return PictureHead{PictureFormat::jpeg, {*size}, in_stages, false, false};
    }
    place += *length;
  }
  return bytes.damaged("the JPEG is damaged: it has more than " + std::to_string(most_parts) +
                       " segments");
}

// TIFF and BigTIFF: directories, each of a page. Ref: tiff6

struct TiffForm {
  bool big = false;
  std::size_t offset_bytes() const { return big ? 8 : 4; }
  std::size_t count_bytes() const { return big ? 8 : 2; }
  std::size_t entry_bytes() const { return big ? 20 : 12; }
};

struct TiffPage {
  std::optional<std::uint64_t> width, height, channels;
};

/// Where the pieces of a page begin must lie in the file: a decoder may take missing rows for
/// black.
Result<void> check_places(Bytes& bytes, const TiffForm& form, std::uint64_t entry) {
  const auto type = bytes.number(entry + 2, 2),
             count = bytes.number(entry + 4, form.offset_bytes());
  if (!type || !count) return bytes.ends_early("TIFF");
  const std::size_t value_bytes = *type == 3 ? 2 : *type == 4 ? 4 : *type == 16 ? 8 : 0;
  constexpr std::uint64_t most_pieces = 1 << 24;
  if (value_bytes == 0 || *count > most_pieces)
    return bytes.damaged("the TIFF is damaged: it does not say where its rows begin");
  const std::uint64_t value = entry + 4 + form.offset_bytes();
  const bool inside = *count * value_bytes <= form.offset_bytes();
  const auto list = inside ? std::optional(value) : bytes.number(value, form.offset_bytes());
  if (!list) return bytes.ends_early("TIFF");
  for (std::uint64_t i = 0; i < *count; ++i) {
    const auto place = bytes.number(*list + i * value_bytes, value_bytes);
    if (!place) return bytes.ends_early("TIFF");
    if (*place >= bytes.size())
      return bytes.damaged("the TIFF is damaged: some of its rows would begin beyond its end");
  }
  return {};
}

/// The number of one entry, where it is of a kind that can be one.
Result<void> take_entry(Bytes& bytes, const TiffForm& form, std::uint64_t entry, TiffPage& page) {
  const auto tag = bytes.number(entry, 2), type = bytes.number(entry + 2, 2);
  if (!tag || !type) return bytes.ends_early("TIFF");
  if (*tag == 273 || *tag == 324) return check_places(bytes, form, entry);
  std::optional<std::uint64_t>* place = *tag == 256   ? &page.width
                                        : *tag == 257 ? &page.height
                                        : *tag == 277 ? &page.channels
                                                      : nullptr;
  if (!place) return {};
  const auto count = bytes.number(entry + 4, form.offset_bytes());
  const std::size_t value_bytes = *type == 3 ? 2 : *type == 4 ? 4 : *type == 16 ? 8 : 0;
  const bool fits = value_bytes > 0 && value_bytes <= form.offset_bytes();
  if (!fits || count != 1u || *place)
    return bytes.damaged("the TIFF is damaged: it does not say its size as one whole number, once");
  *place = bytes.number(entry + 4 + form.offset_bytes(), value_bytes);
  return {};
}

Result<ImageSize> tiff_page(Bytes& bytes, const TiffForm& form, std::uint64_t directory,
                            std::uint64_t& next) {
  const auto entries = bytes.number(directory, form.count_bytes());
  if (!entries) return bytes.ends_early("TIFF");
  if (*entries > 4096)
    return bytes.damaged("the TIFF is damaged: one of its directories has " +
                         std::to_string(*entries) + " entries");
  TiffPage page;
  std::uint64_t at = directory + form.count_bytes();
  for (std::uint64_t i = 0; i < *entries; ++i, at += form.entry_bytes())
    if (auto taken = take_entry(bytes, form, at, page); !taken) return taken.error();
  const auto link = bytes.number(at, form.offset_bytes());
  if (!link) return bytes.ends_early("TIFF");
  next = *link;
  if (!page.width || !page.height)
    return bytes.damaged("the TIFF is damaged: a picture in it does not say its size");
  if (auto few = check_channels(bytes, page.channels.value_or(1)); !few) return few.error();
  return checked_size(bytes, *page.width, *page.height, false);
}

Result<PictureHead> tiff_head(Bytes& bytes) {
  bytes.big_endian = bytes.at(0, 1) == "M";
  const TiffForm form{bytes.number(2, 2) == 43u};
  auto directory = form.big ? bytes.number(8, 8) : bytes.number(4, 4);
  if (!directory) return bytes.ends_early("TIFF");
  if (form.big && bytes.number(4, 2) != 8u)
    return bytes.damaged("the TIFF is damaged: its addresses are of no known length");
  PictureHead head{PictureFormat::tiff, {}, false, false, false};
  std::set<std::uint64_t> seen;
  // A chain that leads back to itself is at its end there.
  while (*directory != 0 && head.pages.size() < most_pages && seen.insert(*directory).second) {
    std::uint64_t next = 0;
    auto size = tiff_page(bytes, form, *directory, next);
    if (!size) return size.error();
    head.pages.push_back(*size);
    directory = next;
  }
  if (head.pages.empty()) return bytes.damaged("the TIFF holds no picture");
  return head;
}

// OpenEXR: attributes up to an empty name, a list of them a part. Ref: openexr

/// A text that ends with a zero byte; `place` is set behind it.
std::optional<std::string> exr_text(Bytes& bytes, std::uint64_t& place) {
  std::string text;
  for (; text.size() <= 255; ++place) {
    const std::string_view one = bytes.at(place, 1);
    if (one.empty()) return {};
    if (one[0] == '\0') {
      ++place;
      return text;
    }
    text += one;
  }
  return {};
}

/// Counts the names in a list of channels.
std::size_t exr_channels(Bytes& bytes, std::uint64_t place, std::uint64_t end) {
  constexpr std::uint64_t facts = 16;  // type, linearity, sampling
  std::size_t count = 0;
  while (place < end && count <= most_channels) {
    const auto name = exr_text(bytes, place);
    if (!name || name->empty()) break;
    ++count;
    place += facts;
  }
  return count;
}

Result<ImageSize> exr_window(Bytes& bytes, std::uint64_t place) {
  std::int64_t sides[4];
  for (std::size_t i = 0; i < 4; ++i) {
    const auto value = bytes.number(place + 4 * i, 4);
    if (!value) return bytes.ends_early("EXR");
    sides[i] = static_cast<std::int32_t>(static_cast<std::uint32_t>(*value));
  }
  const auto length = [](std::int64_t from, std::int64_t to) {
    return to < from ? std::uint64_t{0} : static_cast<std::uint64_t>(to - from) + 1;
  };
  return checked_size(bytes, length(sides[0], sides[2]), length(sides[1], sides[3]), false);
}

/// One part's attributes; `place` is set behind them. No size where there are none: the last part
/// is past.
Result<std::optional<ImageSize>> exr_part(Bytes& bytes, std::uint64_t& place) {
  std::optional<ImageSize> size;
  for (std::size_t i = 0; i < most_parts; ++i) {
    const auto name = exr_text(bytes, place);
    if (!name) return bytes.ends_early("EXR");
    if (name->empty()) {
      if (i > 0 && !size)
        return bytes.damaged("the EXR is damaged: a picture in it does not say its size");
      return size;
    }
    const auto type = exr_text(bytes, place);
    const auto length = bytes.number(place, 4);
    if (!type || !length) return bytes.ends_early("EXR");
    place += 4;
    if (*name == "dataWindow") {
      if (*type != "box2i" || *length != 16 || size)
        return bytes.damaged("the EXR is damaged: it does not say its size once");
      auto window = exr_window(bytes, place);
      if (!window) return window.error();
      size = *window;
    }
    if (*name == "channels")
      if (auto few = check_channels(bytes, exr_channels(bytes, place, place + *length)); !few)
        return few.error();
    place += *length;
  }
  return bytes.damaged("the EXR is damaged: its head has no end");
}

Result<PictureHead> exr_head(Bytes& bytes) {
  bytes.big_endian = false;
  const auto version = bytes.number(4, 4);
  if (!version) return bytes.ends_early("EXR");
  constexpr std::uint64_t depth_samples = 0x800, several_parts = 0x1000;
  if ((*version & depth_samples) != 0)
    return bytes.damaged("the EXR holds several depths a pixel, not a photograph");
  PictureHead head{PictureFormat::openexr, {}, false, false, false};
  std::uint64_t place = 8;
  do {
    auto size = exr_part(bytes, place);
    if (!size) return size.error();
    if (!*size) break;
    head.pages.push_back(**size);
  } while ((*version & several_parts) != 0 && head.pages.size() < most_pages);
  if (head.pages.empty()) return bytes.damaged("the EXR holds no picture");
  return head;
}

}  // namespace

std::string_view name_of(PictureFormat format) {
  return format == PictureFormat::tiff   ? "TIFF"sv
         : format == PictureFormat::png  ? "PNG"sv
         : format == PictureFormat::jpeg ? "JPEG"sv
                                         : "EXR"sv;
}

std::string_view ending_of(PictureFormat format) {
  return format == PictureFormat::tiff   ? ".tif"sv
         : format == PictureFormat::png  ? ".png"sv
         : format == PictureFormat::jpeg ? ".jpg"sv
                                         : ".exr"sv;
}

Result<PictureHead> picture_head(const FileBytes& file, const std::string& name) {
  Bytes bytes(file, name);
  const std::string four(bytes.at(0, 4)), eight(bytes.at(0, 8));
  if (four == "II*\0"sv || four == "MM\0*"sv || four == "II+\0"sv || four == "MM\0+"sv)
    return tiff_head(bytes);
  if (eight == "\x89PNG\r\n\x1a\n"sv) return png_head(bytes);
  if (std::string_view(four).substr(0, 3) == "\xff\xd8\xff"sv) return jpeg_head(bytes);
  if (four == "\x76\x2f\x31\x01"sv) return exr_head(bytes);
  return bad_input(std::string("expected a TIFF, PNG, JPEG or OpenEXR picture, found ") +
                       (bytes.size() == 0 ? "an empty file" : "another kind of file"),
                   name);
}

}  // namespace mendtone
