#include "mendtone/report/sentences.hpp"
#include "mendtone/report/story.hpp"
#include "mendtone/report/write.hpp"
#include "report/svg.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

// The sheet of a quiet printed report: ink on paper, rules instead of boxes, one column.
constexpr const char* style = R"(
:root { color-scheme: light; }
body { margin: 0; background: #fff; color: #1a1a1a; font: 1.0625rem/1.5 "Linux Libertine O", "Palatino Linotype", Palatino, "Noto Serif", Georgia, serif; }
header, main, footer { width: min(42rem, 100% - 2.5rem); margin: 0 auto; }
header { padding-top: 2.5rem; border-bottom: 0.12rem solid #1a1a1a; }
h1 { font-size: 1.9rem; line-height: 1.2; margin: 0 0 0.3rem; font-weight: bold; }
h2 { font-size: 1.35rem; line-height: 1.25; margin: 2.2rem 0 0.6rem; }
h3 { font-size: 1.12rem; line-height: 1.3; margin: 1.9rem 0 0.5rem; }
h2.part { font-size: 1.6rem; margin-top: 3.5rem; padding-top: 0.8rem; border-top: 0.12rem solid #1a1a1a; }
p { margin: 0.5rem 0; max-width: 40rem; }
p.small, ul.small { font-size: 0.88rem; line-height: 1.4; }
table.small { font-size: 0.8rem; }
p.head { font-size: 0.75rem; overflow-wrap: anywhere; margin-top: 0.8rem; }
p.under { margin: 0 0 0.8rem; font-style: italic; }
ul { margin: 0.4rem 0 0.8rem; padding-left: 1.2rem; max-width: 40rem; overflow-wrap: anywhere; }
li { margin: 0.25rem 0; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 0.15rem 1.5rem; margin: 1.2rem 0; }
dt { font-weight: bold; }
dd { margin: 0; }
table, figure, svg, dt, dd, figcaption { font-family: "Linux Biolinum O", Optima, "Gill Sans", "Noto Sans", "Liberation Sans", Arial, sans-serif; }
div.wide { overflow-x: auto; margin: 1rem 0 1.4rem; }
div.two { display: flex; flex-wrap: wrap; gap: 0 2.5rem; align-items: flex-start; }
table { border-collapse: collapse; font-size: 0.9rem; line-height: 1.35; border-top: 0.1rem solid #1a1a1a; border-bottom: 0.1rem solid #1a1a1a; font-variant-numeric: tabular-nums lining-nums; }
caption { text-align: left; font-style: italic; padding: 0 0 0.4rem; }
th, td { text-align: left; vertical-align: top; padding: 0.35rem 1.1rem 0.35rem 0; font-weight: normal; }
thead th { font-weight: bold; border-bottom: 0.06rem solid #1a1a1a; vertical-align: bottom; }
tbody tr + tr th, tbody tr + tr td { border-top: 0.04rem solid #cdcdcd; }
p.sign { display: flex; gap: 2rem; margin: 3.5rem 0 0; }
p.sign span { flex: 1; border-top: 0.05rem solid #1a1a1a; padding-top: 0.2rem; font-size: 0.85rem; }
th.w, td.w { white-space: nowrap; }
th.n, td.n { text-align: right; white-space: nowrap; }
thead th.n { white-space: normal; }
th:last-child, td:last-child { padding-right: 0; }
svg.shared { position: absolute; }
svg.patch { width: 1.05rem; height: 1.05rem; vertical-align: -0.16rem; margin-right: 0.45rem; }
figure { margin: 1rem 0 1.6rem; }
figure svg { display: block; width: 100%; height: auto; }
figcaption { font-size: 0.85rem; line-height: 1.4; margin-top: 0.5rem; color: #333; max-width: 40rem; overflow-wrap: anywhere; }
section.box { border-left: 0.3rem solid #1a1a1a; padding: 0.1rem 0 0.1rem 1rem; margin: 1.8rem 0; }
section.box h2 { margin: 0 0 0.3rem; font-size: 1.12rem; }
footer { padding-top: 1rem; padding-bottom: 3rem; margin-top: 2.5rem; font-size: 0.85rem; }
footer p { border-top: 0.06rem solid #1a1a1a; padding-top: 0.5rem; }
@media screen and (max-width: 36rem) {
figure { overflow-x: auto; }
figure svg { width: 40rem; max-width: none; }
figcaption { position: sticky; left: 0; }
}
@media print {
@page { size: A4; margin: 18mm 17mm 20mm 20mm; }
body { font-size: 10.5pt; -webkit-print-color-adjust: exact; print-color-adjust: exact; }
header, main, footer { width: auto; }
h2, h3 { break-after: avoid; }
h2.part { break-before: page; border-top: none; margin-top: 0; }
figure, section.box, tr { break-inside: avoid; }
div.wide { overflow: visible; }
thead { display: table-header-group; }
p, li { orphans: 3; widows: 3; }
}
)";

struct Writer {
  std::string html;
  int figures = 0, patches = 0;
  bool new_part = false;

  void operator()(const Heading& heading) {
    const std::string tag = "h" + std::to_string(heading.level);
    html += "<" + tag + (new_part ? " class=\"part\">" : ">") + escaped(heading.text) + "</" + tag +
            ">\n";
    new_part = false;
  }

  void operator()(const Paragraph& p) {
    html += p.set == Set::small ? "<p class=\"small\">" : "<p>";
    if (!p.lead.empty()) html += "<strong>" + escaped(p.lead) + "</strong> ";
    html += escaped(p.text) + "</p>\n";
  }

  void items(const std::vector<std::string>& texts, Set set = Set::body) {
    html += set == Set::small ? "<ul class=\"small\">\n" : "<ul>\n";
    for (const std::string& text : texts) html += "<li>" + escaped(text) + "</li>\n";
    html += "</ul>\n";
  }

  void operator()(const Bullets& bullets) { items(bullets.items, bullets.set); }

  void operator()(const Facts& facts) {
    html += "<dl>\n";
    for (const auto& line : facts.lines)
      html += "<dt>" + escaped(line[0]) + "</dt><dd>" + escaped(line[1]) + "</dd>\n";
    html += "</dl>\n";
  }

  void operator()(const Boxed& box) {
    html += "<section class=\"box\">\n<h2>" + escaped(box.heading) + "</h2>\n";
    items(box.items);
    html += "</section>\n";
  }

  static const char* class_of(const Column& column) {
    switch (column.holds) {
      case Holds::text:
        break;
      case Holds::name:
        return " class=\"w\"";
      case Holds::number:
        return " class=\"n\"";
    }
    return "";
  }

  void cell(const Cell& cell, const Column& column, bool first) {
    const std::string tag = first ? "th" : "td";
    html += "<" + tag + (first ? " scope=\"row\"" : "") + class_of(column) + ">";
    if (cell.swatch) html += patch(*cell.swatch);
    html += escaped(cell.text) + "</" + tag + ">";
  }

  /// A small square of colour; hatched, and said, where the screen cannot show it.
  std::string patch(const ScreenColour& colour) {
    const std::string fill = css({colour.r, colour.g, colour.b});
    std::string svg = "<svg class=\"patch\" viewBox=\"0 0 10 10\"";
    if (!colour.outside)
      svg += " aria-hidden=\"true\">";
    else
      svg += " role=\"img\" aria-label=\"outside what a screen can show\">";
    svg += "<rect x=\"0.3\" y=\"0.3\" width=\"9.4\" height=\"9.4\" fill=\"" + fill +
           "\" stroke=\"#787878\" stroke-width=\"0.5\"/>";
    if (colour.outside)
      svg += "<path d=\"M0 10L10 0M0 5L5 0M5 10L10 5\" stroke=\"#333333\" stroke-width=\"0.8\"/>";
    return svg + "</svg>";
  }

  void operator()(const Table& table) {
    html += std::string("<div class=\"wide\">\n<table") +
            (table.set == Set::small ? " class=\"small\"" : "") + ">\n<caption>" +
            escaped(table.caption) + "</caption>\n<thead>\n<tr>";
    for (const Column& column : table.columns)
      html += std::string("<th scope=\"col\"") + std::string(class_of(column)) + ">" +
              escaped(column.heading) + "</th>";
    html += "</tr>\n</thead>\n<tbody>\n";
    for (const auto& row : table.rows) {
      html += "<tr>";
      for (std::size_t i = 0; i < row.size(); ++i) cell(row[i], table.columns[i], i == 0);
      html += "</tr>\n";
    }
    html += "</tbody>\n</table>\n</div>\n";
  }

  void operator()(const TwoTables& two) {
    html += "<div class=\"two\">\n";
    (*this)(two.left);
    (*this)(two.right);
    html += "</div>\n";
  }

  void operator()(const Figure& figure) {
    html += "<figure>\n";
    for (const FigureRow& row : figure.rows)
      html += to_svg(row.drawing, "figure-" + std::to_string(++figures), row.alt) + "\n";
    if (!figure.caption.empty())
      html += "<figcaption>" + escaped(figure.caption) + "</figcaption>\n";
    html += "</figure>\n";
  }

  void operator()(const Signature& signature) {
    html += "<p class=\"sign\"><span>Signed</span> <span>Date</span></p>\n";
    if (!signature.record_head.empty())
      html += "<p class=\"head\">" +
              escaped(say(Sentence::record_head) + " " + signature.record_head) + "</p>\n";
  }

  void operator()(const NewPage&) { new_part = true; }
};

}  // namespace

std::string to_html(const ReportContent& content) {
  const Story story = tell(content);
  std::vector<std::string> pictures;
  for (const Picture& picture : content.pictures) pictures.push_back(picture.bytes);
  Writer writer;
  for (const Block& block : story.blocks) std::visit(writer, block);
  std::string html =
      "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\"/>\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
      "'unsafe-inline'; img-src data:\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>";
  html += escaped(story.running_head) + "</title>\n<style>" + style + "</style>\n</head>\n<body>\n";
  html += "<header>\n<h1>" + escaped(story.title) + "</h1>\n";
  if (!story.subtitle.empty()) html += "<p class=\"under\">" + escaped(story.subtitle) + "</p>\n";
  html += "</header>\n<main>\n" + shared_pictures(pictures) + writer.html + "</main>\n";
  if (!story.running_foot.empty())
    html += "<footer>\n<p>" + escaped(story.running_foot) + "</p>\n</footer>\n";
  return html + "</body>\n</html>\n";
}

}  // namespace mendtone::report
