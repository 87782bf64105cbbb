#pragma once
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"

// The gate that every picture passes before a library sees it: photographs and masks alike.
namespace mendtone {

enum class PictureFormat { tiff, png, jpeg, openexr };

/// As a person writes it: "TIFF", "PNG", "JPEG", "EXR".
std::string_view name_of(PictureFormat);
/// The ending of a file's name: ".tif", ".png", ".jpg", ".exr".
std::string_view ending_of(PictureFormat);

/// The largest pictures that are read. A progressive JPEG and an interlaced PNG are built up in
/// memory as a whole, so that less must do.
constexpr int most_megapixels = 200, most_megapixels_in_stages = 60;

/// The bytes of a file, wherever they lie.
struct FileBytes {
  std::uint64_t size = 0;
  /// Up to `count` bytes from `offset`; fewer where the file ends.
  std::function<std::string(std::uint64_t offset, std::size_t count)> read;
};

/// What a picture's own bytes claim, read without any library of pictures.
struct PictureHead {
  PictureFormat format = PictureFormat::tiff;
  std::vector<ImageSize> pages;  ///< as stored; at least one, at most the first 1000
  bool in_stages = false;        ///< a progressive JPEG, or an interlaced PNG
  bool palette = false;          ///< a PNG whose colours were reduced to a palette
  bool says_srgb = false;        ///< a PNG with the chunk that says so
};

/// Told by the first bytes, never by the name. Refuses, with the reason: another kind of file;
/// bytes that end within the head or contradict themselves; a picture without pixels; more than
/// `most_megapixels` (`most_megapixels_in_stages`) on any page, or a side above 250,000 pixels;
/// more than 16 channels; a lossless or arithmetically coded JPEG; an OpenEXR file of depth
/// samples. Ref: tiff6, png, jpeg, openexr
Result<PictureHead> picture_head(const FileBytes& bytes, const std::string& file);

}  // namespace mendtone
