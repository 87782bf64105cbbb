#include "mendtone/adapters/photograph.hpp"

#include <OpenImageIO/imageio.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "adapters/upright_rows.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone {

struct Photograph::State {
  PhotographFacts facts;
  Profile profile;
  std::unique_ptr<OIIO::ImageInput> input;
  int page = 0;  // as the library counts, from 0
  ImageSize stored;
  bool is_float = false;
  bool check_alpha = false;              // the colours are right only where it is full
  int first_row = 0, first_column = 0;   // an EXR's data window need not start at 0
  int depth_tile = 0;                    // tile height; 0: scanlines
  std::unique_ptr<UprightRows> upright;  // made at the first reading, where needed
  std::size_t clipped = 0;
  std::vector<unsigned char> wide;  // rows with their alpha

  bool fetch(int y0, int y1, int channels, void* target);
  Result<void> read_stored(int y0, int y1, void* target);
};

namespace {

constexpr std::size_t most_pixels = 2'000'000'000;

struct Head {
  std::string format;
  bool palette = false;
};

Error impossible_size(ImageSize size, const std::string& path) {
  return bad_input("a picture of " + std::to_string(size.width) + " x " +
                       std::to_string(size.height) + " pixels cannot be; at most 2000 megapixels",
                   path);
}

/// Bytes 16 to 23, before a library that would complain in its own words.
ImageSize png_size(std::string_view start) {
  const auto number = [&](std::size_t at) {
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < 4; ++i)
      value = value << 8 | static_cast<unsigned char>(start[at + i]);
    return static_cast<int>(std::min<std::uint32_t>(value, 2147483647u));
  };
  return {number(16), number(20)};
}

/// Told by the first bytes, not by the name. The PNG's colour type stands in byte 25.
Result<Head> head_of(const std::string& path) {
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored))
    return outside_world("this is a folder, not a file", path);
  std::ifstream file(path, std::ios::binary);
  if (!file) return outside_world("cannot open the photograph", path);
  std::array<char, 32> bytes{};
  file.read(bytes.data(), bytes.size());
  const std::string_view start(bytes.data(), static_cast<std::size_t>(file.gcount()));
  const auto begins = [&](std::string_view mark) { return start.substr(0, mark.size()) == mark; };
  using namespace std::string_view_literals;
  if (begins("II*\0"sv) || begins("MM\0*"sv) || begins("II+\0"sv) || begins("MM\0+"sv))
    return Head{"TIFF", false};
  if (begins("\x89PNG\r\n\x1a\n"sv)) {
    if (start.size() < 26) return bad_input("the PNG ends within its first lines", path);
    const auto size = png_size(start);
    if (size.width < 1 || size.height < 1 || size.pixels() > most_pixels)
      return impossible_size(size, path);
    return Head{"PNG", start[25] == 3};
  }
  if (begins("\xff\xd8\xff"sv)) return Head{"JPEG", false};
  if (begins("\x76\x2f\x31\x01"sv)) return Head{"EXR", false};
  return bad_input(std::string("expected a TIFF, PNG, JPEG or OpenEXR photograph, found ") +
                       (start.empty() ? "an empty file" : "another kind of file"),
                   path);
}

/// A JPEG that ends early is filled with grey by its decoder; only its end mark tells.
Result<void> check_jpeg_end(const std::string& path) {
  std::ifstream file(path, std::ios::binary | std::ios::ate);
  const auto size = static_cast<std::streamoff>(file.tellg());
  constexpr std::streamoff tail = 1 << 16;
  const std::streamoff from = std::max<std::streamoff>(0, size - tail);
  file.seekg(from);
  std::string bytes(static_cast<std::size_t>(size - from), '\0');
  file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  if (bytes.rfind("\xff\xd9") != std::string::npos) return {};
  return bad_input("the JPEG ends before its last row", path);
}

std::string sample_name(OIIO::TypeDesc type) {
  switch (type.basetype) {
    case OIIO::TypeDesc::UINT8:
      return "8 bit";
    case OIIO::TypeDesc::UINT16:
      return "16 bit";
    case OIIO::TypeDesc::HALF:
      return "half float";
    case OIIO::TypeDesc::FLOAT:
      return "float";
    default:
      return {};
  }
}

Result<int> colour_channels(const OIIO::ImageSpec& spec, const std::string& path,
                            const std::string& format) {
  const std::string space(spec.get_string_attribute("tiff:ColorSpace"));
  const std::string jpeg(spec.get_string_attribute("jpeg:ColorSpace"));
  const int photometric = spec.get_int_attribute("tiff:PhotometricInterpretation", -1);
  if (space == "CMYK" || jpeg == "CMYK" || jpeg == "YCbCrK" || photometric == 5)
    return bad_input("the picture is CMYK, made for printing; expected RGB or grey", path);
  if (photometric >= 8 && photometric <= 10)
    return bad_input(
        "the picture holds CIELAB, not what a camera or scanner saw; expected RGB or grey", path);
  const int colours = spec.nchannels - (spec.alpha_channel >= 0 ? 1 : 0);
  if (spec.alpha_channel >= 0 && spec.alpha_channel != colours)
    return bad_input("the transparency does not stand after the colours", path);
  if (colours != 1 && colours != 3)
    return bad_input("expected 1 channel (grey) or 3 (RGB), found " + std::to_string(colours),
                     path);
  if (colours == 3 && format == "EXR" &&
      (spec.channel_name(0) != "R" || spec.channel_name(1) != "G" || spec.channel_name(2) != "B"))
    return bad_input("expected the channels R, G, B in this order, found others", path);
  return colours;
}

/// A file too short for the pixels that it claims is found out before they are asked for: the
/// library gives grey or black for some of them.
Result<void> check_length(const OIIO::ImageSpec& spec, const std::string& path) {
  std::error_code none;
  const auto bytes = static_cast<double>(std::filesystem::file_size(path, none));
  const double pixels = static_cast<double>(spec.width) * spec.height,
               raw = pixels * static_cast<double>(spec.pixel_bytes(true));
  // No packing makes a photograph a thousand times smaller.
  const bool plain = spec.get_string_attribute("compression") == "none";
  if (none || bytes * (plain ? 1 : 1500) >= raw) return {};
  return bad_input("the picture ends early: it claims " + std::to_string(spec.width) + " x " +
                       std::to_string(spec.height) + " pixels, and the file has " +
                       fixed(bytes, 0) + " bytes",
                   path);
}

/// The picture to read, where the file holds several: the page named, else the first if only
/// thumbnails stand behind it.
Result<OIIO::ImageSpec> page_of(OIIO::ImageInput& input, int named, PhotographFacts& facts) {
  constexpr int most_pages = 1000;
  const OIIO::ImageSpec first = input.spec();
  OIIO::ImageSpec found = first;
  int pages = 1;
  bool all_small = true;
  for (; pages < most_pages && input.seek_subimage(pages, 0); ++pages) {
    const OIIO::ImageSpec& spec = input.spec();
    all_small = all_small && static_cast<double>(spec.width) * spec.height * 4 <=
                                 static_cast<double>(first.width) * first.height;
    if (pages + 1 == named) found = spec;
  }
  (void)input.geterror();
  facts.pages = pages;
  if (named < 0 || named > pages)
    return bad_request("there is no page " + std::to_string(named) + " in " + facts.file +
                           "; it has " + std::to_string(pages),
                       "--page");
  facts.page = std::max(1, named);
  if (pages == 1) return found;
  if (named == 0 && !all_small)
    return bad_input(
        "the file holds " + std::to_string(pages) +
            " pictures (pages); say with --page which one to measure, 1 being the first",
        facts.file);
  facts.warnings.push_back(named == 0 ? std::string("a thumbnail in the file was ignored")
                                      : "page " + std::to_string(named) + " of " +
                                            std::to_string(pages) + " was read, as asked");
  if (!input.seek_subimage(facts.page - 1, 0))
    return bad_input("the picture cannot be read again", facts.file);
  return found;
}

/// Opens the file and finds the picture to read. A damaged file may ask the library for any amount
/// of memory.
Result<OIIO::ImageSpec> opened(int named, PhotographFacts& facts,
                               std::unique_ptr<OIIO::ImageInput>& input) try {
  // Its own limit is on memory that is never taken here; ours is on pixels.
  OIIO::attribute("limits:imagesize_MB", 1 << 20);
  OIIO::ImageSpec hints;
  hints.attribute("oiio:UnassociatedAlpha", 1);
  input = OIIO::ImageInput::open(facts.file, &hints);
  if (!input)
    return bad_input("the " + facts.format + " cannot be read: " + OIIO::geterror(), facts.file);
  // Our own threads work while one of them reads.
  input->threads(1);
  auto page = page_of(*input, named, facts);
  if (page && static_cast<double>(page->tile_width) * page->tile_height > 1e8)
    return bad_input("the picture lies in tiles of more than 100 megapixels each", facts.file);
  return page;
} catch (const std::exception&) {
  return bad_input("the file is damaged: it asks for more memory than a picture needs", facts.file);
}

bool has_palette(const OIIO::ImageSpec& spec, const Head& head) {
  return head.palette || spec.get_int_attribute("tiff:PhotometricInterpretation", -1) == 3;
}

void say_what_was_done(const OIIO::ImageSpec& spec, const Head& head, PhotographFacts& facts) {
  auto& said = facts.warnings;
  if (facts.orientation != 1)
    said.emplace_back("the picture is stored turned or mirrored (orientation " +
                      std::to_string(facts.orientation) +
                      "); it was set upright, and places in it are counted in the upright picture");
  if (has_palette(spec, head))
    said.emplace_back(
        "the colours of this picture were reduced to a palette of at most 256: small differences "
        "and mottling are lost; measure the picture that it was made from, if there is one");
  if (spec.alpha_channel >= 0)
    said.emplace_back(
        spec.get_int_attribute("oiio:UnassociatedAlpha") != 0
            ? "the transparency was ignored"
            : "the transparency was ignored: it is full wherever the picture was read");
  if (facts.sample == "8 bit")
    said.emplace_back(
        "8 bits a channel: one step is up to 0.5 DeltaE00 in a dark tone; 16 bits are better");
  if (facts.format == "JPEG")
    said.emplace_back("JPEG changes colours when it saves; TIFF or PNG are better");
}

std::optional<double> resolution(const OIIO::ImageSpec& spec, std::vector<std::string>& warnings) {
  const double x = spec.get_float_attribute("XResolution"),
               y = spec.get_float_attribute("YResolution");
  const std::string unit(spec.get_string_attribute("ResolutionUnit"));
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

Result<Profile> profile_for(const OIIO::ImageSpec& spec, const PhotographOptions& options,
                            PhotographFacts& facts) {
  std::string embedded;
  if (const auto* icc = spec.find_attribute("ICCProfile"))
    embedded.assign(static_cast<const char*>(icc->data()), icc->datasize());
  if (!options.profile_file.empty()) {
    auto bytes = MENDTONE_TRY(read_file(options.profile_file, 64u << 20));
    if (!embedded.empty() && embedded != bytes)
      facts.warnings.push_back("the embedded profile was set aside for the one that you named");
    facts.profile_from = "named: " + options.profile_file;
    auto profile = open_profile(bytes, facts.channels);
    if (!profile) return bad_input(profile.error().message, options.profile_file);
    return profile;
  }
  if (embedded.empty())
    return bad_input(
        "no ICC profile in the file, so its numbers are no colours; name the camera's "
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
  auto head = MENDTONE_TRY(head_of(path));
  if (head.format == "JPEG") MENDTONE_TRY(check_jpeg_end(path));

  auto state = std::make_unique<State>();
  PhotographFacts& facts = state->facts;
  facts.file = path;
  facts.format = head.format;
  auto page = MENDTONE_TRY(opened(options.page, facts, state->input));
  const OIIO::ImageSpec& spec = page;
  state->stored = {spec.width, spec.height};
  if (spec.width <= 0 || spec.height <= 0 || spec.depth > 1 || state->stored.pixels() > most_pixels)
    return impossible_size(state->stored, path);
  facts.sample = sample_name(spec.format);
  if (facts.sample.empty())
    return bad_input(
        "expected 8 or 16 bit, half or float, found " + std::string(spec.format.c_str()), path);
  auto channels = MENDTONE_TRY(colour_channels(spec, path, facts.format));
  facts.channels = channels;
  MENDTONE_TRY(check_length(spec, path));
  facts.orientation = spec.get_int_attribute("Orientation", 1);
  if (facts.orientation < 1 || facts.orientation > 8)
    return bad_input("the tag for the picture's orientation holds " +
                         std::to_string(facts.orientation) + "; expected 1 to 8",
                     path);
  facts.size = upright_size(state->stored, facts.orientation);
  say_what_was_done(spec, head, facts);
  facts.pixels_per_mm = resolution(spec, facts.warnings);
  auto profile = MENDTONE_TRY(profile_for(spec, options, facts));
  state->profile = std::move(profile);
  facts.profile = state->profile.facts;
  for (const std::string& warning : facts.profile.warnings) facts.warnings.push_back(warning);
  state->page = facts.page - 1;
  state->is_float = spec.format.is_floating_point();
  state->check_alpha =
      spec.alpha_channel >= 0 && spec.get_int_attribute("oiio:UnassociatedAlpha") == 0;
  state->first_row = spec.y;
  state->first_column = spec.x;
  state->depth_tile = spec.tile_height;
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
bool Photograph::State::fetch(int y0, int y1, int channels, void* target) try {
  const OIIO::TypeDesc type = is_float ? OIIO::TypeFloat : OIIO::TypeUInt16;
  if (depth_tile == 0)
    return input->read_scanlines(page, 0, first_row + y0, first_row + y1, 0, 0, channels, type,
                                 target);
  // Whole tiles only can be asked for; what is not wanted of them is thrown away.
  const int t = depth_tile, top = y0 / t * t,
            bottom = std::min((y1 + t - 1) / t * t, stored.height);
  const std::size_t row_bytes =
      static_cast<std::size_t>(stored.width) * static_cast<std::size_t>(channels) * type.size();
  std::vector<unsigned char> tiles(row_bytes * static_cast<std::size_t>(bottom - top));
  if (!input->read_tiles(page, 0, first_column, first_column + stored.width, first_row + top,
                         first_row + bottom, 0, 1, 0, channels, type, tiles.data()))
    return false;
  std::copy_n(tiles.data() + row_bytes * static_cast<std::size_t>(y0 - top),
              row_bytes * static_cast<std::size_t>(y1 - y0), static_cast<unsigned char*>(target));
  return true;
} catch (const std::exception&) {
  // A damaged file may ask the library for any amount of memory.
  return false;
}

Result<void> Photograph::State::read_stored(int y0, int y1, void* target) {
  const int channels = facts.channels + (check_alpha ? 1 : 0);
  const std::size_t pixels =
      static_cast<std::size_t>(stored.width) * static_cast<std::size_t>(y1 - y0);
  if (check_alpha)
    wide.resize(pixels * static_cast<std::size_t>(channels) * (is_float ? sizeof(float) : 2));
  if (!fetch(y0, y1, channels, check_alpha ? wide.data() : target)) {
    const std::string reason = input->geterror();
    return bad_input("the picture cannot be read at row " + std::to_string(y0) +
                         ": it ends early or is damaged" +
                         (reason.empty() ? "" : " (" + reason + ")"),
                     facts.file);
  }
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
      auto made = MENDTONE_TRY(UprightRows::make(s.stored, s.facts.orientation,
                                                 channels * (s.is_float ? sizeof(float) : 2),
                                                 [&s](int first, int end, unsigned char* band) {
                                                   return s.read_stored(first, end, band);
                                                 }));
      s.upright = std::move(made);
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

}  // namespace mendtone
