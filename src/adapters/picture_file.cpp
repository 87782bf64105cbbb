#include "mendtone/adapters/picture_file.hpp"

#include <OpenImageIO/imageio.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cassert>
#include <cerrno>
#include <cstring>
#include <filesystem>

namespace mendtone {

struct PictureWriter::State {
  std::string path, temporary;
  std::unique_ptr<OIIO::ImageOutput> output;
  OIIO::TypeDesc type;
  int next_row = 0, height = 0;
  std::size_t row_bytes = 0;
  bool in_place = false;

  ~State() {
    output.reset();
    if (!in_place && !temporary.empty()) ::unlink(temporary.c_str());
  }
};

namespace {

Result<std::string> kind_of(const std::string& path, bool is_float) {
  const std::string ending = std::filesystem::path(path).extension().string();
  if (ending == ".tif" || ending == ".tiff") return std::string("tif");
  if (ending == ".png" && !is_float) return std::string("png");
  return bad_request(is_float
                         ? "measured values are written as TIFF: expected a name ending in .tif"
                         : "expected a name ending in .png, .tif or .tiff",
                     path);
}

/// A new empty file beside `path`, of the permissions that the person's umask asks for.
Result<std::string> temporary_beside(const std::string& path, const std::string& ending) {
  std::string name = path + ".XXXXXX." + ending;
  const int descriptor = ::mkstemps(name.data(), static_cast<int>(ending.size() + 1));
  if (descriptor < 0)
    return outside_world(std::string("cannot write here: ") + std::strerror(errno), path);
  const mode_t mask = ::umask(0);
  ::umask(mask);
  ::fchmod(descriptor, 0666 & ~mask);
  ::close(descriptor);
  return name;
}

void tag(OIIO::ImageSpec& spec, const PictureTags& tags) {
  if (!tags.profile.empty())
    spec.attribute("ICCProfile",
                   OIIO::TypeDesc(OIIO::TypeDesc::UINT8, static_cast<int>(tags.profile.size())),
                   tags.profile.data());
  if (tags.pixels_per_mm) {
    spec.attribute("XResolution", static_cast<float>(*tags.pixels_per_mm * 25.4));
    spec.attribute("YResolution", static_cast<float>(*tags.pixels_per_mm * 25.4));
    spec.attribute("ResolutionUnit", "in");
  }
  if (!tags.description.empty()) spec.attribute("ImageDescription", tags.description);
  spec.attribute("Software", "mendtone");
}

}  // namespace

PictureWriter::PictureWriter(std::unique_ptr<State> state) : state_(std::move(state)) {}
PictureWriter::~PictureWriter() = default;

Result<std::unique_ptr<PictureWriter>> PictureWriter::create(const std::string& path,
                                                             ImageSize size, int channels,
                                                             bool is_float,
                                                             const PictureTags& tags) {
  auto ending = MENDTONE_TRY(kind_of(path, is_float));
  auto temporary = MENDTONE_TRY(temporary_beside(path, ending));
  auto state = std::make_unique<State>();
  state->path = path;
  state->temporary = temporary;
  state->type = is_float ? OIIO::TypeFloat : OIIO::TypeUInt16;
  state->height = size.height;
  state->row_bytes = static_cast<std::size_t>(size.width) * static_cast<std::size_t>(channels) *
                     state->type.size();
  OIIO::ImageSpec spec(size.width, size.height, channels, state->type);
  // Numbers are written plainly, for speed; pictures are packed without loss.
  const bool plain = is_float || tags.packing == PictureTags::Packing::none;
  spec.attribute("compression", plain ? "none" : "zip");
  if (!is_float) spec.attribute("png:compressionLevel", 4);
  tag(spec, tags);
  state->output = OIIO::ImageOutput::create(temporary);
  if (!state->output || !state->output->open(temporary, spec))
    return outside_world("cannot write the picture: " +
                             (state->output ? state->output->geterror() : OIIO::geterror()),
                         path);
  return std::unique_ptr<PictureWriter>(new PictureWriter(std::move(state)));
}

Result<void> PictureWriter::rows(const void* data, int count) {
  State& s = *state_;
  assert(s.next_row + count <= s.height);
  if (!s.output->write_scanlines(s.next_row, s.next_row + count, 0, s.type, data))
    return outside_world("cannot write the picture: " + s.output->geterror(), s.path);
  s.next_row += count;
  return {};
}

Result<void> PictureWriter::finish() {
  State& s = *state_;
  assert(s.next_row == s.height);
  if (!s.output->close())
    return outside_world("cannot write the picture: " + s.output->geterror(), s.path);
  const int descriptor = ::open(s.temporary.c_str(), O_RDONLY | O_CLOEXEC);
  const bool synced = descriptor >= 0 && ::fsync(descriptor) == 0;
  if (descriptor >= 0) ::close(descriptor);
  if (!synced || ::rename(s.temporary.c_str(), s.path.c_str()) != 0)
    return outside_world(std::string("cannot write the picture: ") + std::strerror(errno), s.path);
  s.in_place = true;
  return {};
}

Result<void> write_picture(const std::string& path, const Picture& picture,
                           const PictureTags& tags) {
  auto writer = MENDTONE_TRY(PictureWriter::create(path, picture.size, 3, false, tags));
  MENDTONE_TRY(writer->rows(picture.rgb.data(), picture.size.height));
  return writer->finish();
}

}  // namespace mendtone
