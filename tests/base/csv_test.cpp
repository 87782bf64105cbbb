#include "mendtone/base/csv.hpp"

#include <gtest/gtest.h>

namespace mendtone::csv_test {
namespace {

// RFC 4180, section 2, rules 5 to 7.
TEST(Csv, CellsAreQuotedAsRfc4180Says) {
  EXPECT_EQ(csv_cell("margin"), "margin");
  EXPECT_EQ(csv_cell("margin, top"), "\"margin, top\"");
  EXPECT_EQ(csv_cell("the \"old\" tear"), "\"the \"\"old\"\" tear\"");
  EXPECT_EQ(csv_cell("one\r\ntwo"), "\"one\r\ntwo\"");
  EXPECT_EQ(csv_cell("=1+1"), "=1+1");
}

// What opens a formula: common practice, no source.
TEST(Csv, ASpreadsheetGetsNoFormula) {
  EXPECT_EQ(spreadsheet_cell("=HYPERLINK(\"http://a\",\"b\")"),
            "\"'=HYPERLINK(\"\"http://a\"\",\"\"b\"\")\"");
  for (const char* text : {"+cmd", "-cmd", "@SUM(A1)", "=1+1", "\t=1+1", "-", "+", "-1-1"})
    EXPECT_EQ(spreadsheet_cell(text), std::string("'") + text);
  EXPECT_EQ(spreadsheet_cell("\r=1"), "\"'\r=1\"");
  for (const char* text : {"-0.25", "+0.25", "-1e-05", "a=b", "3-4", "", " x", "12", "margin"})
    EXPECT_EQ(spreadsheet_cell(text), text);
}

}  // namespace
}  // namespace mendtone::csv_test
