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
  /// Parts that a page break cuts are closed on the one page and opened again on the next.
  void open() {
    if (!report_.pages.empty())
      for (auto tag = open_tags_.rbegin(); tag != open_tags_.rend(); ++tag)
        report_.pages.back().items.emplace_back(Tag{false, tag->role, {}});
    report_.pages.push_back({page_width, page_height, {}});
    for (const Tag& tag : open_tags_) report_.pages.back().items.emplace_back(tag);
    y_ = 0;
  }

  void put(std::vector<Item> items, double y) {
    shift(items, left, y);
    for (Item& item : items) {
      if (const auto* tag = std::get_if<Tag>(&item)) {
        if (tag->begins)
          open_tags_.push_back(*tag);
        else
          open_tags_.pop_back();
      }
      report_.pages.back().items.push_back(std::move(item));
    }
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
      if (y_ > 0 && body_height - y_ <= slabs[first].unless_free * body_height) open();
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
      put(slab.repeated, top);
      y_ = slab.repeated_height;
    }
    if (slab.heading_level > 0)
      report_.bookmarks.push_back(
          {slab.heading, slab.heading_level, report_.pages.size() - 1, top + y_});
    put(slab.items, top + y_);
    y_ += slab.height;
  }

  PagedReport& report_;
  std::vector<Tag> open_tags_;
  double y_ = 0;
};

/// The title stands on the first page only, above a rule.
std::vector<Slab> title_slab(const Story& story, const TextMeasure& measure) {
  constexpr double size = 21, leading = 26;
  Slab slab;
  slab.items.emplace_back(Tag{true, "H1", {}});
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
  slab.items.emplace_back(Tag{false, "H1", {}});
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

/// The page on which the blocks up to the first break end.
std::size_t pages_of_front(const Story& story, const TextMeasure& measure) {
  PagedReport trial;
  std::vector<Slab> slabs = title_slab(story, measure);
  for (const Block& block : story.blocks) {
    if (std::holds_alternative<NewPage>(block)) break;
    for (Slab& slab : set_block(block, text_width_pt, measure)) slabs.push_back(std::move(slab));
  }
  Pages(trial).add(slabs);
  return trial.pages.size();
}

/// With as much on the first page as it holds.
Story told_on_one_page(const ReportContent& content, const TextMeasure& measure) {
  for (const Detail detail : {Detail::full, Detail::some, Detail::brief}) {
    Story story = tell(content, detail);
    if (pages_of_front(story, measure) == 1) return story;
  }
  return tell(content, Detail::counts);
}

}  // namespace

PagedReport to_pages(const ReportContent& content, const TextMeasure& measure) {
  const Story story = told_on_one_page(content, measure);
  PagedReport report{story.title,
                     content.object_id,
                     content.operator_name,
                     content.program_version,
                     content.date,
                     {},
                     {},
                     {}};
  for (const Picture& picture : content.pictures) report.pictures.push_back(picture.bytes);
  std::vector<Slab> slabs = title_slab(story, measure);
  for (const Block& block : story.blocks)
    for (Slab& slab : set_block(block, text_width_pt, measure)) slabs.push_back(std::move(slab));
  Pages(report).add(slabs);
  head_and_foot(report, story, measure);
  return report;
}

}  // namespace mendtone::report
