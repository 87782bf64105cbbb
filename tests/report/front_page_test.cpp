#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "mendtone/report/write.hpp"
#include "report/kestrel_bay.hpp"
#include "report/words.hpp"

// The first page, for treatments drawn by chance and for very long and very short ones.
namespace mendtone::report::front_page_test {
namespace {

/// Letters as wide as the bundled faces are on average: layout is tested without a font.
struct PlainMeasure : TextMeasure {
  double width_pt(std::string_view utf8, Face, double size_pt) const override {
    return 0.5 * size_pt * static_cast<double>(characters(utf8));
  }
};

PagedReport paged(const ReportContent& content) {
  return to_pages(content, PlainMeasure{});
}

/// All words of a page in the order in which they were set, one blank between.
std::string words_of(const Drawing& page) {
  std::string all;
  for (const Item& item : page.items)
    if (const auto* text = std::get_if<Text>(&item))
      all += text->text + (text->text.empty() || text->text.back() != ' ' ? " " : "");
  return all;
}

/// Some of what a treatment may bring.
class Drawn {
 public:
  explicit Drawn(std::uint64_t seed) : random_(seed) {
    const ReportContent sample = sample::kestrel_bay();
    content_.title = "Chart";
    content_.object_id = "KB." + std::to_string(seed);
    content_.object_description = "a sheet";
    content_.operator_name = "A. Keeper";
    content_.first_day = "2026-02-01";
    content_.last_day = "2026-03-09";
    content_.record_head = std::string(64, 'a');
    const int losses = below(13);
    for (int i = 0; i < losses; ++i) add_loss(sample, i);
    const int spots = below(31);
    for (int i = 0; i < spots; ++i) add_spot(sample, i);
    const int unknowns = below(9);
    for (int i = 0; i < unknowns; ++i)
      content_.unknowns.push_back("how the " + std::to_string(i) + "th thing would read when wet");
  }

  const ReportContent& content() const { return content_; }

 private:
  int below(int most) { return std::uniform_int_distribution<int>(0, most - 1)(random_); }

  void add_loss(const ReportContent& sample, int i) {
    const std::string name = (below(2) ? "loss " : "tear ") + std::to_string(i + 1);
    content_.damages.push_back({name, name.substr(0, 4), "somewhere", 2.5});
    const int became = below(4);
    if (became == 0) return;  // nothing was decided
    if (became == 1) {
      content_.endings.push_back({name, "left alone", "it is stable"});
      return;
    }
    Fill fill = sample.fills.front();
    fill.loss = name;
    fill.verdict = "chosen";
    fill.name = "tissue of " + name;
    if (became == 3) {
      fill.measured = fill.tone;
      fill.measured_de00 = 0.31 + 0.01 * i;
      fill.measured_u95 = std::array<double, 2>{0.1, 0.6};
    }
    content_.fills.push_back(std::move(fill));
  }

  void add_spot(const ReportContent& sample, int i) {
    const std::string name = "spot " + std::to_string(i + 1);
    content_.spots.push_back({name, "somewhere", {}, {}});
    Reading from = sample.readings[0], to = sample.readings[1];
    from.spot = to.spot = name;
    content_.readings.push_back(from);
    content_.readings.push_back(to);
    Difference d = sample.differences[static_cast<std::size_t>(below(3))];
    d.spot = name;
    content_.differences.push_back(std::move(d));
  }

  std::mt19937_64 random_;
  ReportContent content_;
};

void expect_five_answers(const ReportContent& content) {
  const PagedReport report = paged(content);
  const std::string page = words_of(report.pages.front());
  // What object, who, when.
  for (const std::string& wanted :
       {content.object_id, content.object_description, content.operator_name, content.first_day,
        content.last_day, std::string("Signed"), content.record_head})
    EXPECT_NE(page.find(wanted), std::string::npos) << wanted;
  // Each loss and tear, and how near it came, read or predicted, under which light.
  for (const Damage& damage : content.damages)
    EXPECT_NE(page.find(damage.name), std::string::npos) << damage.name;
  for (const Fill& fill : content.fills) {
    const std::string figure = fill.measured_de00 ? "read " + de00_words(*fill.measured_de00)
                                                  : "predicted " + de00_words(*fill.de00);
    EXPECT_NE(
        page.find(fill.measured_de00 ? number(*fill.measured_de00, 2) : number(*fill.de00, 2)),
        std::string::npos)
        << figure;
    EXPECT_NE(page.find("D65"), std::string::npos);
  }
  if (!content.damages.empty())
    EXPECT_NE(page.find("What was done, and how near it came"), std::string::npos);
  if (!content.differences.empty()) EXPECT_NE(page.find("What else changed"), std::string::npos);
  // One page, with nothing on the next that belongs to it.
  for (const Bookmark& mark : report.bookmarks)
    if (mark.title == "What else changed" || mark.title == "What was done, and how near it came")
      EXPECT_EQ(mark.page, 0u);
  const auto signs = [](const Drawing& one) {
    return words_of(one).find("Signed") != std::string::npos;
  };
  EXPECT_TRUE(signs(report.pages.front()));
}

TEST(FrontPage, AnswersFiveQuestionsWhateverTheTreatment) {
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    SCOPED_TRACE(seed);
    expect_five_answers(Drawn(seed).content());
    if (testing::Test::HasFailure()) return;
  }
}

ReportContent long_treatment() {
  const ReportContent sample = sample::kestrel_bay();
  ReportContent content = sample;
  content.record_head = std::string(64, 'b');
  content.first_day = content.last_day = "2026-03-09";
  content.readings.clear();
  content.differences.clear();
  content.spots.clear();
  content.fills.clear();
  for (int i = 0; i < 30; ++i) {
    const std::string name = "spot number " + std::to_string(i + 1);
    content.spots.push_back(
        {name, "a place with a rather long description " + std::to_string(i), {}, {}});
    for (Reading reading : {sample.readings[0], sample.readings[1]}) {
      reading.spot = name;
      content.readings.push_back(std::move(reading));
    }
    Difference d = sample.differences[static_cast<std::size_t>(i % 3)];
    d.spot = name;
    content.differences.push_back(std::move(d));
  }
  for (int i = 0; i < 12; ++i) {
    const std::string name = "loss number " + std::to_string(i + 1);
    content.damages.push_back({name, "loss", "margin", 3.5});
    Fill fill = sample.fills.front();
    fill.loss = name;
    fill.verdict = "chosen";
    content.fills.push_back(std::move(fill));
  }
  Series series = sample.series.front();
  const SeriesPoint bath = series.points.back();
  for (int i = 5; i <= 40; ++i) {
    series.points.push_back(bath);
    series.points.back().label = "bath " + std::to_string(i);
  }
  content.series.clear();
  for (int i = 0; i < 30; ++i) {
    content.series.push_back(series);
    content.series.back().spot = "spot number " + std::to_string(i + 1);
  }
  return content;
}

void expect_on_the_page(const PagedReport& report) {
  const PlainMeasure measure;
  for (const Drawing& page : report.pages)
    for (const Item& item : page.items) {
      const auto* text = std::get_if<Text>(&item);
      if (!text || text->upwards) continue;
      const double width = measure.width_pt(text->text, text->face, text->size_pt);
      const double left = text->at.x - (text->anchor == Anchor::start    ? 0
                                        : text->anchor == Anchor::middle ? width / 2
                                                                         : width);
      EXPECT_GE(left, 40) << text->text;
      EXPECT_LE(left + width, page.width - 40) << text->text;
      EXPECT_LE(text->at.y, page.height - 40) << text->text;
    }
}

TEST(FrontPage, AVeryLongTreatmentStillHasOne) {
  const ReportContent content = long_treatment();
  expect_five_answers(content);
  expect_on_the_page(paged(content));
}

// One loss and nothing else: two pages, and no heading without what it heads.
TEST(FrontPage, AVeryShortTreatmentTakesTwoPages) {
  const ReportContent sample = sample::kestrel_bay();
  ReportContent content;
  content.title = "Chart";
  content.object_id = "KB.1";
  content.damages.push_back({"loss 1", "loss", "margin", {}});
  content.fills = {sample.fills.front()};
  content.fills.front().loss = "loss 1";
  const PagedReport report = paged(content);
  EXPECT_EQ(report.pages.size(), 2u);
  const std::string html = to_html(content);
  // Behind a heading stands what it heads, or a heading below it; never one beside it, nor the end.
  for (const std::string level : {"2", "3"})
    for (std::size_t at = 0; (at = html.find("</h" + level + ">", at)) != std::string::npos; ++at) {
      const std::size_t next = html.find_first_not_of(" \n", at + 5);
      ASSERT_NE(next, std::string::npos);
      EXPECT_NE(html.compare(next, 7, "</main>"), 0) << html.substr(at - 40, 60);
      if (html.compare(next, 2, "<h") == 0)
        EXPECT_GT(html.substr(next + 2, 1), level) << html.substr(at - 40, 60);
    }
}

TEST(FrontPage, NoFigureStandsTwice) {
  const PagedReport report = paged(long_treatment());
  std::map<std::string, int> seen;
  for (const Drawing& page : report.pages)
    for (const Item& item : page.items)
      if (const auto* tag = std::get_if<Tag>(&item); tag && tag->begins && tag->role == "Figure")
        ++seen[tag->words];
  // Fills of the same figures in several losses are the exception that the sample brings.
  for (const auto& [words, times] : seen)
    if (words.find("Sheet:") != 0) EXPECT_EQ(times, 1) << words.substr(0, 80);
}

TEST(Pages, NoLetterIsTooSmallOrTooPale) {
  const auto linear = [](double v) {
    v /= 255;
    return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
  };
  for (const Drawing& page : paged(sample::kestrel_bay()).pages)
    for (const Item& item : page.items)
      if (const auto* text = std::get_if<Text>(&item)) {
        EXPECT_GE(text->size_pt, 7) << text->text;
        // Contrast as WCAG 2.2 defines it, on white; on patches letters are black or white.
        const double light = linear(text->ink.r);  // inks are grey
        if (text->ink.r < 250) EXPECT_GE(1.05 / (light + 0.05), 4.5) << text->text;
      }
}

TEST(Pages, TagsAreClosedOnThePageThatOpenedThem) {
  for (const Drawing& page : paged(long_treatment()).pages) {
    std::vector<std::string> open;
    for (const Item& item : page.items) {
      const auto* tag = std::get_if<Tag>(&item);
      if (!tag) continue;
      if (tag->begins) {
        open.push_back(tag->role);
        continue;
      }
      ASSERT_FALSE(open.empty());
      EXPECT_EQ(open.back(), tag->role);
      open.pop_back();
    }
    EXPECT_TRUE(open.empty());
  }
}

TEST(Words, AChangeIsSaidInPlainWordsFirst) {
  Difference d;
  d.dL = 3.0;
  d.da = -0.6;
  d.db = -1.4;
  d.de00 = 2.26;
  EXPECT_EQ(plain_change(d),
            "lighter, slightly less yellow, slightly greener: plainly visible side by side");
  d = {};
  d.de00 = 0.1;
  EXPECT_EQ(plain_change(d), "no direction worth a word: hardly visible side by side");
}

TEST(Outcomes, AreReadWhereTheyWereReadAndSayUnderWhichLight) {
  ReportContent content = sample::kestrel_bay();
  content.fills.front().loss = "loss 1";
  content.damages = {{"loss 1", "loss", "", {}}, {"tear 2", "tear", "", {}}};
  std::vector<Outcome> all = outcomes(content);
  ASSERT_EQ(all.size(), 2 + content.differences.size() + 1);  // fills of no loss are one more
  EXPECT_EQ(all.front().what, "loss 1");
  EXPECT_EQ(all.front().basis, "predicted");
  content.fills.front().measured = content.fills.front().tone;
  content.fills.front().measured_de00 = 0.42;
  all = outcomes(content);
  EXPECT_EQ(all.front().basis, "read");
  EXPECT_EQ(*all.front().de00, 0.42);
  EXPECT_EQ(all.front().light, "D65");
}

}  // namespace
}  // namespace mendtone::report::front_page_test
