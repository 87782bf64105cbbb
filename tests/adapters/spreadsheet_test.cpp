#include "mendtone/adapters/spreadsheet.hpp"

#include <gtest/gtest.h>
#include <unistd.h>
#include <xlsxwriter.h>

#include "formats/bands.hpp"
#include "formats/zip.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::spreadsheet_test {
namespace {

using namespace formats_test;

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

/// A workbook of another library's making: a title, an empty row, a heading, 20 rows of 31 bands.
std::string written_by_libxlsxwriter(bool constant_memory) {
  const std::string path = testing::TempDir() + "mendtone-book.xlsx";
  lxw_workbook_options options{};
  options.constant_memory = constant_memory;
  lxw_workbook* book = workbook_new_opt(path.c_str(), &options);
  lxw_worksheet* notes = workbook_add_worksheet(book, "Notes");
  worksheet_write_string(notes, 0, 0, "made for a test", nullptr);
  lxw_worksheet* sheet = workbook_add_worksheet(book, "Readings");
  worksheet_write_string(sheet, 0, 0, "The chart \"of 1894\"\twith marks", nullptr);
  worksheet_write_string(sheet, 2, 0, "name", nullptr);
  worksheet_write_string(sheet, 2, 1, "backing", nullptr);
  for (int k = 0; k < 31; ++k) worksheet_write_number(sheet, 2, 2 + k, 400 + 10 * k, nullptr);
  for (int i = 0; i < 20; ++i) {
    const auto row = static_cast<lxw_row_t>(3 + i);
    worksheet_write_string(sheet, row, 0, ("margin é " + std::to_string(i)).c_str(), nullptr);
    worksheet_write_string(sheet, row, 1, "black", nullptr);
    for (int k = 0; k < 30; ++k)
      worksheet_write_number(sheet, row, 2 + k, 0.3 + 0.01 * k + 0.001 * i, nullptr);
    worksheet_write_formula_num(sheet, row, 32, "=C4*2", nullptr, 0.625);
  }
  EXPECT_EQ(workbook_close(book), LXW_NO_ERROR);
  auto bytes = read_file(path);
  EXPECT_TRUE(bytes);
  ::unlink(path.c_str());
  return bytes ? *std::move(bytes) : std::string();
}

TEST(Spreadsheet, AWorkbookOfAnotherLibrary) {
  for (const bool in_line : {false, true}) {
    const std::string bytes = written_by_libxlsxwriter(in_line);
    const auto workbook = read_workbook(bytes, "book.xlsx");
    ASSERT_TRUE(workbook) << workbook.error().text();
    const auto file = read_readings(*workbook, "book.xlsx");
    ASSERT_TRUE(file) << file.error().text();
    ASSERT_EQ(file->readings.size(), 20u);
    EXPECT_EQ(file->readings[7].name, "margin é 7");
    EXPECT_EQ(file->readings[7].backing, "black");
    EXPECT_EQ(text_of(file->readings[7].source), "book.xlsx, sheet 'Readings', row 11");
    for (int k = 0; k < 30; ++k)
      EXPECT_NEAR(file->readings[7].spectrum->value[static_cast<std::size_t>(k)],
                  0.3 + 0.01 * k + 0.007, 1e-15);
    // A formula's kept value, and no other: it would compute to something else.
    EXPECT_EQ(file->readings[7].spectrum->value[30], 0.625);
  }
}

std::string cell(const std::string& name, const std::string& value, const char* type = nullptr) {
  return "<c r=\"" + name + "\"" + (type ? " t=\"" + std::string(type) + "\"" : "") + "><v>" +
         value + "</v></c>";
}

// ECMA-376 part 1, 18.3.1.4 (c), 18.4 (shared strings), 18.18.11 (ST_CellType).
TEST(Spreadsheet, EveryKindOfCellOfXlsx) {
  const std::string rows =
      "<row r=\"2\">" + cell("B2", "0", "s") + cell("C2", "0.5") + cell("D2", "1", "b") +
      cell("E2", "#N/A", "e") +
      "<c r=\"F2\" t=\"inlineStr\"><is><r><t>in </t></r><r><t>line</t></r></is></c>"
      "<c r=\"G2\" t=\"str\"><f>A1&amp;B1</f><v>said &amp; done</v></c>"
      "<c r=\"AA2\"><f>1+1</f><v>2</v></c></row><row><c><v>7</v></c><c><v>8</v></c></row>";
  const std::string shared =
      "<si><t xml:space=\"preserve\">a &lt;name&gt;</t><rPh sb=\"0\" "
      "eb=\"1\"><t>hint</t></rPh></si>";
  const auto book = read_workbook(zip_of(xlsx_parts({{"One", rows}}, shared)), "f");
  ASSERT_TRUE(book) << book.error().text();
  ASSERT_EQ(book->sheets.size(), 1u);
  EXPECT_EQ(book->rows(0), "\n\ta <name>\t0.5\tTRUE\t\"#N/A\"\tin line\tsaid & done" +
                               std::string(20, '\t') + "2\n7\t8\n");
}

// OpenDocument 1.3 part 3, 9.1.4 (table-cell), 19.675 (number-columns-repeated).
TEST(Spreadsheet, EveryKindOfCellOfOds) {
  const std::string tables =
      "<table:table table:name=\"One\"><table:table-row table:number-rows-repeated=\"2\">"
      "<table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row>"
      "<table:table-row><table:table-cell/>"
      "<table:table-cell office:value-type=\"string\"><text:p>a "
      "<text:span>name</text:span></text:p>"
      "<text:p>below</text:p><office:annotation><text:p>a remark</text:p></office:annotation>"
      "</table:table-cell>"
      "<table:table-cell office:value-type=\"float\" office:value=\"0.25\" "
      "table:number-columns-repeated=\"2\"><text:p>0,25</text:p></table:table-cell>"
      "<table:table-cell office:value-type=\"percentage\" office:value=\"0.5\"><text:p>50 "
      "%</text:p>"
      "</table:table-cell><table:covered-table-cell/>"
      "<table:table-cell table:formula=\"of:=1+1\" office:value-type=\"float\" office:value=\"2\">"
      "<text:p>2</text:p></table:table-cell></table:table-row>"
      "<table:table-row table:number-rows-repeated=\"1048573\"><table:table-cell/>"
      "</table:table-row></table:table>";
  const auto book = read_workbook(zip_of(ods_parts(tables)), "f");
  ASSERT_TRUE(book) << book.error().text();
  ASSERT_EQ(book->sheets.size(), 1u);
  EXPECT_EQ(book->rows(0), "\n\n\ta name below\t0.25\t0.25\t0.5\t\t2\n");
}

TEST(Spreadsheet, BothKindsGiveTheReadingsOfTheCsv) {
  std::string xlsx, ods, csv;
  const auto add = [&](const std::string& text, bool number) {
    xlsx += number ? "<c><v>" + text + "</v></c>"
                   : "<c t=\"inlineStr\"><is><t>" + text + "</t></is></c>";
    ods += number ? "<table:table-cell office:value-type=\"float\" office:value=\"" + text + "\"/>"
                  : "<table:table-cell office:value-type=\"string\"><text:p>" + text +
                        "</text:p></table:table-cell>";
    csv += (csv.empty() || csv.back() == '\n' ? "" : ",") + text;
  };
  const auto begin = [&] { xlsx += "<row>", ods += "<table:table-row>"; };
  const auto end = [&] { xlsx += "</row>", ods += "</table:table-row>", csv += "\n"; };
  begin();
  for (const char* heading : {"name", "state", "condition"}) add(heading, false);
  for (int nm = 400; nm <= 700; nm += 10) add(std::to_string(nm), true);
  end();
  for (int i = 0; i < 5; ++i) {
    begin();
    for (const std::string& text :
         {"sheet " + std::to_string(i), std::string("dry"), std::string("M1")})
      add(text, false);
    for (int k = 0; k < 31; ++k) add(shortest(0.3 + 0.017 * k + 0.0003 * i), true);
    end();
  }
  const auto text = read_readings(csv, "f");
  ASSERT_TRUE(text) << text.error().text();
  for (const std::string& bytes :
       {zip_of(xlsx_parts({{"One", xlsx}})),
        zip_of(ods_parts("<table:table table:name=\"One\">" + ods + "</table:table>"))}) {
    const auto book = read_workbook(bytes, "f");
    ASSERT_TRUE(book) << book.error().text();
    const auto file = read_readings(*book, "f");
    ASSERT_TRUE(file) << file.error().text();
    ASSERT_EQ(file->readings.size(), text->readings.size());
    for (std::size_t i = 0; i < text->readings.size(); ++i) {
      EXPECT_EQ(file->readings[i].name, text->readings[i].name);
      EXPECT_EQ(file->readings[i].state, text->readings[i].state);
      EXPECT_EQ(file->readings[i].condition, text->readings[i].condition);
      EXPECT_EQ(file->readings[i].spectrum->value, text->readings[i].spectrum->value);
    }
  }
}

TEST(Spreadsheet, DamagedOnesAreRefusedAndHarmNothing) {
  const auto refusal = [](const std::string& rows) {
    const auto book = read_workbook(zip_of(xlsx_parts({{"One", rows}})), "book.xlsx");
    EXPECT_FALSE(book) << rows;
    if (!book) EXPECT_EQ(book.error().code, ErrorCode::bad_input) << book.error().text();
    return book ? std::string() : book.error().text();
  };
  EXPECT_TRUE(holds(refusal("<row><c><v>1</v>"), "book.xlsx: the spreadsheet cannot be read"));
  EXPECT_TRUE(holds(refusal("<row r=\"2\"><c/></row>"
                            "<row r=\"5\"><c r=\"A5\"><v>1</v></c></row>"
                            "<row r=\"3\"><c r=\"A3\"><v>1</v></c></row>"),
                    "its cells are not in order"));
  EXPECT_TRUE(holds(refusal("<row r=\"9999999\"><c r=\"A9999999\"><v>1</v></c></row>"),
                    "a cell lies outside any sheet"));
  EXPECT_TRUE(holds(refusal("<row><c t=\"s\"><v>5</v></c></row>"), "a text that is not there"));
  std::string deep;
  for (int i = 0; i < 100000; ++i) deep += "<a>";
  EXPECT_TRUE(holds(refusal(deep), "nested too deep"));
  // 16384 columns of 1048576 rows, in 200 bytes.
  const auto book = read_workbook(
      zip_of(ods_parts("<table:table table:name=\"One\"><table:table-row "
                       "table:number-rows-repeated=\"1048576\"><table:table-cell "
                       "table:number-columns-repeated=\"16384\" office:value-type=\"float\" "
                       "office:value=\"1\"/></table:table-row></table:table>")),
      "book.ods");
  ASSERT_FALSE(book);
  EXPECT_TRUE(holds(book.error().text(), "more than 12 million cells")) << book.error().text();
  EXPECT_FALSE(read_workbook("PK\x03\x04 and nothing more", "book.xlsx"));
}

TEST(Spreadsheet, WhatIsWrittenReadsBack) {
  const std::string text =
      "\x1eRanking\ntissue\tΔE00\tnote\nkozo 17\t0.1234567890123456\t\"a "
      "\"\"b\"\"\"\n007\t-2.5e-07\t\n"
      "\x1e"
      "About\nwhat\tvalue\nlight\tD65\n=SUM(A1)\t1894\n";
  const auto bytes = write_workbook(text);
  ASSERT_TRUE(bytes) << bytes.error().text();
  const auto book = read_workbook(*bytes, "f");
  ASSERT_TRUE(book) << book.error().text();
  ASSERT_EQ(book->sheets.size(), 2u);
  EXPECT_EQ(book->sheets[1].name, "About");
  EXPECT_TRUE(holds(std::string(book->rows(0)), "tissue\tΔE00\tnote\nkozo 17\t0.12345678901234"))
      << book->rows(0);
  EXPECT_TRUE(holds(std::string(book->rows(0)), "\"a \"\"b\"\"\"\n007\t-2.5")) << book->rows(0);
  // A formula's sign in a name stays a name.
  EXPECT_TRUE(holds(std::string(book->rows(1)), "=SUM(A1)\t1894"));
}

// The helper gives up everything before it looks at the file; that it is confined is tested where
// the confining code is.
TEST(Spreadsheet, OneAfterAnotherLeavesNoDescriptorOpen) {
  const std::string bytes = zip_of(xlsx_parts({{"One", ""}}));
  const auto next = [] {
    const int one = ::dup(0);
    ::close(one);
    return one;
  };
  const int before = next();
  for (int i = 0; i < 5; ++i) EXPECT_TRUE(read_workbook(bytes, "f"));
  EXPECT_FALSE(read_workbook(zip_of(xlsx_parts({{"One", "<row>"}})), "f"));
  EXPECT_EQ(next(), before);
}

}  // namespace
}  // namespace mendtone::spreadsheet_test
