#include <gtest/gtest.h>

#include <fstream>
#include <pugixml.hpp>

#include "mendtone/report/write.hpp"
#include "report/kestrel_bay.hpp"

namespace mendtone::report {
namespace {
TEST(Html, IsWellFormedXml) {
  const std::string html = to_html(sample::kestrel_bay());
  pugi::xml_document document;
  const auto parsed = document.load_string(html.c_str(), pugi::parse_full);
  EXPECT_TRUE(parsed) << parsed.description() << " at " << parsed.offset;
}
}  // namespace
}  // namespace mendtone::report
