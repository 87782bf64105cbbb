#include "mendtone/adapters/photograph.hpp"

#include <OpenImageIO/imageio.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "mendtone/adapters/files.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone {

struct Photograph::State {
  PhotographFacts facts;
  Profile profile;
  std::unique_ptr<OIIO::ImageInput> input;
  bool is_float = false;
  int first_row = 0, first_column = 0;  // an EXR's data window need not start at 0
  int depth_tile = 0;                   // tile height; 0: scanlines
  std::size_t clipped = 0;
};

namespace {

constexpr std::size_t most_pixels = 2'000'000'000;

struct Head {
  std::string format;
  bool palette = false;
};

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
  if (begins("\x89PNG\r\n\x1a\n"sv)) return Head{"PNG", start.size() > 25 && start[25] == 3};
  if (begins("\xff\xd8\xff"sv)) return Head{"JPEG", false};
  if (begins("\x76\x2f\x31\x01"sv)) return Head{"EXR", false};
  return bad_input("expected a TIFF, PNG, JPEG or OpenEXR photograph, found another kind of file",
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

Result<int> colour_channels(const OIIO::ImageSpec& spec, const Head& head,
                            const std::string& path) {
  const std::string space(spec.get_string_attribute("tiff:ColorSpace"));
  const std::string jpeg(spec.get_string_attribute("jpeg:ColorSpace"));
  const int photometric = spec.get_int_attribute("tiff:PhotometricInterpretation", -1);
  if (head.palette || photometric == 3)
    return bad_input(
        "the colours of this picture were reduced to a palette: nothing can be "
        "measured in it",
        path);
  if (space == "CMYK" || jpeg == "CMYK" || jpeg == "YCbCrK" || photometric == 5)
    return bad_input("the picture is CMYK, made for printing; expected RGB or grey", path);
  const int colours = spec.nchannels - (spec.alpha_channel >= 0 ? 1 : 0);
  if (spec.alpha_channel >= 0 && spec.alpha_channel != colours)
    return bad_input("the transparency does not stand after the colours", path);
  if (colours != 1 && colours != 3)
    return bad_input("expected 1 channel (grey) or 3 (RGB), found " + std::to_string(colours),
                     path);
  if (spec.alpha_channel >= 0 && spec.get_int_attribute("oiio:UnassociatedAlpha") == 0)
    return bad_input("the colours are multiplied by a transparency; save it without", path);
  if (colours == 3 && head.format == "EXR" &&
      (spec.channel_name(0) != "R" || spec.channel_name(1) != "G" || spec.channel_name(2) != "B"))
    return bad_input("expected the channels R, G, B in this order, found others", path);
  return colours;
}

/// More pictures behind the first: a small one is a thumbnail, another is a question.
Result<bool> has_thumbnail(OIIO::ImageInput& input, const OIIO::ImageSpec& first,
                           const std::string& path) {
  bool thumbnail = false;
  for (int page = 1; input.seek_subimage(page, 0); ++page) {
    const OIIO::ImageSpec& spec = input.spec();
    const bool small = static_cast<double>(spec.width) * spec.height * 4 <=
                       static_cast<double>(first.width) * first.height;
    if (!small)
      return bad_input("the file holds several pictures (pages); save the one to measure by itself",
                       path);
    thumbnail = true;
    if (page > 16) return bad_input("the file holds more than 16 pictures", path);
  }
  (void)input.geterror();
  if (!input.seek_subimage(0, 0)) return bad_input("the picture cannot be read again", path);
  return thumbnail;
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
    auto bytes = read_file(options.profile_file, 64u << 20);
    if (!bytes) return bytes.error();
    if (!embedded.empty() && embedded != *bytes)
      facts.warnings.push_back("the embedded profile was set aside for the one that you named");
    facts.profile_from = "named: " + options.profile_file;
    auto profile = open_profile(*bytes, facts.channels);
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
  auto head = head_of(path);
  if (!head) return head.error();
  if (head->format == "JPEG")
    if (auto whole = check_jpeg_end(path); !whole) return whole.error();

  auto state = std::make_unique<State>();
  PhotographFacts& facts = state->facts;
  facts.file = path;
  facts.format = head->format;
  OIIO::ImageSpec hints;
  hints.attribute("oiio:UnassociatedAlpha", 1);
  state->input = OIIO::ImageInput::open(path, &hints);
  if (!state->input)
    return bad_input("the " + facts.format + " cannot be read: " + OIIO::geterror(), path);
  // Our own threads work while one of them reads.
  state->input->threads(1);
  const OIIO::ImageSpec spec = state->input->spec();
  facts.size = {spec.width, spec.height};
  if (spec.width <= 0 || spec.height <= 0 || spec.depth > 1 || facts.size.pixels() > most_pixels)
    return bad_input("a picture of " + std::to_string(spec.width) + " x " +
                         std::to_string(spec.height) + " pixels cannot be; at most 2000 megapixels",
                     path);
  facts.sample = sample_name(spec.format);
  if (facts.sample.empty())
    return bad_input(
        "expected 8 or 16 bit, half or float, found " + std::string(spec.format.c_str()), path);
  auto channels = colour_channels(spec, *head, path);
  if (!channels) return channels.error();
  facts.channels = *channels;
  if (const int turn = spec.get_int_attribute("Orientation", 1); turn != 1)
    return bad_input("the picture is stored turned or mirrored (orientation " +
                         std::to_string(turn) +
                         "); save it upright first, so that places in it mean one thing",
                     path);
  auto thumbnail = has_thumbnail(*state->input, spec, path);
  if (!thumbnail) return thumbnail.error();
  if (*thumbnail) facts.warnings.push_back("a thumbnail in the file was ignored");
  if (spec.alpha_channel >= 0) facts.warnings.push_back("the transparency was ignored");
  if (facts.sample == "8 bit")
    facts.warnings.push_back(
        "8 bits a channel: one step is up to 0.5 DeltaE00 in a dark tone; 16 bits are better");
  if (facts.format == "JPEG")
    facts.warnings.push_back("JPEG changes colours when it saves; TIFF or PNG are better");
  facts.pixels_per_mm = resolution(spec, facts.warnings);
  auto profile = profile_for(spec, options, facts);
  if (!profile) return profile.error();
  state->profile = *std::move(profile);
  facts.profile = state->profile.facts;
  for (const std::string& warning : facts.profile.warnings) facts.warnings.push_back(warning);
  state->is_float = spec.format.is_floating_point();
  state->first_row = spec.y;
  state->first_column = spec.x;
  state->depth_tile = spec.tile_height;
  return std::unique_ptr<Photograph>(new Photograph(std::move(state)));
}

namespace {

/// Counts pixels with a channel at its end. A channel at 65535 is burnt out; at 0 it is dark.
std::size_t count_burnt(const std::vector<std::uint16_t>& values, std::size_t channels) {
  std::size_t burnt = 0;
  if (channels == 3) {
    for (std::size_t i = 0; i + 2 < values.size(); i += 3)
      burnt += (values[i] == 65535) | (values[i + 1] == 65535) | (values[i + 2] == 65535);
  } else {
    for (const std::uint16_t value : values) burnt += value == 65535;
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

}  // namespace

Result<void> Photograph::read(int y0, int y1, CodedRows& rows) {
  State& s = *state_;
  assert(0 <= y0 && y0 < y1 && y1 <= s.facts.size.height);
  rows.width = s.facts.size.width;
  rows.channels = s.facts.channels;
  rows.y0 = y0;
  rows.y1 = y1;
  const std::size_t count = static_cast<std::size_t>(rows.width) *
                            static_cast<std::size_t>(y1 - y0) *
                            static_cast<std::size_t>(rows.channels);
  void* target = nullptr;
  if (s.is_float) {
    rows.u16.clear();
    rows.f32.resize(count);
    target = rows.f32.data();
  } else {
    rows.f32.clear();
    rows.u16.resize(count);
    target = rows.u16.data();
  }
  const OIIO::TypeDesc type = s.is_float ? OIIO::TypeFloat : OIIO::TypeUInt16;
  bool whole = false;
  if (s.depth_tile == 0) {
    whole = s.input->read_scanlines(0, 0, s.first_row + y0, s.first_row + y1, 0, 0, rows.channels,
                                    type, target);
  } else {
    // Whole tiles only can be asked for; what is not wanted of them is thrown away.
    const int t = s.depth_tile, top = y0 / t * t,
              bottom = std::min((y1 + t - 1) / t * t, s.facts.size.height);
    const std::size_t row_bytes = static_cast<std::size_t>(rows.width) *
                                  static_cast<std::size_t>(rows.channels) * type.size();
    std::vector<unsigned char> tiles(row_bytes * static_cast<std::size_t>(bottom - top));
    whole =
        s.input->read_tiles(0, 0, s.first_column, s.first_column + rows.width, s.first_row + top,
                            s.first_row + bottom, 0, 1, 0, rows.channels, type, tiles.data());
    if (whole)
      std::copy_n(tiles.data() + row_bytes * static_cast<std::size_t>(y0 - top),
                  row_bytes * static_cast<std::size_t>(y1 - y0),
                  static_cast<unsigned char*>(target));
  }
  if (!whole) {
    const std::string reason = s.input->geterror();
    return bad_input("the picture cannot be read at row " + std::to_string(y0) +
                         ": it ends early or is damaged" +
                         (reason.empty() ? "" : " (" + reason + ")"),
                     s.facts.file);
  }
  const auto channels = static_cast<std::size_t>(rows.channels);
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
