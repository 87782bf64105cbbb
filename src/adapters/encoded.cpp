#include "adapters/encoded.hpp"

#include <csetjmp>
#include <cstdio>
#include <cstdlib>
#include <map>

// libjpeg's header needs <cstdio> before it.
#include <jpeglib.h>
#include <png.h>

namespace mendtone {
namespace {

struct Stops {
  jpeg_error_mgr base;
  std::jmp_buf back;
};

[[noreturn]] void stop(j_common_ptr info) {
  std::longjmp(reinterpret_cast<Stops*>(info->err)->back, 1);
}
void say_nothing(j_common_ptr) {}

jpeg_error_mgr* quiet(Stops& stops) {
  jpeg_std_error(&stops.base);
  stops.base.error_exit = stop;
  stops.base.output_message = say_nothing;
  return &stops.base;
}

/// Nothing with a destructor lives here: an error jumps out of it.
bool compress(const std::uint8_t* rgb, int width, int height, unsigned char** bytes,
              unsigned long* size) {
  jpeg_compress_struct info;
  Stops stops;
  info.err = quiet(stops);
  if (setjmp(stops.back)) {
    jpeg_destroy_compress(&info);
    return false;
  }
  jpeg_create_compress(&info);
  jpeg_mem_dest(&info, bytes, size);
  info.image_width = static_cast<JDIMENSION>(width);
  info.image_height = static_cast<JDIMENSION>(height);
  info.input_components = 3;
  info.in_color_space = JCS_RGB;
  jpeg_set_defaults(&info);
  constexpr int quality = 88;
  jpeg_set_quality(&info, quality, TRUE);
  info.optimize_coding = TRUE;
  jpeg_start_compress(&info, TRUE);
  const std::size_t stride = 3 * static_cast<std::size_t>(width);
  while (info.next_scanline < info.image_height) {
    auto* row = const_cast<JSAMPROW>(rgb + stride * info.next_scanline);
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  return true;
}

/// `rgb` nullptr: only the size is asked for.
bool decompress(std::string_view bytes, int* width, int* height, std::uint8_t* rgb) {
  jpeg_decompress_struct info;
  Stops stops;
  info.err = quiet(stops);
  if (setjmp(stops.back)) {
    jpeg_destroy_decompress(&info);
    return false;
  }
  jpeg_create_decompress(&info);
  jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
  jpeg_read_header(&info, TRUE);
  *width = static_cast<int>(info.image_width);
  *height = static_cast<int>(info.image_height);
  if (rgb) {
    info.out_color_space = JCS_RGB;
    jpeg_start_decompress(&info);
    const std::size_t stride = 3 * static_cast<std::size_t>(info.output_width);
    while (info.output_scanline < info.output_height) {
      JSAMPROW row = rgb + stride * info.output_scanline;
      jpeg_read_scanlines(&info, &row, 1);
    }
  }
  jpeg_destroy_decompress(&info);
  return true;
}

std::uint32_t rounded(const std::uint8_t* rgb, int bits) {
  std::uint32_t colour = 0;
  const int steps = (1 << bits) - 1;
  for (int i = 0; i < 3; ++i)
    colour = colour << 8 | static_cast<std::uint32_t>((rgb[i] * steps + 127) / 255 * 255 / steps);
  return colour;
}

struct Indexed {
  std::vector<png_color> palette;
  std::vector<std::uint8_t> index;
};

bool fits(const ByteImage& image, int bits, Indexed& indexed) {
  std::map<std::uint32_t, std::uint8_t> known;
  indexed = {};
  indexed.index.reserve(image.rgb.size() / 3);
  for (std::size_t i = 0; i < image.rgb.size(); i += 3) {
    const std::uint32_t colour = rounded(&image.rgb[i], bits);
    auto at = known.find(colour);
    if (at == known.end()) {
      if (known.size() == 256) return false;
      at = known.emplace(colour, static_cast<std::uint8_t>(known.size())).first;
      indexed.palette.push_back({static_cast<png_byte>(colour >> 16),
                                 static_cast<png_byte>(colour >> 8 & 255),
                                 static_cast<png_byte>(colour & 255)});
    }
    indexed.index.push_back(at->second);
  }
  return true;
}

void append(png_structp png, png_bytep data, std::size_t length) {
  static_cast<std::string*>(png_get_io_ptr(png))
      ->append(reinterpret_cast<const char*>(data), length);
}
void flush(png_structp) {}

/// Nothing with a destructor lives here: an error jumps out of it.
bool write_png(png_structp png, png_infop info, const ByteImage& image, const Indexed& indexed,
               std::string* bytes) {
  if (setjmp(png_jmpbuf(png))) return false;
  png_set_write_fn(png, bytes, append, flush);
  png_set_IHDR(png, info, static_cast<png_uint_32>(image.width),
               static_cast<png_uint_32>(image.height), 8, PNG_COLOR_TYPE_PALETTE,
               PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  png_set_PLTE(png, info, indexed.palette.data(), static_cast<int>(indexed.palette.size()));
  png_set_sRGB(png, info, PNG_sRGB_INTENT_RELATIVE);
  png_write_info(png, info);
  for (int y = 0; y < image.height; ++y)
    png_write_row(png, indexed.index.data() +
                           static_cast<std::size_t>(y) * static_cast<std::size_t>(image.width));
  png_write_end(png, info);
  return true;
}

}  // namespace

bool is_jpeg(std::string_view bytes) {
  return bytes.substr(0, 3) == "\xff\xd8\xff";
}

Result<std::string> to_jpeg(const ByteImage& image) {
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  const bool done = compress(image.rgb.data(), image.width, image.height, &bytes, &size);
  std::string jpeg;
  if (done) jpeg.assign(reinterpret_cast<const char*>(bytes), size);
  std::free(bytes);
  if (!done) return outside_world("a picture of the report cannot be written as JPEG");
  return jpeg;
}

Result<ByteImage> from_jpeg(std::string_view bytes) {
  ByteImage image;
  bool read = decompress(bytes, &image.width, &image.height, nullptr);
  if (read) {
    image.rgb.resize(3 * static_cast<std::size_t>(image.width) *
                     static_cast<std::size_t>(image.height));
    read = decompress(bytes, &image.width, &image.height, image.rgb.data());
  }
  if (!read) return bad_input("expected a JPEG picture; it cannot be read");
  return image;
}

Result<std::string> to_indexed_png(const ByteImage& image) {
  Indexed indexed;
  int bits = 8;
  while (!fits(image, bits, indexed)) --bits;  // one bit a channel is 8 colours
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png ? png_create_info_struct(png) : nullptr;
  std::string bytes;
  const bool done = info && write_png(png, info, image, indexed, &bytes);
  png_destroy_write_struct(&png, &info);
  if (!done) return outside_world("a picture of the report cannot be written as PNG");
  return bytes;
}

}  // namespace mendtone
