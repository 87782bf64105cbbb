#include <png.h>

#include <cmath>
#include <csetjmp>

#include "adapters/picture_writers.hpp"

namespace mendtone {
namespace {

/// libpng leaves with `longjmp` when it fails: whatever is called within must need no destructor.
template <class Calls>
bool held(png_structp png, const Calls& calls) {
  if (setjmp(png_jmpbuf(png)) != 0) return false;
  calls();
  return true;
}

void give(png_structp png, png_bytep bytes, png_size_t count) {
  const auto& sink = *static_cast<const ByteSink*>(png_get_io_ptr(png));
  if (!sink(bytes, count)) png_error(png, "cannot write");
}
void nothing(png_structp) {}
void be_silent(png_structp, png_const_charp) {}

class PngWriter final : public RowsWriter {
 public:
  PngWriter(ByteSink sink, ImageSize size, int channels, int bits)
      : sink_(std::move(sink)),
        row_bytes_(static_cast<std::size_t>(size.width) * static_cast<std::size_t>(channels) *
                   static_cast<std::size_t>(bits / 8)) {
    png_ = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, be_silent);
    info_ = png_ ? png_create_info_struct(png_) : nullptr;
  }
  ~PngWriter() override { png_destroy_write_struct(&png_, &info_); }
  PngWriter(const PngWriter&) = delete;
  PngWriter& operator=(const PngWriter&) = delete;

  bool begin(ImageSize size, int channels, int bits, const PictureTags& tags, int level) {
    return info_ && held(png_, [&] {
             png_set_write_fn(png_, &sink_, give, nothing);
             png_set_compression_level(png_, level);
             png_set_IHDR(png_, info_, static_cast<png_uint_32>(size.width),
                          static_cast<png_uint_32>(size.height), bits,
                          channels == 1 ? PNG_COLOR_TYPE_GRAY : PNG_COLOR_TYPE_RGB,
                          PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
                          PNG_FILTER_TYPE_DEFAULT);
             set_tags(tags);
             png_write_info(png_, info_);
             if (bits == 16) png_set_swap(png_);  // a PNG has the high byte first
           });
  }

  bool rows(const void* data, int count) override {
    return held(png_, [&] {
      const auto* row = static_cast<png_const_bytep>(data);
      for (int i = 0; i < count; ++i, row += row_bytes_) png_write_row(png_, row);
    });
  }
  bool finish() override {
    return held(png_, [&] { png_write_end(png_, nullptr); });
  }

 private:
  void set_tags(const PictureTags& tags) {
    if (tags.srgb) png_set_sRGB(png_, info_, PNG_sRGB_INTENT_PERCEPTUAL);
    if (!tags.profile.empty())
      png_set_iCCP(png_, info_, "ICC profile", PNG_COMPRESSION_TYPE_BASE,
                   reinterpret_cast<png_const_bytep>(tags.profile.data()),
                   static_cast<png_uint_32>(tags.profile.size()));
    if (tags.pixels_per_mm) {
      const auto a_metre = static_cast<png_uint_32>(std::lround(*tags.pixels_per_mm * 1000));
      png_set_pHYs(png_, info_, a_metre, a_metre, PNG_RESOLUTION_METER);
    }
    set_text("Software", "mendtone");
    if (!tags.description.empty()) set_text("Description", tags.description.c_str());
  }
  void set_text(const char* key, const char* words) {
    png_text text{};
    text.compression = PNG_TEXT_COMPRESSION_NONE;
    text.key = const_cast<char*>(key);
    text.text = const_cast<char*>(words);
    png_set_text(png_, info_, &text, 1);
  }

  ByteSink sink_;
  std::size_t row_bytes_;
  png_structp png_ = nullptr;
  png_infop info_ = nullptr;
};

}  // namespace

std::unique_ptr<RowsWriter> png_writer(ByteSink sink, ImageSize size, int channels, int bits,
                                       const PictureTags& tags, int level) {
  auto writer = std::make_unique<PngWriter>(std::move(sink), size, channels, bits);
  if (!writer->begin(size, channels, bits, tags, level)) return nullptr;
  return writer;
}

}  // namespace mendtone
