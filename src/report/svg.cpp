#include "report/svg.hpp"

#include "mendtone/base/numbers.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

/// Hundredths of a point: finer than any print.
std::string n(double value) {
  std::string text = fixed(value, 2);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string attribute(const char* name, const std::string& value) {
  return std::string(" ") + name + "=\"" + value + "\"";
}

std::string path_data(const Path& path) {
  std::string d;
  for (const Polyline& line : path.lines) {
    const char* command = "M";
    for (const Point& p : line.points) {
      d += command + n(p.x) + " " + n(p.y);
      command = "L";
    }
    if (line.closed) d += "Z";
  }
  return d;
}

struct Writer {
  const std::string& id;
  std::string body;
  bool hatched = false;

  void operator()(const Path& path) {
    const std::string d = attribute("d", path_data(path));
    std::string dash;
    for (const double length : path.dash_pt) dash += (dash.empty() ? "" : " ") + n(length);
    body += "<path" + d + attribute("fill", path.fill ? css(*path.fill) : "none");
    if (path.fill) body += attribute("fill-rule", "evenodd");
    if (path.fill_opacity < 1) body += attribute("fill-opacity", n(path.fill_opacity));
    if (path.stroke_pt > 0)
      body += attribute("stroke", css(path.stroke)) + attribute("stroke-width", n(path.stroke_pt)) +
              attribute("stroke-linejoin", "round");
    if (!dash.empty()) body += attribute("stroke-dasharray", dash);
    body += "/>";
    if (!path.hatched) return;
    hatched = true;
    body += "<path" + d + attribute("fill", "url(#" + id + "-hatch)") + "/>";
  }

  void operator()(const Text& text) {
    body += "<text" + attribute("x", n(text.at.x)) + attribute("y", n(text.at.y)) +
            attribute("font-size", n(text.size_pt));
    if (text.anchor != Anchor::start)
      body += attribute("text-anchor", text.anchor == Anchor::middle ? "middle" : "end");
    if (text.face == Face::sans_bold || text.face == Face::serif_bold)
      body += attribute("font-weight", "bold");
    if (text.face == Face::sans_italic || text.face == Face::serif_italic)
      body += attribute("font-style", "italic");
    if (text.ink != Ink{}) body += attribute("fill", css(text.ink));
    if (text.upwards)
      body += attribute("transform", "rotate(-90 " + n(text.at.x) + " " + n(text.at.y) + ")");
    body += ">" + escaped(text.text) + "</text>";
  }

  void operator()(const Image& image) {
    body += "<use" + attribute("href", "#picture-" + std::to_string(image.picture)) +
            attribute("transform", "translate(" + n(image.at.x) + " " + n(image.at.y) + ") scale(" +
                                       n(image.width) + " " + n(image.height) + ")") +
            "/>";
  }

  void operator()(const Tag&) {}
};

const char* media_type(std::string_view picture) {
  return picture.substr(0, 2) == "\xff\xd8" ? "image/jpeg" : "image/png";
}

}  // namespace

std::string css(const Ink& ink) {
  const char* digits = "0123456789abcdef";
  std::string text = "#";
  for (const std::uint8_t part : {ink.r, ink.g, ink.b}) {
    text += digits[part >> 4];
    text += digits[part & 15];
  }
  return text;
}

std::string base64(std::string_view bytes) {
  static const char* alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t left = bytes.size() - i;
    const auto byte = [&](std::size_t k) {
      return k < left ? static_cast<unsigned>(static_cast<unsigned char>(bytes[i + k])) : 0u;
    };
    const unsigned group = byte(0) << 16 | byte(1) << 8 | byte(2);
    text += alphabet[group >> 18];
    text += alphabet[group >> 12 & 63];
    text += left > 1 ? alphabet[group >> 6 & 63] : '=';
    text += left > 2 ? alphabet[group & 63] : '=';
  }
  return text;
}

std::string shared_pictures(const std::vector<std::string>& pictures) {
  if (pictures.empty()) return {};
  std::string svg = "<svg class=\"shared\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>";
  for (std::size_t i = 0; i < pictures.size(); ++i)
    svg += "<image" + attribute("id", "picture-" + std::to_string(i)) + attribute("width", "1") +
           attribute("height", "1") + attribute("preserveAspectRatio", "none") +
           attribute("href", std::string("data:") + media_type(pictures[i]) + ";base64," +
                                 base64(pictures[i])) +
           "/>";
  return svg + "</defs></svg>\n";
}

std::string to_svg(const Drawing& drawing, const std::string& id, const std::string& alt) {
  Writer writer{id, {}};
  for (const Item& item : drawing.items) std::visit(writer, item);
  std::string svg = "<svg" +
                    attribute("viewBox", "0 0 " + n(drawing.width) + " " + n(drawing.height)) +
                    attribute("role", "img") + attribute("aria-labelledby", id + "-words") + ">";
  svg += "<title" + attribute("id", id + "-words") + ">" + escaped(alt) + "</title>";
  if (writer.hatched)
    svg += "<defs><pattern" + attribute("id", id + "-hatch") + attribute("width", "5") +
           attribute("height", "5") + attribute("patternUnits", "userSpaceOnUse") +
           attribute("patternTransform", "rotate(45)") +
           "><path d=\"M0 0L0 5\" stroke=\"#333333\" stroke-width=\"1\"/></pattern></defs>";
  return svg + writer.body + "</svg>";
}

}  // namespace mendtone::report
