#include "mendtone/adapters/photograph.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

#include "adapters/picture_source.hpp"
#include "adapters/upright_rows.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone {

struct Photograph::State {
  PhotographFacts facts;
  Profile profile;
  std::unique_ptr<pictures::Source> source;
  pictures::PageFacts page;
  ImageSize stored;
  bool is_float = false;
  bool check_alpha = false;              // the colours are right only where it is full
  std::unique_ptr<UprightRows> upright;  // made at the first reading, where needed
  std::size_t clipped = 0;
  std::vector<unsigned char> wide;  // rows with their alpha

  Result<void> fetch(int y0, int y1, int channels, void* target);
  Result<void> read_stored(int y0, int y1, void* target);
};

namespace {

using pictures::PageFacts;

std::string sample_name(const std::string& sample) {
  return sample == "uint8"    ? "8 bit"
         : sample == "uint16" ? "16 bit"
         : sample == "half"   ? "half float"
         : sample == "float"  ? "float"
                              : "";
}

Result<int> colour_channels(const PageFacts& page, const std::string& path,
                            const std::string& format) {
  if (page.tiff_space == "CMYK" || page.jpeg_space == "CMYK" || page.jpeg_space == "YCbCrK" ||
      page.photometric == 5)
    return bad_input("the picture is CMYK, made for printing; expected RGB or grey", path);
  if (page.photometric >= 8 && page.photometric <= 10)
    return bad_input(
        "the picture holds CIELAB, not what a camera or scanner saw; expected RGB or grey", path);
  const int colours = page.channels - (page.alpha_channel >= 0 ? 1 : 0);
  if (page.alpha_channel >= 0 && page.alpha_channel != colours)
    return bad_input("the transparency does not stand after the colours", path);
  if (colours != 1 && colours != 3)
    return bad_input("expected 1 channel (grey) or 3 (RGB), found " + std::to_string(colours),
                     path);
  if (colours == 3 && format == "EXR" && (page.channel_names + ",").rfind("R,G,B,", 0) != 0)
    return bad_input("expected the channels R, G, B in this order, found others", path);
  return colours;
}

/// A file too short for the pixels that it claims is found out before they are asked for: the
/// library gives grey or black for some of them.
Result<void> check_length(const PageFacts& page, std::uint64_t file_bytes,
                          const std::string& path) {
  const auto bytes = static_cast<double>(file_bytes);
  const double raw = static_cast<double>(page.width) * page.height * page.pixel_bytes;
  // No packing makes a photograph a thousand times smaller.
  const bool plain = page.compression == "none";
  if (bytes * (plain ? 1 : 1500) >= raw) return {};
  return bad_input("the picture ends early: it claims " + std::to_string(page.width) + " x " +
                       std::to_string(page.height) + " pixels, and the file has " +
                       fixed(bytes, 0) + " bytes",
                   path);
}

/// The picture to read, where the file holds several: the page named, else the first if only
/// thumbnails stand behind it.
Result<PageFacts> page_of(pictures::Source& source, int named, PhotographFacts& facts) {
  const auto& pages = source.pages();
  const auto area = [](ImageSize size) { return static_cast<double>(size.width) * size.height; };
  const bool all_small = std::all_of(pages.begin() + 1, pages.end(), [&](ImageSize size) {
    return area(size) * 4 <= area(pages.front());
  });
  facts.pages = static_cast<int>(pages.size());
  if (named < 0 || named > facts.pages)
    return bad_request("there is no page " + std::to_string(named) + " in " + facts.file +
                           "; it has " + std::to_string(facts.pages),
                       "--page");
  facts.page = std::max(1, named);
  if (facts.pages > 1 && named == 0 && !all_small)
    return bad_input(
        "the file holds " + std::to_string(facts.pages) +
            " pictures (pages); say with --page which one to measure, 1 being the first",
        facts.file);
  if (facts.pages > 1)
    facts.warnings.push_back(named == 0 ? std::string("a thumbnail in the file was ignored")
                                        : "page " + std::to_string(named) + " of " +
                                              std::to_string(facts.pages) + " was read, as asked");
  return source.page(facts.page - 1);
}

bool has_palette(const PageFacts& page, const PictureHead& head) {
  return head.palette || page.photometric == 3;
}

void say_what_was_done(const PageFacts& page, const PictureHead& head, PhotographFacts& facts) {
  auto& said = facts.warnings;
  if (facts.orientation != 1)
    said.emplace_back("the picture is stored turned or mirrored (orientation " +
                      std::to_string(facts.orientation) +
                      "); it was set upright, and places in it are counted in the upright picture");
  if (has_palette(page, head))
    said.emplace_back(
        "the colours of this picture were reduced to a palette of at most 256: small differences "
        "and mottling are lost; measure the picture that it was made from, if there is one");
  if (page.alpha_channel >= 0)
    said.emplace_back(
        page.unassociated_alpha != 0
            ? "the transparency was ignored"
            : "the transparency was ignored: it is full wherever the picture was read");
  if (facts.sample == "8 bit")
    said.emplace_back(
        "8 bits a channel: one step is up to 0.5 DeltaE00 in a dark tone; 16 bits are better");
  if (facts.format == "JPEG")
    said.emplace_back("JPEG changes colours when it saves; TIFF or PNG are better");
}

std::optional<double> resolution(const PageFacts& page, std::vector<std::string>& warnings) {
  const double x = page.x_resolution, y = page.y_resolution;
  const std::string& unit = page.resolution_unit;
  const double mm = unit == "in" || unit == "inch" ? 25.4 : unit == "cm" ? 10 : 0;
  if (!(x > 0) || !(y > 0) || mm == 0 || !std::isfinite(x) || !std::isfinite(y)) return {};
  if (std::abs(x - y) > 0.001 * x) {
    warnings.push_back("the resolution tag is not the same across and down; it is not used");
    return {};
  }
  // What programs write when nobody told them: it says nothing about the object.
  if (unit != "cm" && (x == 72 || x == 96)) {
    warnings.push_back("the resolution tag of " + fixed(x, 0) +
                       " per inch is what programs write when they do not know; it is not used");
    return {};
  }
  return x / mm;
}

/// What only says that it is sRGB was made by a camera or program for screens, which brightens and
/// saturates as it likes.
Result<Profile> profile_of_declared(const PhotographOptions& options, PhotographFacts& facts) {
  if (!options.for_looking)
    return bad_input(
        "This photograph says that it is sRGB and holds no ICC profile: it is for looking, not for "
        "measuring. Name the camera's or scanner's profile with --profile",
        facts.file);
  auto profile =
      open_profile(facts.channels == 1 ? srgb_grey_profile() : srgb_profile(), facts.channels);
  if (!profile) return profile;
  facts.profile_from = declared_srgb;
  profile->facts.description = declared_srgb;
  facts.warnings.emplace_back(declared_srgb);
  return profile;
}

Result<Profile> profile_for(const std::string& embedded, bool says_srgb,
                            const PhotographOptions& options, PhotographFacts& facts) {
  if (!options.profile_file.empty()) {
    auto bytes = read_file(options.profile_file, 64u << 20);
    if (!bytes) return bytes.error();
    if (!embedded.empty() && embedded != *bytes)
      facts.warnings.emplace_back("the embedded profile was set aside for the one that you named");
    facts.profile_from = "named: " + options.profile_file;
    auto profile = open_profile(*bytes, facts.channels);
    if (!profile) return bad_input(profile.error().message, options.profile_file);
    return profile;
  }
  if (embedded.empty() && says_srgb) return profile_of_declared(options, facts);
  if (embedded.empty())
    return bad_input(
        "This photograph holds no ICC profile, so its colour space is not known. Name the camera's "
        "or scanner's profile with --profile",
        facts.file);
  facts.profile_from = "embedded";
  auto profile = open_profile(embedded, facts.channels);
  if (!profile) return bad_input(profile.error().message, facts.file);
  return profile;
}

}  // namespace

Photograph::Photograph(std::unique_ptr<State> state) : state_(std::move(state)) {}
Photograph::~Photograph() = default;
const PhotographFacts& Photograph::facts() const {
  return state_->facts;
}
const Profile& Photograph::profile() const {
  return state_->profile;
}
std::size_t Photograph::clipped_pixels() const {
  return state_->clipped;
}
ImageSize Photograph::size() const {
  return state_->facts.size;
}
const PixelTransform& Photograph::transform() const {
  return *state_->profile.transform;
}

Result<std::unique_ptr<Photograph>> Photograph::open(const std::string& path,
                                                     const PhotographOptions& options) {
  auto source = pictures::Source::open(path, true);
  if (!source) return source.error();
  auto state = std::make_unique<State>();
  state->source = *std::move(source);
  const PictureHead& head = state->source->head();
  PhotographFacts& facts = state->facts;
  facts.file = path;
  facts.format = name_of(head.format);
  auto found = page_of(*state->source, options.page, facts);
  if (!found) return found.error();
  state->page = *std::move(found);
  const PageFacts& page = state->page;
  state->stored = {page.width, page.height};
  facts.sample = sample_name(page.sample);
  if (facts.sample.empty())
    return bad_input("expected 8 or 16 bit, half or float, found " + page.sample, path);
  auto channels = colour_channels(page, path, facts.format);
  if (!channels) return channels.error();
  facts.channels = *channels;
  if (auto enough = check_length(page, state->source->file_bytes(), path); !enough)
    return enough.error();
  facts.orientation = page.orientation;
  if (facts.orientation < 1 || facts.orientation > 8)
    return bad_input("the tag for the picture's orientation holds " +
                         std::to_string(facts.orientation) + "; expected 1 to 8",
                     path);
  facts.size = upright_size(state->stored, facts.orientation);
  say_what_was_done(page, head, facts);
  facts.pixels_per_mm = resolution(page, facts.warnings);
  constexpr int exif_srgb = 1;
  const bool says_srgb = head.says_srgb || page.exif_space == exif_srgb;
  auto profile = profile_for(page.icc, says_srgb, options, facts);
  if (!profile) return profile.error();
  state->profile = *std::move(profile);
  facts.profile = state->profile.facts;
  for (const std::string& warning : facts.profile.warnings) facts.warnings.push_back(warning);
  state->is_float = page.is_float != 0;
  state->check_alpha = page.alpha_channel >= 0 && page.unassociated_alpha == 0;
  return std::unique_ptr<Photograph>(new Photograph(std::move(state)));
}

namespace {

/// Counts pixels with a channel at its end. A channel at 65535 is burnt out; at 0 it is dark.
std::size_t count_burnt(const std::vector<std::uint16_t>& values, std::size_t channels) {
  constexpr std::size_t run = 3 * 1024;
  std::size_t burnt = 0;
  for (std::size_t from = 0; from < values.size(); from += run) {
    const std::size_t end = std::min(values.size(), from + run);
    // Most runs hold none, which is soon seen.
    std::uint16_t highest = 0;
    for (std::size_t i = from; i < end; ++i) highest = std::max(highest, values[i]);
    if (highest < 65535) continue;
    for (std::size_t i = from; i < end; i += channels) {
      bool one = false;
      for (std::size_t c = 0; c < channels; ++c) one = one || values[i + c] == 65535;
      burnt += one;
    }
  }
  return burnt;
}

/// Cuts to 0 … 1 and counts; nothing if a value is not a number.
std::optional<std::size_t> cut(std::vector<float>& values, std::size_t channels) {
  std::size_t cut_pixels = 0;
  for (std::size_t i = 0; i < values.size(); i += channels) {
    bool outside = false;
    for (std::size_t c = 0; c < channels; ++c) {
      float& value = values[i + c];
      if (!std::isfinite(value)) return {};
      outside = outside || value < 0 || value > 1;
      value = std::clamp(value, 0.0f, 1.0f);
    }
    cut_pixels += outside ? 1 : 0;
  }
  return cut_pixels;
}

/// Keeps the colours of pixels that have an alpha behind them, whose value must be `full`.
template <class T>
bool without_alpha(const T* wide, std::size_t pixels, std::size_t channels, T full, T* colours) {
  bool opaque = true;
  for (std::size_t i = 0; i < pixels; ++i, wide += channels + 1) {
    for (std::size_t c = 0; c < channels; ++c) *colours++ = wide[c];
    opaque = opaque && wide[channels] == full;
  }
  return opaque;
}

}  // namespace

/// Stored rows as they lie in the file, `channels` of them.
Result<void> Photograph::State::fetch(int y0, int y1, int channels, void* target) {
  auto got = source->rows(page, facts.page - 1, y0, y1, channels,
                          is_float ? pictures::Sample::f32 : pictures::Sample::u16, target);
  if (got) return got;
  return Error{got.error().code,
               "the picture cannot be read at row " + std::to_string(y0) +
                   ": it ends early or is damaged (" + got.error().message + ")",
               facts.file};
}

Result<void> Photograph::State::read_stored(int y0, int y1, void* target) {
  const int channels = facts.channels + (check_alpha ? 1 : 0);
  const std::size_t pixels =
      static_cast<std::size_t>(stored.width) * static_cast<std::size_t>(y1 - y0);
  if (check_alpha)
    wide.resize(pixels * static_cast<std::size_t>(channels) * (is_float ? sizeof(float) : 2));
  if (auto got = fetch(y0, y1, channels, check_alpha ? wide.data() : target); !got) return got;
  if (!check_alpha) return {};
  const auto n = static_cast<std::size_t>(facts.channels);
  const bool opaque =
      is_float ? without_alpha(reinterpret_cast<const float*>(wide.data()), pixels, n, 1.0f,
                               static_cast<float*>(target))
               : without_alpha(reinterpret_cast<const std::uint16_t*>(wide.data()), pixels, n,
                               std::uint16_t{65535}, static_cast<std::uint16_t*>(target));
  if (opaque) return {};
  return bad_input("the colours are multiplied by a transparency, which is not full in rows " +
                       std::to_string(y0) + " to " + std::to_string(y1 - 1) +
                       "; save the picture without one",
                   facts.file);
}

Result<void> Photograph::read(int y0, int y1, CodedRows& rows) {
  State& s = *state_;
  assert(0 <= y0 && y0 < y1 && y1 <= s.facts.size.height);
  rows.width = s.facts.size.width;
  rows.channels = s.facts.channels;
  rows.y0 = y0;
  rows.y1 = y1;
  const auto channels = static_cast<std::size_t>(rows.channels);
  const std::size_t count =
      static_cast<std::size_t>(rows.width) * static_cast<std::size_t>(y1 - y0) * channels;
  rows.u16.resize(s.is_float ? 0 : count);
  rows.f32.resize(s.is_float ? count : 0);
  void* target = s.is_float ? static_cast<void*>(rows.f32.data()) : rows.u16.data();
  if (s.facts.orientation == 1) {
    if (auto got = s.read_stored(y0, y1, target); !got) return got;
  } else {
    if (!s.upright) {
      auto made = UprightRows::make(s.stored, s.facts.orientation,
                                    channels * (s.is_float ? sizeof(float) : 2),
                                    [&s](int first, int end, unsigned char* band) {
                                      return s.read_stored(first, end, band);
                                    });
      if (!made) return made.error();
      s.upright = *std::move(made);
    }
    if (auto got = s.upright->read(y0, y1, static_cast<unsigned char*>(target)); !got) return got;
  }
  if (!s.is_float) {
    s.clipped += count_burnt(rows.u16, channels);
    return {};
  }
  const auto cut_pixels = cut(rows.f32, channels);
  if (!cut_pixels)
    return bad_input("a pixel in rows " + std::to_string(y0) + " to " + std::to_string(y1 - 1) +
                         " is not a number",
                     s.facts.file);
  s.clipped += *cut_pixels;
  return {};
}

Result<void> Photograph::read_all() {
  CodedRows rows;
  constexpr int at_once = 64;
  for (int y = 0; y < size().height; y += at_once)
    if (auto got = read(y, std::min(size().height, y + at_once), rows); !got) return got;
  return {};
}

}  // namespace mendtone
