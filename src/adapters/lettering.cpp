#include "mendtone/adapters/lettering.hpp"

#include <pango/pangocairo.h>

#include <cmath>
#include <memory>

namespace mendtone {
namespace {

struct Free {
  void operator()(cairo_surface_t* p) const { cairo_surface_destroy(p); }
  void operator()(cairo_t* p) const { cairo_destroy(p); }
  void operator()(PangoLayout* p) const { g_object_unref(p); }
  void operator()(PangoFontDescription* p) const { pango_font_description_free(p); }
};
template <class T>
using Owned = std::unique_ptr<T, Free>;

Owned<cairo_surface_t> mask_of(int width, int height) {
  return Owned<cairo_surface_t>(cairo_image_surface_create(CAIRO_FORMAT_A8, width, height));
}

Owned<PangoLayout> layout_of(cairo_t* cairo, const Label& label) {
  Owned<PangoLayout> layout(pango_cairo_create_layout(cairo));
  const Owned<PangoFontDescription> font(pango_font_description_from_string("DejaVu Sans"));
  pango_font_description_set_absolute_size(font.get(), label.size_px * PANGO_SCALE);
  if (label.bold) pango_font_description_set_weight(font.get(), PANGO_WEIGHT_BOLD);
  pango_layout_set_font_description(layout.get(), font.get());
  pango_layout_set_text(layout.get(), label.text.c_str(), -1);
  return layout;
}

struct Extent {
  int width = 0, height = 0;
};
Extent extent_of(PangoLayout* layout) {
  Extent e;
  pango_layout_get_pixel_size(layout, &e.width, &e.height);
  return e;
}

}  // namespace

double text_width(const Label& label) {
  const auto surface = mask_of(1, 1);
  const Owned<cairo_t> cairo(cairo_create(surface.get()));
  return extent_of(layout_of(cairo.get(), label).get()).width;
}

void draw(Picture& picture, const std::vector<Label>& labels) {
  for (const Label& label : labels) {
    const auto probe = mask_of(1, 1);
    const Owned<cairo_t> measure(cairo_create(probe.get()));
    const Extent e = extent_of(layout_of(measure.get(), label).get());
    if (e.width == 0) continue;
    const auto surface = mask_of(e.width, e.height);
    const Owned<cairo_t> cairo(cairo_create(surface.get()));
    pango_cairo_show_layout(cairo.get(), layout_of(cairo.get(), label).get());
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

std::vector<std::string> broken(const std::string& text, double size_px, double width_px) {
  std::vector<std::string> lines;
  std::string line;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t blank = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, blank - at);
    const std::string longer = line.empty() ? word : line + " " + word;
    if (!line.empty() && text_width({0, 0, longer, size_px, false, {}, {}}) > width_px) {
      lines.push_back(line);
      line = word;
    } else {
      line = longer;
    }
    at = blank + 1;
  }
  if (!line.empty()) lines.push_back(line);
  return lines;
}

}  // namespace mendtone
