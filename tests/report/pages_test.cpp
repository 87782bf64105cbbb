#include <gtest/gtest.h>

#include <algorithm>

#include "mendtone/report/write.hpp"
#include "report/kestrel_bay.hpp"

namespace mendtone::report::pages_test {
namespace {

/// Every letter half as wide as high: layout is tested without a font.
struct PlainMeasure : TextMeasure {
  double width_pt(std::string_view utf8, Face, double size_pt) const override {
    const auto letters = std::count_if(utf8.begin(), utf8.end(), [](char c) {
      return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
    });
    return 0.5 * size_pt * static_cast<double>(letters);
  }
};

PagedReport paged(const ReportContent& content) {
  return to_pages(content, PlainMeasure{});
}

std::vector<const Text*> texts(const Drawing& page) {
  std::vector<const Text*> all;
  for (const Item& item : page.items)
    if (const auto* text = std::get_if<Text>(&item)) all.push_back(text);
  return all;
}

bool says(const Drawing& page, const std::string& wanted) {
  for (const Text* text : texts(page))
    if (text->text.find(wanted) != std::string::npos) return true;
  return false;
}

ReportContent long_report() {
  ReportContent content = sample::kestrel_bay();
  const std::vector<Reading> some = content.readings;
  for (int i = 0; i < 60; ++i)
    for (Reading reading : some) {
      reading.spot += " no. " + std::to_string(i);
      content.readings.push_back(std::move(reading));
    }
  std::string endless;
  for (int i = 0; i < 400; ++i) endless += "\u0436";
  content.notes.push_back({"", endless + " is a word that fits no line"});
  return content;
}

void expect_inside(const PagedReport& report) {
  const PlainMeasure measure;
  constexpr double margin = 40;
  for (const Drawing& page : report.pages) {
    for (const Text* text : texts(page)) {
      if (text->upwards) continue;
      const double width = measure.width_pt(text->text, text->face, text->size_pt);
      const double left = text->at.x - (text->anchor == Anchor::start    ? 0
                                        : text->anchor == Anchor::middle ? width / 2
                                                                         : width);
      EXPECT_GE(left, margin) << text->text;
      EXPECT_LE(left + width, page.width - margin) << text->text;
      EXPECT_GE(text->at.y, margin) << text->text;
      EXPECT_LE(text->at.y, page.height - margin) << text->text;
    }
    for (const Item& item : page.items) {
      const auto* path = std::get_if<Path>(&item);
      if (!path) continue;
      for (const Polyline& line : path->lines)
        for (const Point& p : line.points) {
          EXPECT_GE(p.x, margin);
          EXPECT_LE(p.x, page.width - margin);
          EXPECT_LE(p.y, page.height - margin);
        }
    }
  }
}

TEST(Pages, NothingRunsOverTheMargins) {
  expect_inside(paged(sample::kestrel_bay()));
  expect_inside(paged(long_report()));
}

TEST(Pages, CarryNumbersAndTheObject) {
  const PagedReport report = paged(sample::kestrel_bay());
  for (std::size_t i = 0; i < report.pages.size(); ++i) {
    EXPECT_TRUE(says(report.pages[i], "Page " + std::to_string(i + 1) + " of " +
                                          std::to_string(report.pages.size())));
    EXPECT_TRUE(says(report.pages[i], "KB.1894.7")) << i;
    EXPECT_TRUE(says(report.pages[i], "invented data")) << i;
  }
}

TEST(Pages, NoHeadingStandsLast) {
  for (const ReportContent& content : {sample::kestrel_bay(), long_report()}) {
    const PagedReport report = paged(content);
    for (const Bookmark& mark : report.bookmarks) {
      std::size_t below = 0;
      for (const Text* text : texts(report.pages[mark.page]))
        below += text->at.y > mark.y + 24 && text->at.y < report.pages[mark.page].height - 60;
      EXPECT_GE(below, 1u) << mark.title;
    }
  }
}

TEST(Pages, ALongTableRepeatsItsHeadings) {
  const PagedReport report = paged(long_report());
  std::size_t pages_of_table = 0;
  for (const Drawing& page : report.pages) {
    if (!says(page, "before treatment") || !says(page, "82.90")) continue;
    ++pages_of_table;
    EXPECT_TRUE(says(page, "Repeats"));
  }
  EXPECT_GE(pages_of_table, 4u);
}

TEST(Pages, AWordThatFitsNoLineIsCutNotLost) {
  const PagedReport report = paged(long_report());
  std::size_t letters = 0;
  for (const Drawing& page : report.pages)
    for (const Text* text : texts(page))
      for (std::size_t at = 0; (at = text->text.find("\u0436", at)) != std::string::npos; ++at)
        ++letters;
  EXPECT_EQ(letters, 400u);
}

// Verdicts, marks and lines are ink and grey: the only colours are the object's own, in patches.
TEST(Pages, NothingIsToldByColour) {
  const ReportContent content = sample::kestrel_bay();
  std::vector<Ink> own;
  const auto add = [&](const Tone& tone) {
    own.push_back({tone.screen->r, tone.screen->g, tone.screen->b});
  };
  for (const Reading& r : content.readings) add(r.tone);
  for (const Fill& f : content.fills) {
    add(*f.tone);
    add(*f.sheet);
  }
  for (const RecipeCard& card : content.recipes) {
    add(*card.tone);
    for (const Coat& coat : card.coats) add(*coat.tone);
  }
  for (const Trial& trial : content.trials) {
    add(*trial.predicted);
    add(*trial.measured);
  }
  const auto grey = [](const Ink& ink) { return ink.r == ink.g && ink.g == ink.b; };
  for (const Drawing& page : paged(content).pages)
    for (const Item& item : page.items) {
      if (const auto* text = std::get_if<Text>(&item)) EXPECT_TRUE(grey(text->ink)) << text->text;
      const auto* path = std::get_if<Path>(&item);
      if (!path) continue;
      if (path->stroke_pt > 0) EXPECT_TRUE(grey(path->stroke));
      if (path->fill && !grey(*path->fill))
        EXPECT_NE(std::find(own.begin(), own.end(), *path->fill), own.end());
    }
}

}  // namespace
}  // namespace mendtone::report::pages_test
