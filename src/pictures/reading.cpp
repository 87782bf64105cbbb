#include "pictures/reading.hpp"

#include <OpenImageIO/filesystem.h>
#include <OpenImageIO/imageio.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <new>

namespace mendtone::pictures {
namespace {

constexpr int most_pages = 1000;

/// The file as the library reads it: a descriptor that is open already.
class Descriptor final : public OIIO::Filesystem::IOProxy {
 public:
  explicit Descriptor(int descriptor) : IOProxy("picture", Read), descriptor_(descriptor) {}
  ~Descriptor() override { ::close(descriptor_); }
  const char* proxytype() const override { return "descriptor"; }
  std::size_t read(void* to, std::size_t count) override {
    const std::size_t got = pread(to, count, m_pos);
    m_pos += static_cast<std::int64_t>(got);
    return got;
  }
  std::size_t pread(void* to, std::size_t count, std::int64_t offset) override {
    std::size_t done = 0;
    while (done < count) {
      const ssize_t got = ::pread(descriptor_, static_cast<char*>(to) + done, count - done,
                                  static_cast<off_t>(offset) + static_cast<off_t>(done));
      if (got < 0 && errno == EINTR) continue;
      if (got <= 0) break;
      done += static_cast<std::size_t>(got);
    }
    return done;
  }
  std::size_t size() const override {
    struct stat facts {};
    return ::fstat(descriptor_, &facts) == 0 ? static_cast<std::size_t>(facts.st_size) : 0;
  }

 private:
  int descriptor_;
};

/// The same for the reader of JPEG, which takes a file of its own or bytes in memory: a place in
/// the file is shared with whoever else has it open, so these are the file's bytes, mapped.
class Mapped final : public OIIO::Filesystem::IOMemReader {
 public:
  static std::unique_ptr<Mapped> of(int descriptor) {
    struct stat facts {};
    const bool known = ::fstat(descriptor, &facts) == 0 && facts.st_size > 0;
    const auto size = static_cast<std::size_t>(facts.st_size);
    void* const place =
        known ? ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, descriptor, 0) : MAP_FAILED;
    ::close(descriptor);
    if (place == MAP_FAILED) throw std::bad_alloc();
    return std::unique_ptr<Mapped>(new Mapped(place, size));
  }
  ~Mapped() override { ::munmap(place_, size_); }

 private:
  Mapped(void* place, std::size_t size) : IOMemReader(place, size), place_(place), size_(size) {}
  void* place_;
  std::size_t size_;
};

OIIO::TypeDesc type_of(Sample sample) {
  return sample == Sample::u8    ? OIIO::TypeDesc(OIIO::TypeDesc::UINT8)
         : sample == Sample::u16 ? OIIO::TypeDesc(OIIO::TypeDesc::UINT16)
                                 : OIIO::TypeDesc(OIIO::TypeDesc::FLOAT);
}

PageFacts facts_of(const OIIO::ImageSpec& spec) {
  PageFacts f;
  f.width = spec.width;
  f.height = spec.height;
  f.depth = spec.depth;
  f.first_column = spec.x;
  f.first_row = spec.y;
  f.channels = spec.nchannels;
  f.alpha_channel = spec.alpha_channel;
  f.tile_width = spec.tile_width;
  f.tile_height = spec.tile_height;
  f.pixel_bytes = static_cast<std::int32_t>(spec.pixel_bytes(true));
  f.sample = spec.format.c_str();
  f.is_float = spec.format.is_floating_point() ? 1 : 0;
  f.orientation = spec.get_int_attribute("Orientation", 1);
  f.unassociated_alpha = spec.get_int_attribute("oiio:UnassociatedAlpha");
  f.photometric = spec.get_int_attribute("tiff:PhotometricInterpretation", -1);
  f.tiff_space = spec.get_string_attribute("tiff:ColorSpace");
  f.jpeg_space = spec.get_string_attribute("jpeg:ColorSpace");
  f.compression = spec.get_string_attribute("compression");
  for (int c = 0; c < std::min(spec.nchannels, 16); ++c)
    f.channel_names += (c > 0 ? "," : "") + std::string(spec.channel_name(c));
  f.exif_space = spec.get_int_attribute("Exif:ColorSpace");
  f.x_resolution = spec.get_float_attribute("XResolution");
  f.y_resolution = spec.get_float_attribute("YResolution");
  f.resolution_unit = spec.get_string_attribute("ResolutionUnit");
  if (const auto* icc = spec.find_attribute("ICCProfile"))
    f.icc.assign(static_cast<const char*>(icc->data()), icc->datasize());
  return f;
}

}  // namespace

void warm_up_reading() {
  // One thread: nothing here may start another once it is confined.
  OIIO::attribute("threads", 1);
  OIIO::attribute("exr_threads", -1);
  // Its own limit is on memory that is never taken here; ours is on pixels.
  OIIO::attribute("limits:imagesize_MB", 1 << 20);
  for (const char* reader : {"tiff", "png", "jpeg", "openexr"}) OIIO::ImageInput::create(reader);
  (void)OIIO::geterror();
}

struct OpenPicture::State {
  std::string reader;
  bool plain_alpha = false;
  std::unique_ptr<OIIO::Filesystem::IOProxy> file;
  std::unique_ptr<OIIO::ImageInput> input;
  int page = -1;
  int next_row = 0;
  OIIO::ImageSpec spec;

  // Rows of tiles that were read last: only whole ones can be asked for.
  std::vector<unsigned char> tiles;
  int tiles_top = 0, tiles_bottom = 0, tiles_channels = 0;
  OIIO::TypeDesc tiles_type;

  std::optional<std::string> open_input();
  std::optional<std::string> turn_to(int index);
  bool tiled_rows(int y0, int y1, int channels, OIIO::TypeDesc type, unsigned char* to);
  std::string fault() const;
};

std::string OpenPicture::State::fault() const {
  const std::string own = input ? input->geterror() : OIIO::geterror();
  return own.empty() ? "it ends early or is damaged" : own;
}

std::optional<std::string> OpenPicture::State::open_input() {
  page = -1;
  next_row = 0;
  file->seek(0);
  input = OIIO::ImageInput::create(reader);
  if (!input || !input->supports("ioproxy")) return "there is no reader for this kind of picture";
  OIIO::ImageSpec hints;
  if (plain_alpha) hints.attribute("oiio:UnassociatedAlpha", 1);
  void* const proxy = file.get();
  hints.attribute("oiio:ioproxy", OIIO::TypeDesc::PTR, &proxy);
  OIIO::ImageSpec first;
  if (!input->open("picture", first, hints)) return fault();
  input->threads(1);
  return {};
}

std::optional<std::string> OpenPicture::State::turn_to(int index) {
  if (index == page) return {};
  if (!input->seek_subimage(index, 0)) return fault();
  page = index;
  next_row = 0;
  spec = input->spec();
  tiles_top = tiles_bottom = 0;
  return {};
}

bool OpenPicture::State::tiled_rows(int y0, int y1, int channels, OIIO::TypeDesc type,
                                    unsigned char* to) {
  const int t = spec.tile_height;
  const std::size_t row_bytes =
      static_cast<std::size_t>(spec.width) * static_cast<std::size_t>(channels) * type.size();
  while (y0 < y1) {
    const bool there =
        y0 >= tiles_top && y0 < tiles_bottom && channels == tiles_channels && type == tiles_type;
    if (!there) {
      tiles_top = y0 / t * t;
      const int bottom = std::min(tiles_top + t, spec.height);
      tiles_bottom = tiles_top;  // nothing, should it fail
      tiles_channels = channels;
      tiles_type = type;
      tiles.resize(row_bytes * static_cast<std::size_t>(bottom - tiles_top));
      if (!input->read_tiles(page, 0, spec.x, spec.x + spec.width, spec.y + tiles_top,
                             spec.y + bottom, 0, 1, 0, channels, type, tiles.data()))
        return false;
      tiles_bottom = bottom;
    }
    const int end = std::min(y1, tiles_bottom);
    const std::size_t bytes = row_bytes * static_cast<std::size_t>(end - y0);
    std::copy_n(tiles.data() + row_bytes * static_cast<std::size_t>(y0 - tiles_top), bytes, to);
    to += bytes;
    y0 = end;
  }
  return true;
}

OpenPicture::OpenPicture() : state_(std::make_unique<State>()) {}
OpenPicture::~OpenPicture() = default;

std::optional<std::string> OpenPicture::open(const std::string& reader, bool plain_alpha,
                                             int descriptor, PageSizes& pages) {
  State& s = *state_;
  s.reader = reader;
  s.plain_alpha = plain_alpha;
  if (reader == "jpeg")
    s.file = Mapped::of(descriptor);
  else
    s.file = std::make_unique<Descriptor>(descriptor);
  if (auto failed = s.open_input()) return failed;
  const auto size = [&] {
    return std::pair<std::int32_t, std::int32_t>(s.input->spec().width, s.input->spec().height);
  };
  pages.push_back(size());
  while (pages.size() < most_pages && s.input->seek_subimage(static_cast<int>(pages.size()), 0))
    pages.push_back(size());
  (void)s.input->geterror();
  return s.turn_to(0);
}

std::optional<std::string> OpenPicture::page(int index, PageFacts& facts) {
  if (auto failed = state_->turn_to(index)) return failed;
  facts = facts_of(state_->spec);
  return {};
}

std::optional<std::string> OpenPicture::rows(int page, int y0, int y1, int channels, Sample sample,
                                             void* to, std::size_t room) {
  State& s = *state_;
  if (!s.input) return "no picture is open";
  if (auto failed = s.turn_to(page)) return failed;
  const OIIO::TypeDesc type = type_of(sample);
  if (y0 < 0 || y1 <= y0 || y1 > s.spec.height || channels < 1 || channels > s.spec.nchannels ||
      static_cast<std::size_t>(s.spec.width) * static_cast<std::size_t>(channels) * type.size() *
              static_cast<std::size_t>(y1 - y0) >
          room)
    return "rows were asked for that are not there";
  if (s.spec.tile_height > 0)
    return s.tiled_rows(y0, y1, channels, type, static_cast<unsigned char*>(to))
               ? std::nullopt
               : std::optional(s.fault());
  // PNG and JPEG can be read from the top only.
  const bool from_top = s.reader == "png" || s.reader == "jpeg";
  if (from_top && y0 < s.next_row) {
    if (auto failed = s.open_input()) return failed;
    if (auto failed = s.turn_to(page)) return failed;
  }
  if (!s.input->read_scanlines(page, 0, s.spec.y + y0, s.spec.y + y1, 0, 0, channels, type, to))
    return s.fault();
  s.next_row = y1;
  return {};
}

}  // namespace mendtone::pictures
