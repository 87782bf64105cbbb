#include <algorithm>

#include "mendtone/report/story.hpp"
#include "mendtone/report/write.hpp"
#include "report/setting.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

// A4, with room at the left for holes.
constexpr double page_width = 595.28, page_height = 841.89;
constexpr double left = 62, top = 74, bottom = 72;
constexpr double body_height = page_height - top - bottom;

void put(Drawing& page, std::vector<Item> items, double y) {
  shift(items, left, y);
  for (Item& item : items) page.items.push_back(std::move(item));
}

/// Fills pages from slabs.
class Pages {
 public:
  explicit Pages(PagedReport& report) : report_(report) { open(); }

  void add(const std::vector<Slab>& slabs) {
    for (std::size_t first = 0; first < slabs.size();) {
      std::size_t last = first;
      while (last + 1 < slabs.size() && slabs[last].keep_with_next && !slabs[last + 1].opens_page)
        ++last;
      add_group(slabs, first, last);
      first = last + 1;
    }
  }

 private:
  void open() {
    report_.pages.push_back({page_width, page_height, {}});
    y_ = 0;
  }

  double height_of(const std::vector<Slab>& slabs, std::size_t first, std::size_t last) const {
    double height = 0;
    for (std::size_t i = first; i <= last; ++i)
      height += slabs[i].height + (i == first && y_ == 0 ? 0 : slabs[i].gap_before);
    return height;
  }

  /// A group goes to the next page whole, unless no page could hold it.
  void add_group(const std::vector<Slab>& slabs, std::size_t first, std::size_t last) {
    if (slabs[first].opens_page) {
      if (y_ > 0) open();
      if (first == last) return;
      ++first;
    }
    const double height = height_of(slabs, first, last);
    if (y_ > 0 && y_ + height > body_height && height <= body_height) open();
    for (std::size_t i = first; i <= last; ++i) add_slab(slabs[i]);
  }

  void add_slab(const Slab& slab) {
    if (y_ > 0 && y_ + slab.gap_before + slab.height > body_height) open();
    if (y_ > 0) y_ += slab.gap_before;
    if (y_ == 0 && slab.repeated_height > 0) {
      put(report_.pages.back(), slab.repeated, top);
      y_ = slab.repeated_height;
    }
    if (slab.heading_level > 0)
      report_.bookmarks.push_back(
          {slab.heading, slab.heading_level, report_.pages.size() - 1, top + y_});
    put(report_.pages.back(), slab.items, top + y_);
    y_ += slab.height;
  }

  PagedReport& report_;
  double y_ = 0;
};

/// The title stands on the first page only, above a rule.
std::vector<Slab> title_slab(const Story& story, const TextMeasure& measure) {
  constexpr double size = 21, leading = 26;
  Slab slab;
  for (const SetLine& line :
       broken({{story.title, Face::serif_bold}}, size, text_width_pt, measure)) {
    slab.items.emplace_back(Text{{0, slab.height + leading * 0.76},
                                 line.runs.front().second.text,
                                 Face::serif_bold,
                                 size,
                                 Anchor::start,
                                 black,
                                 false});
    slab.height += leading;
  }
  if (!story.subtitle.empty()) {
    slab.items.emplace_back(Text{{0, slab.height + 12},
                                 story.subtitle,
                                 Face::serif_italic,
                                 12,
                                 Anchor::start,
                                 black,
                                 false});
    slab.height += 18;
  }
  Path rule;
  rule.lines = {{{{0, slab.height + 2}, {text_width_pt, slab.height + 2}}, false}};
  rule.stroke = black;
  rule.stroke_pt = 1.4;
  slab.items.emplace_back(std::move(rule));
  slab.height += 8;
  return {std::move(slab)};
}

/// As much of `text` as fits, "…" behind what does not.
std::string fitting(const std::string& text, double width, double size,
                    const TextMeasure& measure) {
  if (measure.width_pt(text, Face::sans, size) <= width) return text;
  const auto lines = broken({{text, Face::sans}}, size, width - 8, measure);
  return lines.front().runs.front().second.text + "\u2026";
}

void head_and_foot(PagedReport& report, const Story& story, const TextMeasure& measure) {
  constexpr double size = 8;
  for (std::size_t i = 0; i < report.pages.size(); ++i) {
    Pen pen(report.pages[i]);
    const double right = left + text_width_pt;
    if (i > 0) {
      pen.text({left, 48}, fitting(story.running_head, text_width_pt, size, measure), size);
      pen.line({left, 54}, {right, 54}, 0.4, black);
    }
    const double y = page_height - 44;
    pen.line({left, y - 11}, {right, y - 11}, 0.4, black);
    pen.text({left, y}, fitting(story.running_foot, text_width_pt - 70, size, measure), size);
    pen.text({right, y},
             "Page " + std::to_string(i + 1) + " of " + std::to_string(report.pages.size()), size,
             Anchor::end);
  }
}

}  // namespace

PagedReport to_pages(const ReportContent& content, const TextMeasure& measure) {
  const Story story = tell(content);
  PagedReport report{story.title,
                     content.object_id,
                     content.operator_name,
                     content.program_version,
                     content.date,
                     {},
                     {},
                     {}};
  for (const Picture& picture : content.pictures) report.pictures.push_back(picture.png);
  std::vector<Slab> slabs = title_slab(story, measure);
  for (const Block& block : story.blocks)
    for (Slab& slab : set_block(block, text_width_pt, measure)) slabs.push_back(std::move(slab));
  Pages(report).add(slabs);
  head_and_foot(report, story, measure);
  return report;
}

}  // namespace mendtone::report
