#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <pugixml.hpp>
#include <set>
#include <string_view>

#include "mendtone/report/write.hpp"
#include "report/kestrel_bay.hpp"

namespace mendtone::report::html_test {
namespace {

/// The HTML is written so that an XML reader can read it: a second opinion on its structure.
struct Page {
  std::string text;
  pugi::xml_document document;

  explicit Page(const ReportContent& content) : text(to_html(content)) {
    const auto parsed = document.load_string(text.c_str(), pugi::parse_full);
    EXPECT_TRUE(parsed) << parsed.description() << " at " << parsed.offset;
  }
  pugi::xpath_node_set all(const char* path) const { return document.select_nodes(path); }
};

TEST(Html, NamesItsLanguageAndHasOneTitle) {
  const Page page(sample::kestrel_bay());
  EXPECT_STREQ(page.document.child("html").attribute("lang").value(), "en-GB");
  EXPECT_EQ(page.all("//h1").size(), 1u);
  EXPECT_NE(std::string(page.document.select_node("/html/head/title").node().child_value())
                .find("KB.1894.7"),
            std::string::npos);
}

/// Debian's `tidy` knows HTML 5, and of SVG inside it only that a title may not have an id, which
/// SVG allows.
TEST(Html, IsValid) {
  const std::string file = testing::TempDir() + "mendtone-report.html";
  std::ofstream(file, std::ios::binary) << to_html(sample::kestrel_bay());
  FILE* const said = ::popen(("tidy -q -e " + file + " 2>&1").c_str(), "r");
  std::string faults;
  char line[4096];
  std::size_t lines = 0;
  while (std::fgets(line, sizeof line, said) != nullptr) {
    ++lines;
    if (std::string_view(line).find("<title> proprietary attribute \"id\"") == std::string::npos)
      faults += line;
  }
  const int status = ::pclose(said);
  std::filesystem::remove(file);
  EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) <= 1) << status;
  EXPECT_GT(lines, 0u) << "it says something of each figure, or it did not run";
  EXPECT_EQ(faults, "");
}

TEST(Html, AsksNothingOfTheOutside) {
  const Page page(sample::kestrel_bay());
  EXPECT_EQ(page.text.find("http:"), std::string::npos);
  EXPECT_EQ(page.text.find("https:"), std::string::npos);
  EXPECT_EQ(page.text.find("@import"), std::string::npos);
  EXPECT_EQ(page.all("//script | //link | //iframe").size(), 0u);
  for (const auto& node : page.all("//@href | //@src")) {
    const std::string address = node.attribute().value();
    EXPECT_TRUE(address.rfind("data:", 0) == 0 || address.rfind("#", 0) == 0) << address;
  }
}

TEST(Html, HeadingsStepDownOneLevelAtATime) {
  const Page page(sample::kestrel_bay());
  int before = 0;
  for (const auto& node : page.all("//h1 | //h2 | //h3 | //h4")) {
    const int level = node.node().name()[1] - '0';
    EXPECT_LE(level, before + 1) << node.node().child_value();
    before = level;
  }
  EXPECT_GE(before, 2);
}

TEST(Html, TablesHaveCaptionsAndScopedHeadings) {
  const Page page(sample::kestrel_bay());
  const auto tables = page.all("//table");
  EXPECT_GE(tables.size(), 8u);
  for (const auto& found : tables) {
    const pugi::xml_node table = found.node();
    EXPECT_STRNE(table.child_value("caption"), "");
    const auto columns = table.select_nodes("thead/tr/th[@scope='col']");
    EXPECT_GE(columns.size(), 2u);
    for (const auto& row : table.select_nodes("tbody/tr")) {
      EXPECT_STREQ(row.node().child("th").attribute("scope").value(), "row");
      EXPECT_EQ(row.node().select_nodes("th | td").size(), columns.size());
    }
  }
}

TEST(Html, EveryFigureSaysInWordsWhatItShows) {
  const Page page(sample::kestrel_bay());
  std::set<std::string> ids;
  for (const auto& node : page.all("//@id"))
    EXPECT_TRUE(ids.insert(node.attribute().value()).second);
  for (const auto& node : page.all("//figure/svg")) {
    EXPECT_STREQ(node.node().attribute("role").value(), "img");
    EXPECT_GT(std::string(node.node().child_value("title")).size(), 10u);
    EXPECT_EQ(ids.count(node.node().attribute("aria-labelledby").value()), 1u);
  }
  for (const auto& node : page.all("//figure"))
    EXPECT_GT(std::string(node.node().child_value("figcaption")).size(), 10u);
}

TEST(Html, NamesCannotBecomeMarkup) {
  ReportContent content = sample::kestrel_bay();
  content.title = "<script>alert(1)</script>";
  content.fills[0].name = "kozo \"12\" & <b>gampi</b>";
  content.readings[0].spot = "S1 \x01<i>";
  const Page page(content);
  EXPECT_EQ(page.all("//script | //b | //i").size(), 0u);
  EXPECT_NE(page.text.find("kozo &quot;12&quot; &amp; &lt;b&gt;gampi"), std::string::npos);
}

TEST(Html, AnEmptyReportIsStillAPage) {
  const Page page(ReportContent{});
  EXPECT_EQ(page.all("//h1").size(), 1u);
  EXPECT_EQ(page.all("//table | //figure").size(), 0u);
}

TEST(Html, AColourOutsideTheScreenIsSaid) {
  ReportContent content = sample::kestrel_bay();
  const Page before(content);
  EXPECT_EQ(before.text.find("outside what a screen can show"), std::string::npos);
  content.readings[0].tone = sample::tone(60, 90, 80);
  ASSERT_TRUE(content.readings[0].tone.screen->outside);
  const Page page(content);
  EXPECT_NE(page.text.find("outside what a screen can show"), std::string::npos);
  EXPECT_NE(page.text.find("-hatch)"), std::string::npos);
}

}  // namespace
}  // namespace mendtone::report::html_test
