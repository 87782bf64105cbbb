#include "adapters/picture_source.hpp"

#include <algorithm>

namespace mendtone::pictures {
namespace {

/// Shared memory for rows; they come in pieces of this size, or one row.
constexpr std::size_t piece_bytes = 4u << 20;
/// Rows of tiles are unpacked whole.
constexpr double most_tile_row_pixels = 50e6;

const char* reader_of(PictureFormat format) {
  return format == PictureFormat::tiff   ? "tiff"
         : format == PictureFormat::png  ? "png"
         : format == PictureFormat::jpeg ? "jpeg"
                                         : "openexr";
}

}  // namespace

Source::Source(std::string path, RawFile file) : path_(std::move(path)), file_(std::move(file)) {
  bytes_.size = file_.size();
  bytes_.read = [this](std::uint64_t offset, std::size_t count) {
    std::string bytes(count, '\0');
    const ssize_t got = file_.read_at(bytes.data(), count, static_cast<std::size_t>(offset));
    bytes.resize(got > 0 ? static_cast<std::size_t>(got) : 0);
    return bytes;
  };
}

/// Through the gate, and no further.
Result<std::unique_ptr<Source>> Source::examined(const std::string& path) {
  auto file = RawFile::open(path);
  if (!file) return file.error();
  std::unique_ptr<Source> source(new Source(path, *std::move(file)));
  auto head = picture_head(source->bytes_, path);
  if (!head) return head.error();
  source->head_ = *std::move(head);
  if (auto whole = source->check_jpeg_end(); !whole) return whole.error();
  return source;
}

Result<std::unique_ptr<Source>> Source::open(const std::string& path, bool plain_alpha) {
  auto source = examined(path);
  if (!source) return source;
  if (auto begun = (*source)->begin(plain_alpha); !begun) return begun.error();
  return source;
}

/// A JPEG that ends early is filled with grey by its decoder; only its end mark tells.
Result<void> Source::check_jpeg_end() const {
  if (head_.format != PictureFormat::jpeg) return {};
  constexpr std::uint64_t tail = 1 << 16;
  const std::uint64_t from = bytes_.size > tail ? bytes_.size - tail : 0;
  if (bytes_.read(from, tail).rfind("\xff\xd9") != std::string::npos) return {};
  return bad_input("the JPEG ends before its last row", path_);
}

Result<void> Source::begin(bool plain_alpha) {
  auto session = Session::start(path_);
  if (!session) return session.error();
  session_ = *std::move(session);
  Packer request = asking(Ask::open);
  request(std::string(reader_of(head_.format)));
  request(static_cast<std::uint64_t>(plain_alpha ? 1 : 0));
  auto reply = session_->ask(request, file_.descriptor());
  if (!reply)
    return Error{
        reply.error().code,
        "the " + std::string(name_of(head_.format)) + " cannot be read: " + reply.error().message,
        path_};
  Unpacker in(*reply);
  const auto count = in.take<std::uint64_t>();
  for (std::uint64_t i = 0; i < count && in.sound; ++i) {
    const auto width = in.take<std::int32_t>(), height = in.take<std::int32_t>();
    pages_.push_back({width, height});
  }
  if (in.sound && !pages_.empty()) return {};
  return bad_input("the file holds no picture", path_);
}

Result<PageFacts> Source::page(int index) {
  Packer request = asking(Ask::page);
  request(static_cast<std::int32_t>(index));
  auto reply = session_->ask(request);
  if (!reply) return reply.error();
  Unpacker in(*reply);
  PageFacts facts;
  fields(in, facts);
  const ImageSize size{facts.width, facts.height};
  if (!in.sound || facts.channels < 1 || facts.tile_width < 0 || facts.tile_height < 0 ||
      facts.depth > 1 ||
      std::find(head_.pages.begin(), head_.pages.end(), size) == head_.pages.end())
    return bad_input("the file is damaged: its head and its pictures contradict each other", path_);
  if (static_cast<double>(facts.width) * facts.tile_height > most_tile_row_pixels ||
      static_cast<double>(facts.tile_width) * facts.tile_height > most_tile_row_pixels)
    return bad_input(
        "the picture lies in tiles too large to be unpacked; save it in rows, or in "
        "tiles of 1024 pixels at most",
        path_);
  return facts;
}

Result<void> Source::rows(const PageFacts& facts, int index, int y0, int y1, int channels,
                          Sample sample, void* to) {
  const std::size_t row_bytes =
      static_cast<std::size_t>(facts.width) * static_cast<std::size_t>(channels) * bytes_of(sample);
  const int at_once = static_cast<int>(
      std::clamp<std::size_t>(piece_bytes / row_bytes, 1, static_cast<std::size_t>(facts.height)));
  auto memory = session_->memory(std::max(piece_bytes, row_bytes));
  if (!memory) return memory.error();
  auto* place = static_cast<unsigned char*>(to);
  for (int y = y0; y < y1; y += at_once) {
    const int end = std::min(y1, y + at_once);
    Packer request = asking(Ask::rows);
    for (const int number : {index, y, end, channels}) request(static_cast<std::int32_t>(number));
    request(static_cast<std::uint64_t>(sample));
    if (auto read = session_->ask(request); !read) return read.error();
    const std::size_t bytes = row_bytes * static_cast<std::size_t>(end - y);
    std::copy_n(*memory, bytes, place);
    place += bytes;
  }
  return {};
}

}  // namespace mendtone::pictures

namespace mendtone {

Result<PictureFormat> picture_format(const std::string& path) {
  auto source = pictures::Source::examined(path);
  if (!source) return source.error();
  return (*source)->head().format;
}

}  // namespace mendtone
