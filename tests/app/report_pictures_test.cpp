#include <gtest/gtest.h>

#include "adapters/record_samples.hpp"
#include "adapters/scratch.hpp"
#include "mendtone/adapters/icc.hpp"
#include "mendtone/adapters/picture_file.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/app/report/report.hpp"
#include "mendtone/report/write.hpp"

// What stands below a photograph in the report.
namespace mendtone::app::report_pictures_test {

using record::entry;

constexpr const char* for_looking = "for looking, not for measuring";

/// The caption of the only photograph of a report, and the report as a page.
std::pair<std::string, std::string> reported(const std::string& name, const PictureTags& tags) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record"), file = scratch.file(name);
  EXPECT_TRUE(new_record(path));
  EXPECT_TRUE(write_picture(file, Picture({60, 40}, {9000, 30000, 50000}), tags));
  EXPECT_TRUE(record_keep({path, entry(), "sheet", {{"name", "chart"}}, ""}));
  const Written columns{
      {"name", "sea"}, {"sheet", "chart"}, {"path", file}, {"stage", "before"}, {"note", "raking"}};
  const auto kept = record_keep({path, entry(), "photograph", columns, ""});
  EXPECT_TRUE(kept) << kept.error().text();
  ReportRequest request;
  request.record = path;
  request.sheet = "chart";
  const auto content = report_content(request);
  EXPECT_TRUE(content) << content.error().text();
  if (!content || content->pictures.size() != 1) return {"no picture", ""};
  return {content->pictures.front().caption, report::to_html(*content)};
}

TEST(ReportPictures, WhatOnlySaysThatItIsSrgbIsMarkedInItsCaption) {
  PictureTags says;
  says.srgb = true;
  const auto [caption, page] = reported("says.png", says);
  EXPECT_NE(caption.find("before; raking"), std::string::npos) << caption;
  EXPECT_NE(caption.find(for_looking), std::string::npos) << caption;
  EXPECT_NE(page.find(for_looking), std::string::npos);
}

TEST(ReportPictures, APictureWithAProfileIsNot) {
  PictureTags holds;
  holds.profile = srgb_profile();
  const auto [caption, page] = reported("holds.png", holds);
  EXPECT_EQ(caption, "before; raking");
  EXPECT_EQ(page.find(for_looking), std::string::npos);
}

}  // namespace mendtone::app::report_pictures_test
