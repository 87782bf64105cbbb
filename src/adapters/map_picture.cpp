#include "mendtone/adapters/map_picture.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

#include "mendtone/adapters/icc.hpp"
#include "mendtone/adapters/lettering.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/imaging/ramp.hpp"

namespace mendtone {
namespace {

using Colour = std::array<std::uint16_t, 3>;

constexpr Colour paper{65535, 65535, 65535}, ink{8000, 8000, 8000}, bare{46000, 46000, 46000},
    bare_line{30000, 30000, 30000};
constexpr int margin = 28, legend_gap = 26, legend_bar = 26, legend_width = 170;
constexpr double title_px = 25, text_px = 18;
constexpr int line_height = 22;

std::vector<Colour> display(const std::vector<Lab>& ramp) {
  const auto srgb = open_profile(srgb_profile(), 3);
  assert(srgb);
  std::vector<Colour> colours;
  for (const Lab& lab : ramp) {
    const auto L = static_cast<float>(lab.L), a = static_cast<float>(lab.a),
               b = static_cast<float>(lab.b);
    Colour colour;
    srgb->transform->from_lab(&L, &a, &b, 1, colour.data());
    colours.push_back(colour);
  }
  return colours;
}

void fill(Picture& picture, int x0, int y0, int x1, int y1, const Colour& colour) {
  for (int y = std::max(0, y0); y < std::min(picture.size.height, y1); ++y)
    for (int x = std::max(0, x0); x < std::min(picture.size.width, x1); ++x)
      std::copy(colour.begin(), colour.end(), picture.at(x, y));
}

void frame(Picture& picture, int x0, int y0, int x1, int y1) {
  fill(picture, x0 - 1, y0 - 1, x1 + 1, y0, ink);
  fill(picture, x0 - 1, y1, x1 + 1, y1 + 1, ink);
  fill(picture, x0 - 1, y0, x0, y1, ink);
  fill(picture, x1, y0, x1 + 1, y1, ink);
}

/// 1, 2 or 5 times a power of ten, not below `value`.
double round_up(double value) {
  const double power = std::pow(10, std::floor(std::log10(value)));
  for (const double step : {1.0, 2.0, 5.0, 10.0})
    if (step * power >= value * (1 - 1e-9)) return step * power;
  return 10 * power;
}

std::string tick_text(double value, double step, bool with_sign) {
  const int decimals = step >= 1 ? 0 : step >= 0.1 ? 1 : 2;
  return with_sign ? fixed_signed(value, decimals) : fixed(value, decimals);
}

struct Scale {
  double low = 0, high = 1, step = 1;
  std::string name, low_word, high_word;
  float ChangeMap::Cell::*field = nullptr;
};

Scale scale_of(const ChangeMap& map, MapKind kind, double tolerance) {
  Scale s;
  const bool amount = kind == MapKind::de00;
  s.field = kind == MapKind::de00 ? &ChangeMap::Cell::de00
            : kind == MapKind::dL ? &ChangeMap::Cell::dL
            : kind == MapKind::da ? &ChangeMap::Cell::da
                                  : &ChangeMap::Cell::db;
  // A few spoilt cells should not flatten the rest of the map.
  const double reach = std::max(map.percentile(0.995, s.field), amount ? 2.5 * tolerance : 1.0);
  s.step = round_up(reach / 5);
  s.high = s.step * std::ceil(reach / s.step - 1e-9);
  s.low = amount ? 0 : -s.high;
  s.name = kind == MapKind::de00 ? "\u0394E00"
           : kind == MapKind::dL ? "\u0394L*"
           : kind == MapKind::da ? "\u0394a*"
                                 : "\u0394b*";
  s.high_word = kind == MapKind::dL   ? "lighter"
                : kind == MapKind::da ? "redder"
                : kind == MapKind::db ? "yellower"
                                      : "";
  s.low_word = kind == MapKind::dL   ? "darker"
               : kind == MapKind::da ? "greener"
               : kind == MapKind::db ? "bluer"
                                     : "";
  return s;
}

/// The colour bar, its ticks and words, at (x, y), `height` tall.
void legend(Picture& picture, std::vector<Label>& labels, const Scale& s,
            const std::vector<Colour>& colours, int x, int y, int height, MapKind kind,
            double tolerance) {
  labels.push_back({double(x), y - 32.0, s.name, text_px, true, Label::Anchor::left, ink});
  labels.push_back({x + 52.0, y - 32.0, kind == MapKind::de00 ? "(CIEDE2000)" : "(CIELAB)", 16,
                    false, Label::Anchor::left, ink});
  for (int i = 0; i < height; ++i) {
    const auto at =
        static_cast<std::size_t>((height - 1 - i) * static_cast<int>(colours.size()) / height);
    fill(picture, x, y + i, x + legend_bar, y + i + 1, colours[at]);
  }
  frame(picture, x, y, x + legend_bar, y + height);
  const int ticks = static_cast<int>(std::lround((s.high - s.low) / s.step));
  for (int i = 0; i <= ticks; ++i) {
    const double value = s.low + i * s.step;
    const int ty = y + height - static_cast<int>(std::lround(i * double(height) / ticks));
    fill(picture, x + legend_bar, ty, x + legend_bar + 6, ty + 1, ink);
    std::string text = tick_text(value, s.step, kind != MapKind::de00);
    if (i == ticks) text = "\u2265 " + text;
    if (i == 0 && kind != MapKind::de00) text = "\u2264 " + text;
    if (i == ticks && !s.high_word.empty()) text += " " + s.high_word;
    if (i == 0 && !s.low_word.empty()) text += " " + s.low_word;
    labels.push_back(
        {x + legend_bar + 11.0, double(ty), text, text_px, false, Label::Anchor::left, ink});
  }
  if (kind != MapKind::de00) return;
  const int ty = y + height - static_cast<int>(std::lround(tolerance / s.high * height));
  fill(picture, x - 9, ty - 1, x + legend_bar, ty + 2, ink);
}

struct Bar {
  int length = 0;
  std::string text;
};

/// A round length near a fifth of the map: in mm where the scale is known, else in pixels.
Bar scale_bar(double cells_per_pixel, int zoom, int map_width, std::optional<double> px_per_mm) {
  const double per_unit = cells_per_pixel * zoom * px_per_mm.value_or(1);
  double length = round_up(map_width / 5.0 / per_unit);
  if (length * per_unit > map_width / 2.0) length /= 2;
  const std::string unit = px_per_mm ? (length >= 10 ? " cm" : " mm") : " pixels of the photograph";
  const double shown = px_per_mm && length >= 10 ? length / 10 : length;
  return {static_cast<int>(std::lround(length * per_unit)), shortest(shown) + unit};
}

void paint_cells(Picture& picture, const ChangeMap& map, const Scale& s,
                 const std::vector<Colour>& colours, int x0, int y0, int zoom) {
  const int last = static_cast<int>(colours.size()) - 1;
  for (int y = 0; y < map.cells().height; ++y)
    for (int x = 0; x < map.cells().width; ++x) {
      const ChangeMap::Cell cell = map.at(x, y);
      const int left = x0 + x * zoom, top = y0 + y * zoom;
      if (cell.pixels == 0) {
        // Ruled, so that it cannot be taken for a value.
        for (int dy = 0; dy < zoom; ++dy)
          for (int dx = 0; dx < zoom; ++dx)
            fill(picture, left + dx, top + dy, left + dx + 1, top + dy + 1,
                 (left + dx + top + dy) % 8 < 2 ? bare_line : bare);
        continue;
      }
      const double t = (cell.*s.field - s.low) / (s.high - s.low);
      const int at = std::clamp(static_cast<int>(std::lround(t * last)), 0, last);
      fill(picture, left, top, left + zoom, top + zoom, colours[static_cast<std::size_t>(at)]);
    }
}

}  // namespace

DrawnMap draw_map(const ChangeMap& map, MapKind kind, const MapText& text,
                  const ReportFonts& fonts) {
  const Scale s = scale_of(map, kind, text.tolerance_de00);
  const auto colours = display(kind == MapKind::de00 ? amount_ramp(255) : signed_ramp(255));
  const ImageSize cells = map.cells();
  const int zoom = std::max(1, std::min(700 / cells.width, 600 / std::max(1, cells.height)));
  const int map_width = cells.width * zoom, map_height = cells.height * zoom;
  // Small maps still need room for the words.
  const int body_width = std::max(map_width, 560), body_height = std::max(map_height, 260);
  const int width = margin + body_width + legend_gap + legend_width + margin;
  std::vector<std::string> notes;
  for (const std::string& note : text.notes)
    for (const std::string& line : broken(note, text_px, width - 2.0 * margin, fonts))
      notes.push_back(line);
  const auto titles = broken(text.title, title_px * 1.08, width - 2.0 * margin, fonts);
  const int map_top = margin + 30 * static_cast<int>(titles.size()) + 44;
  const int bar_top = map_top + map_height + 20;
  const int notes_top = std::max(bar_top + 40, map_top + body_height + 24);
  const int height = notes_top + line_height * static_cast<int>(notes.size()) + margin;

  Picture picture({width, height}, paper);
  std::vector<Label> labels;
  for (std::size_t i = 0; i < titles.size(); ++i)
    labels.push_back({double(margin), margin + 12 + 30.0 * static_cast<double>(i), titles[i],
                      title_px, true, Label::Anchor::left, ink});
  paint_cells(picture, map, s, colours, margin, map_top, zoom);
  frame(picture, margin, map_top, margin + map_width, map_top + map_height);
  const int legend_left = margin + body_width + legend_gap;
  const int legend_height = std::max(200, std::min(body_height, 520));
  legend(picture, labels, s, colours, legend_left, map_top, legend_height, kind,
         text.tolerance_de00);
  const Bar bar = scale_bar(1.0 / map.factor(), zoom, map_width, text.pixels_per_mm);
  fill(picture, margin, bar_top, margin + bar.length, bar_top + 5, ink);
  fill(picture, margin, bar_top - 4, margin + 1, bar_top + 9, ink);
  fill(picture, margin + bar.length - 1, bar_top - 4, margin + bar.length, bar_top + 9, ink);
  labels.push_back({margin + bar.length + 10.0, bar_top + 2.0, bar.text, text_px, false,
                    Label::Anchor::left, ink});
  for (std::size_t i = 0; i < notes.size(); ++i)
    labels.push_back({double(margin), notes_top + 10 + line_height * static_cast<double>(i),
                      notes[i], text_px, false, Label::Anchor::left, ink});
  draw(picture, labels, fonts);
  const auto box = [](int x, int y, int w, int h) {
    return std::array<double, 4>{double(x), double(y), double(w), double(h)};
  };
  return {std::move(picture),
          box(margin, map_top, map_width, map_height),
          box(legend_left, map_top, legend_bar, legend_height),
          s.name,
          s.low_word,
          s.high_word,
          s.low,
          s.high};
}

}  // namespace mendtone
