#include "mendtone/adapters/pdf.hpp"

#include <cairo-pdf.h>

#include <cmath>
#include <cstring>

#include "adapters/encoded.hpp"
#include "adapters/pdf_archive.hpp"
#include "adapters/report_fonts.hpp"

namespace mendtone {
namespace {

using report::Anchor;
using report::Drawing;
using report::Image;
using report::Ink;
using report::Item;
using report::PagedReport;
using report::Path;
using report::Point;
using report::Polyline;
using report::Tag;
using report::Text;

cairo_status_t append(void* closure, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

struct Reader {
  std::string_view left;
};

cairo_status_t take(void* closure, unsigned char* data, unsigned length) {
  auto& left = static_cast<Reader*>(closure)->left;
  if (left.size() < length) return CAIRO_STATUS_READ_ERROR;
  std::memcpy(data, left.data(), length);
  left.remove_prefix(length);
  return CAIRO_STATUS_SUCCESS;
}

cairo_surface_t* surface_of_png(const std::string& bytes) {
  Reader reader{bytes};
  return cairo_image_surface_create_from_png_stream(take, &reader);
}

void forget(void* bytes) {
  delete static_cast<std::string*>(bytes);
}

/// The pixels, and the JPEG itself, which a PDF takes over as it is.
cairo_surface_t* surface_of_jpeg(const std::string& bytes) {
  const auto image = from_jpeg(bytes);
  cairo_surface_t* surface = cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, image ? image->width : -1, image ? image->height : -1);
  if (!image || cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS) return surface;
  unsigned char* data = cairo_image_surface_get_data(surface);
  const int stride = cairo_image_surface_get_stride(surface);
  const std::uint8_t* from = image->rgb.data();
  for (int y = 0; y < image->height; ++y) {
    auto* row = reinterpret_cast<std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * stride);
    for (int x = 0; x < image->width; ++x, from += 3)
      row[x] = static_cast<std::uint32_t>(from[0]) << 16 |
               static_cast<std::uint32_t>(from[1]) << 8 | from[2];
  }
  cairo_surface_mark_dirty(surface);
  auto* kept = new std::string(bytes);
  cairo_surface_set_mime_data(surface, CAIRO_MIME_TYPE_JPEG,
                              reinterpret_cast<const unsigned char*>(kept->data()), kept->size(),
                              forget, kept);
  return surface;
}

/// Pictures decoded once, shared by all pages that show them.
class Pictures {
 public:
  explicit Pictures(const std::vector<std::string>& pictures) {
    for (const std::string& bytes : pictures)
      surfaces_.push_back(is_jpeg(bytes) ? surface_of_jpeg(bytes) : surface_of_png(bytes));
  }
  ~Pictures() {
    for (cairo_surface_t* surface : surfaces_) cairo_surface_destroy(surface);
  }
  Pictures(const Pictures&) = delete;
  Pictures& operator=(const Pictures&) = delete;

  /// The number of the first that cannot be read, or nothing.
  std::optional<std::size_t> first_bad() const {
    for (std::size_t i = 0; i < surfaces_.size(); ++i)
      if (cairo_surface_status(surfaces_[i]) != CAIRO_STATUS_SUCCESS) return i;
    return std::nullopt;
  }

  cairo_surface_t* at(std::size_t i) const { return i < surfaces_.size() ? surfaces_[i] : nullptr; }

 private:
  std::vector<cairo_surface_t*> surfaces_;
};

void set_ink(cairo_t* cr, const Ink& ink, double opacity = 1) {
  cairo_set_source_rgba(cr, ink.r / 255.0, ink.g / 255.0, ink.b / 255.0, opacity);
}

struct Painter {
  cairo_t* cr;
  const Pictures& pictures;
  const ReportFonts& fonts;

  void trace(const Path& path) {
    cairo_new_path(cr);
    for (const Polyline& line : path.lines) {
      cairo_new_sub_path(cr);
      for (const Point& p : line.points) cairo_line_to(cr, p.x, p.y);
      if (line.closed) cairo_close_path(cr);
    }
  }

  /// Diagonal lines, as vectors: a pattern would be rastered.
  void hatch(const Path& path) {
    cairo_save(cr);
    trace(path);
    double x1, y1, x2, y2;
    cairo_path_extents(cr, &x1, &y1, &x2, &y2);
    cairo_clip(cr);
    cairo_new_path(cr);
    constexpr double step = 7;
    for (double x = x1 - (y2 - y1); x < x2; x += step) {
      cairo_move_to(cr, x, y2);
      cairo_line_to(cr, x + (y2 - y1), y1);
    }
    set_ink(cr, {0x33, 0x33, 0x33});
    cairo_set_line_width(cr, 0.8);
    cairo_set_dash(cr, nullptr, 0, 0);
    cairo_stroke(cr);
    cairo_restore(cr);
  }

  void operator()(const Path& path) {
    if (path.fill) {
      trace(path);
      cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
      set_ink(cr, *path.fill, path.fill_opacity);
      cairo_fill(cr);
    }
    if (path.hatched) hatch(path);
    if (path.stroke_pt <= 0) return;
    trace(path);
    set_ink(cr, path.stroke);
    cairo_set_line_width(cr, path.stroke_pt);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    cairo_set_dash(cr, path.dash_pt.data(), static_cast<int>(path.dash_pt.size()), 0);
    cairo_stroke(cr);
  }

  void operator()(const Text& text) {
    if (text.text.empty()) return;
    PangoLayout* layout = one_line(fonts, text.text, text.face, text.size_pt);
    int width = 0;
    pango_layout_get_size(layout, &width, nullptr);
    const double length = static_cast<double>(width) / PANGO_SCALE;
    const double back = text.anchor == Anchor::start    ? 0
                        : text.anchor == Anchor::middle ? length / 2
                                                        : length;
    cairo_save(cr);
    set_ink(cr, text.ink);
    cairo_translate(cr, text.at.x, text.at.y);
    if (text.upwards) cairo_rotate(cr, -std::acos(0.0));
    cairo_move_to(cr, -back, 0);
    pango_cairo_show_layout_line(cr, pango_layout_get_line_readonly(layout, 0));
    cairo_restore(cr);
    g_object_unref(layout);
  }

  void operator()(const Image& image) {
    cairo_surface_t* surface = pictures.at(image.picture);
    if (!surface) return;
    cairo_save(cr);
    cairo_translate(cr, image.at.x, image.at.y);
    cairo_scale(cr, image.width / cairo_image_surface_get_width(surface),
                image.height / cairo_image_surface_get_height(surface));
    cairo_set_source_surface(cr, surface, 0, 0);
    cairo_paint(cr);
    cairo_restore(cr);
  }

  void operator()(const Tag& tag) {
    if (tag.begins)
      cairo_tag_begin(cr, tag.role.c_str(), nullptr);
    else
      cairo_tag_end(cr, tag.role.c_str());
  }
};

void paint(cairo_t* cr, const Drawing& drawing, const Pictures& pictures,
           const ReportFonts& fonts) {
  Painter painter{cr, pictures, fonts};
  for (const Item& item : drawing.items) std::visit(painter, item);
}

void set_metadata(cairo_surface_t* surface, const PagedReport& report) {
  const auto set = [&](cairo_pdf_metadata_t what, const std::string& text) {
    if (!text.empty()) cairo_pdf_surface_set_metadata(surface, what, text.c_str());
  };
  set(CAIRO_PDF_METADATA_TITLE, report.title);
  set(CAIRO_PDF_METADATA_SUBJECT, report.subject);
  set(CAIRO_PDF_METADATA_AUTHOR, report.author);
  set(CAIRO_PDF_METADATA_CREATOR, report.program);
  // Cairo would look at the clock otherwise.
  const bool iso_date = report.date.size() == 10 && report.date[4] == '-' && report.date[7] == '-';
  set(CAIRO_PDF_METADATA_CREATE_DATE, (iso_date ? report.date : "2000-01-01") + "T00:00:00Z");
}

void set_bookmarks(cairo_surface_t* surface, const PagedReport& report) {
  int parent = CAIRO_PDF_OUTLINE_ROOT;
  for (const report::Bookmark& mark : report.bookmarks) {
    const std::string link = "page=" + std::to_string(mark.page + 1) + " pos=[0.0 " +
                             std::to_string(static_cast<int>(mark.y) - 12) + "]";
    const int item = cairo_pdf_surface_add_outline(
        surface, mark.level <= 2 ? CAIRO_PDF_OUTLINE_ROOT : parent, mark.title.c_str(),
        link.c_str(), static_cast<cairo_pdf_outline_flags_t>(0));
    if (mark.level <= 2) parent = item;
  }
}

Error no_picture(std::size_t i) {
  return bad_input("picture " + std::to_string(i + 1) +
                   " of the report is not a sound PNG or JPEG");
}

}  // namespace

Result<std::string> to_pdf(const PagedReport& report, const ReportFonts& fonts) {
  const Pictures pictures(report.pictures);
  if (const auto bad = pictures.first_bad()) return no_picture(*bad);
  std::string bytes;
  const double width = report.pages.empty() ? 595.28 : report.pages.front().width;
  const double height = report.pages.empty() ? 841.89 : report.pages.front().height;
  cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(append, &bytes, width, height);
  set_metadata(surface, report);
  cairo_t* cr = cairo_create(surface);
  for (const Drawing& page : report.pages) {
    paint(cr, page, pictures, fonts);
    cairo_show_page(cr);
  }
  set_bookmarks(surface, report);
  const cairo_status_t drawn = cairo_status(cr);
  cairo_destroy(cr);
  cairo_surface_finish(surface);
  const cairo_status_t written = cairo_surface_status(surface);
  cairo_surface_destroy(surface);
  for (const cairo_status_t status : {drawn, written})
    if (status != CAIRO_STATUS_SUCCESS)
      return outside_world(std::string("cannot draw the report as PDF: ") +
                           cairo_status_to_string(status));
  return archived(std::move(bytes), report);
}

Result<std::string> to_png(const Drawing& drawing, const std::vector<std::string>& known_pictures,
                           double dots_an_inch, const ReportFonts& fonts) {
  const Pictures pictures(known_pictures);
  if (const auto bad = pictures.first_bad()) return no_picture(*bad);
  const double scale = dots_an_inch / 72;
  cairo_surface_t* surface = cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, static_cast<int>(std::ceil(drawing.width * scale)),
      static_cast<int>(std::ceil(drawing.height * scale)));
  cairo_t* cr = cairo_create(surface);
  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_paint(cr);
  cairo_scale(cr, scale, scale);
  paint(cr, drawing, pictures, fonts);
  std::string bytes;
  const cairo_status_t drawn = cairo_status(cr);
  cairo_destroy(cr);
  const cairo_status_t written = cairo_surface_write_to_png_stream(surface, append, &bytes);
  cairo_surface_destroy(surface);
  if (drawn != CAIRO_STATUS_SUCCESS || written != CAIRO_STATUS_SUCCESS)
    return outside_world("cannot draw the figure as PNG");
  return bytes;
}

}  // namespace mendtone
