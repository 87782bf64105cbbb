#include "mendtone/adapters/lettering.hpp"

#include <cmath>
#include <memory>

#include "adapters/report_fonts.hpp"

namespace mendtone {
namespace {

struct Free {
  void operator()(cairo_surface_t* p) const { cairo_surface_destroy(p); }
  void operator()(cairo_t* p) const { cairo_destroy(p); }
  void operator()(PangoLayout* p) const { g_object_unref(p); }
};
template <class T>
using Owned = std::unique_ptr<T, Free>;

// The fonts count in points of 1/72 inch; here a pixel is one.
Owned<PangoLayout> layout_of(const Label& label, const ReportFonts& fonts) {
  return Owned<PangoLayout>(one_line(
      fonts, label.text, label.bold ? report::Face::sans_bold : report::Face::sans, label.size_px));
}

struct Extent {
  int width = 0, height = 0;
};
Extent extent_of(PangoLayout* layout) {
  Extent e;
  pango_layout_get_pixel_size(layout, &e.width, &e.height);
  return e;
}

/// The longest part of a word that fits, whole UTF-8 characters and at least one.
std::size_t fitting(const std::string& word, double size_px, double width_px,
                    const ReportFonts& fonts) {
  std::size_t fits = 0;
  for (std::size_t end = 1; end <= word.size(); ++end) {
    if (end < word.size() && (static_cast<unsigned char>(word[end]) & 0xC0) == 0x80) continue;
    if (fits > 0 && fonts.width_pt(word.substr(0, end), report::Face::sans, size_px) > width_px)
      break;
    fits = end;
  }
  return fits;
}

}  // namespace

double text_width(const Label& label, const ReportFonts& fonts) {
  return extent_of(layout_of(label, fonts).get()).width;
}

void draw(Picture& picture, const std::vector<Label>& labels, const ReportFonts& fonts) {
  for (const Label& label : labels) {
    const auto layout = layout_of(label, fonts);
    const Extent e = extent_of(layout.get());
    if (e.width == 0) continue;
    const Owned<cairo_surface_t> surface(
        cairo_image_surface_create(CAIRO_FORMAT_A8, e.width, e.height));
    const Owned<cairo_t> cairo(cairo_create(surface.get()));
    pango_cairo_show_layout(cairo.get(), layout.get());
    cairo_surface_flush(surface.get());
    const double shift = label.anchor == Label::Anchor::left     ? 0
                         : label.anchor == Label::Anchor::middle ? e.width / 2.0
                                                                 : e.width;
    const int left = static_cast<int>(std::lround(label.x - shift)),
              top = static_cast<int>(std::lround(label.y - e.height / 2.0));
    const unsigned char* mask = cairo_image_surface_get_data(surface.get());
    const int stride = cairo_image_surface_get_stride(surface.get());
    for (int y = 0; y < e.height; ++y)
      for (int x = 0; x < e.width; ++x) {
        const int px = left + x, py = top + y;
        if (px < 0 || py < 0 || px >= picture.size.width || py >= picture.size.height) continue;
        const int cover = mask[y * stride + x];
        std::uint16_t* pixel = picture.at(px, py);
        for (std::size_t c = 0; c < 3; ++c)
          pixel[c] =
              static_cast<std::uint16_t>((pixel[c] * (255 - cover) + label.ink[c] * cover) / 255);
      }
  }
}

std::vector<std::string> broken(const std::string& text, double size_px, double width_px,
                                const ReportFonts& fonts) {
  const auto width = [&](const std::string& line) {
    return fonts.width_pt(line, report::Face::sans, size_px);
  };
  std::vector<std::string> lines;
  std::string line;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t blank = std::min(text.find(' ', at), text.size());
    std::string word = text.substr(at, blank - at);
    at = blank + 1;
    const std::string longer = line.empty() ? word : line + " " + word;
    if (width(longer) <= width_px) {
      line = longer;
      continue;
    }
    if (!line.empty()) lines.push_back(line);
    // A file's path may be longer than a line.
    while (width(word) > width_px && word.size() > 1) {
      const std::size_t part = fitting(word, size_px, width_px, fonts);
      if (part >= word.size()) break;
      lines.push_back(word.substr(0, part));
      word.erase(0, part);
    }
    line = word;
  }
  if (!line.empty()) lines.push_back(line);
  return lines;
}

}  // namespace mendtone
