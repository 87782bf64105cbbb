#include "adapters/report_fonts.hpp"

#include <fontconfig/fontconfig.h>
#include <pango/pangofc-fontmap.h>
#include <sys/mman.h>
#include <unistd.h>

#include <array>
#include <cassert>
#include <map>
#include <mutex>

// The font files, as Debian's fonts-linuxlibertine has them, carried in the program.
#define MENDTONE_EMBED(name, file)                                                   \
  asm(".section .rodata\n.balign 16\n.global " #name "\n" #name ":\n.incbin \"" file \
      "\"\n.global " #name "_end\n" #name "_end:\n.byte 0\n.previous\n");            \
  extern "C" const unsigned char name[], name##_end[];

MENDTONE_EMBED(mendtone_font_serif, MENDTONE_FONT_FOLDER "/LinLibertine_R.otf")
MENDTONE_EMBED(mendtone_font_serif_italic, MENDTONE_FONT_FOLDER "/LinLibertine_RI.otf")
MENDTONE_EMBED(mendtone_font_serif_bold, MENDTONE_FONT_FOLDER "/LinLibertine_RB.otf")
MENDTONE_EMBED(mendtone_font_sans, MENDTONE_FONT_FOLDER "/LinBiolinum_R.otf")
MENDTONE_EMBED(mendtone_font_sans_italic, MENDTONE_FONT_FOLDER "/LinBiolinum_RI.otf")
MENDTONE_EMBED(mendtone_font_sans_bold, MENDTONE_FONT_FOLDER "/LinBiolinum_RB.otf")

namespace mendtone {

using report::Face;

/// Fontconfig and Pango, and the memory files that both read the fonts from.
struct ReportFonts::Parts {
  FcConfig* config = nullptr;
  PangoFontMap* map = nullptr;
  PangoContext* context = nullptr;
  std::vector<int> files;
  mutable std::map<std::pair<Face, double>, std::map<std::string, double, std::less<>>> widths;
  mutable std::mutex lock;

  ~Parts() {
    if (context) g_object_unref(context);
    if (map) g_object_unref(map);
    if (config) FcConfigDestroy(config);
    for (const int file : files) ::close(file);
  }

  /// Fontconfig takes fonts by path only; a file in memory has one.
  bool add_font(const unsigned char* first, const unsigned char* end) {
    const int file = ::memfd_create("mendtone-font", MFD_CLOEXEC);
    if (file < 0) return false;
    files.push_back(file);
    for (const unsigned char* at = first; at < end;) {
      const ssize_t written = ::write(file, at, static_cast<std::size_t>(end - at));
      if (written <= 0) return false;
      at += written;
    }
    const std::string path = "/proc/self/fd/" + std::to_string(file);
    return FcConfigAppFontAddFile(config, reinterpret_cast<const FcChar8*>(path.c_str())) == FcTrue;
  }
};

namespace {

const char* family_of(Face face) {
  switch (face) {
    case Face::serif:
    case Face::serif_italic:
    case Face::serif_bold:
      return "Linux Libertine O";
    case Face::sans:
    case Face::sans_italic:
    case Face::sans_bold:
      break;
  }
  return "Linux Biolinum O";
}

PangoFontDescription* describe(Face face, double size_pt) {
  PangoFontDescription* description = pango_font_description_new();
  pango_font_description_set_family(description, family_of(face));
  if (face == Face::serif_italic || face == Face::sans_italic)
    pango_font_description_set_style(description, PANGO_STYLE_ITALIC);
  if (face == Face::serif_bold || face == Face::sans_bold)
    pango_font_description_set_weight(description, PANGO_WEIGHT_BOLD);
  // The context's resolution is 72 dots an inch, so that a unit is a point.
  pango_font_description_set_absolute_size(description, size_pt * PANGO_SCALE);
  return description;
}

}  // namespace

ReportFonts::ReportFonts(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
ReportFonts::~ReportFonts() = default;

Result<std::unique_ptr<ReportFonts>> ReportFonts::open() {
  auto parts = std::make_unique<Parts>();
  parts->config = FcInitLoadConfigAndFonts();
  if (!parts->config) parts->config = FcConfigCreate();
  const bool added = parts->add_font(mendtone_font_serif, mendtone_font_serif_end) &&
                     parts->add_font(mendtone_font_serif_italic, mendtone_font_serif_italic_end) &&
                     parts->add_font(mendtone_font_serif_bold, mendtone_font_serif_bold_end) &&
                     parts->add_font(mendtone_font_sans, mendtone_font_sans_end) &&
                     parts->add_font(mendtone_font_sans_italic, mendtone_font_sans_italic_end) &&
                     parts->add_font(mendtone_font_sans_bold, mendtone_font_sans_bold_end);
  if (!added) return outside_world("cannot open the fonts that the report is set in");
  parts->map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
  if (!parts->map) return outside_world("cannot set text: Pango has no FreeType fonts");
  pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(parts->map), parts->config);
  pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(parts->map), 72);
  parts->context = pango_font_map_create_context(parts->map);
  // Widths must be those of the outlines, whatever the surface.
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(parts->context, options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(parts->context, FALSE);
  pango_context_set_language(parts->context, pango_language_from_string("en-gb"));
  return std::unique_ptr<ReportFonts>(new ReportFonts(std::move(parts)));
}

PangoLayout* one_line(const ReportFonts& fonts, std::string_view utf8, Face face, double size_pt) {
  const ReportFonts::Parts& parts = fonts.parts();
  PangoLayout* layout = pango_layout_new(parts.context);
  pango_layout_set_single_paragraph_mode(layout, TRUE);
  PangoFontDescription* description = describe(face, size_pt);
  pango_layout_set_font_description(layout, description);
  pango_font_description_free(description);
  PangoAttrList* attributes = pango_attr_list_new();
  // Figures of one width, so that columns of numbers line up; no ligatures, so that copied and
  // searched text is the text.
  pango_attr_list_insert(attributes, pango_attr_font_features_new("tnum=1,lnum=1,liga=0,dlig=0"));
  pango_layout_set_attributes(layout, attributes);
  pango_attr_list_unref(attributes);
  char* sound = g_utf8_make_valid(utf8.data(), static_cast<gssize>(utf8.size()));
  pango_layout_set_text(layout, sound, -1);
  g_free(sound);
  return layout;
}

double ReportFonts::width_pt(std::string_view utf8, Face face, double size_pt) const {
  const std::lock_guard guard(parts_->lock);
  auto& known = parts_->widths[{face, size_pt}];
  if (const auto found = known.find(utf8); found != known.end()) return found->second;
  PangoLayout* layout = one_line(*this, utf8, face, size_pt);
  int width = 0;
  pango_layout_get_size(layout, &width, nullptr);
  g_object_unref(layout);
  return known[std::string(utf8)] = static_cast<double>(width) / PANGO_SCALE;
}

}  // namespace mendtone
