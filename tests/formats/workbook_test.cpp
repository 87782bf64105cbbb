#include "mendtone/formats/workbook.hpp"

#include <gtest/gtest.h>

#include "bands.hpp"
#include "formats/zip.hpp"

namespace mendtone::workbook_test {
namespace {

using namespace formats_test;

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

Workbook book(const std::string& text) {
  auto made = workbook_from(text, "book.xlsx");
  EXPECT_TRUE(made);
  return made ? *std::move(made) : Workbook{};
}

const std::string table = "Readings of the chart\n\nname\tbacking\t" + band_headings("\t") +
                          "\nmargin\tblack\t" + band_values("\t", 0.5, 0.01) + "\n";

TEST(Workbook, EverySheetWithReadingsIsRead) {
  const auto file = read_readings(book("\x1eNotes\nnothing here\n\x1e"
                                       "Before\n" +
                                       table +
                                       "\x1e"
                                       "Empty\n\x1e"
                                       "After\n" +
                                       table),
                                  "book.xlsx");
  ASSERT_TRUE(file) << file.error().text();
  ASSERT_EQ(file->readings.size(), 2u);
  EXPECT_EQ(file->readings[0].name, "margin");
  EXPECT_EQ(text_of(file->readings[0].source), "book.xlsx, sheet 'Before', row 4");
  EXPECT_EQ(text_of(file->readings[1].source), "book.xlsx, sheet 'After', row 4");
  EXPECT_TRUE(warns(*file, "left out: 'Notes'"));
}

TEST(Workbook, MessagesNameSheetAndCell) {
  std::string broken = table;
  broken.replace(broken.find("0.5300"), 6, "smudge");
  const auto file = read_readings(book("\x1eReadings\n" + broken), "book.xlsx");
  ASSERT_FALSE(file);
  EXPECT_TRUE(holds(file.error().text(), "book.xlsx, sheet 'Readings', cell F4"))
      << file.error().text();
  std::string commas = table;
  commas.replace(commas.find("0.5300"), 6, "0,5300");
  const auto mixed = read_readings(book("\x1eReadings\n" + commas), "book.xlsx");
  ASSERT_FALSE(mixed);
  EXPECT_TRUE(holds(mixed.error().text(), "a point at cell C4 and a comma at cell F4"))
      << mixed.error().text();
  const auto notes = read_readings(book("\x1eNotes\nnothing\tto read\n"), "book.xlsx");
  ASSERT_FALSE(notes);
  EXPECT_TRUE(holds(notes.error().text(), "sheet 'Notes', row 1: expected a heading"))
      << notes.error().text();
  const auto two = read_readings(book("\x1eNotes\nnothing\n\x1eMore\nnothing\n"), "book.xlsx");
  ASSERT_FALSE(two);
  EXPECT_TRUE(holds(two.error().text(), "found the sheets 'Notes' and 'More'"));
  EXPECT_FALSE(read_readings(book(""), "book.xlsx"));
  EXPECT_FALSE(workbook_from("no sheet", "book.xlsx"));
}

TEST(Workbook, LampsOfASheet) {
  std::string rows = "Wavelength (nm)\tnorth\tsouth\n";
  for (int nm = 380; nm <= 780; nm += 5) rows += std::to_string(nm) + "\t1.5\t2\n";
  const auto file = read_lamps(book("\x1eLamps\n" + rows), "book.ods");
  ASSERT_TRUE(file) << file.error().text();
  ASSERT_EQ(file->lamps.size(), 2u);
  EXPECT_EQ(file->lamps[1].name, "south");
  EXPECT_EQ(text_of(file->lamps[1].source), "book.ods, sheet 'Lamps', cell C2");
}

std::string refusal(const std::string& bytes) {
  const auto facts = check_workbook(bytes, "book.xlsx");
  EXPECT_FALSE(facts);
  return facts ? "" : facts.error().text();
}

// ZIP: APPNOTE.TXT 6.3.10, sections 4.3 (records) and 4.4 (fields), from memory.
TEST(ZipGate, TellsWhatAnArchiveIs) {
  const auto xlsx = check_workbook(zip_of(xlsx_parts({{"One", ""}})), "f");
  ASSERT_TRUE(xlsx) << xlsx.error().text();
  EXPECT_EQ(xlsx->kind, WorkbookFacts::Kind::xlsx);
  EXPECT_FALSE(xlsx->has_macros);
  const auto ods = check_workbook(zip_of(ods_parts("")), "f");
  ASSERT_TRUE(ods) << ods.error().text();
  EXPECT_EQ(ods->kind, WorkbookFacts::Kind::ods);
  Parts macros = xlsx_parts({{"One", ""}});
  macros.push_back({"xl/vbaProject.bin", "x"});
  EXPECT_TRUE(check_workbook(zip_of(macros), "f")->has_macros);
  EXPECT_TRUE(holds(refusal(zip_of({{"word/document.xml", ""}})), "a text document"));
  EXPECT_TRUE(holds(refusal(zip_of({{"xl/workbook.bin", ""}})), "in a binary form"));
  EXPECT_TRUE(holds(refusal(zip_of({{"picture.png", ""}})), "without a workbook"));
  EXPECT_TRUE(holds(refusal(zip_of({{"mimetype", "application/vnd.oasis.opendocument.text"},
                                    {"content.xml", ""}})),
                    "a document of another kind"));
}

TEST(ZipGate, RefusesWhatWasMadeToDoHarm) {
  const std::string good = zip_of(xlsx_parts({{"One", ""}}));
  for (std::size_t n = 0; n < good.size(); ++n)
    EXPECT_FALSE(check_workbook(good.substr(0, n), "f")) << n;
  for (const char* name : {"../x", "/etc/x", "a/../../x", "a\\b", "C:x", ".."})
    EXPECT_TRUE(holds(refusal(zip_of({{name, ""}, {"xl/workbook.xml", ""}})), "leaves its folder"))
        << name;
  const std::size_t entry = good.find("PK\x01\x02");
  const auto changed = [&](std::size_t at, std::uint32_t value, int length) {
    std::string bytes = good, number;
    put_number(number, value, length);
    return bytes.replace(entry + at, number.size(), number);
  };
  EXPECT_TRUE(holds(refusal(changed(8, 1, 2)), "protected by a password"));
  EXPECT_TRUE(holds(refusal(changed(10, 12, 2)), "packed in an unusual way"));
  EXPECT_TRUE(holds(refusal(changed(24, 300u << 20, 4)), "more than 256 MB"));
  EXPECT_TRUE(holds(refusal(changed(24, 0xFFFFFFFF, 4)), "more than 256 MB"));
  EXPECT_TRUE(holds(refusal(changed(24, 7, 4)), "damaged"));
  EXPECT_TRUE(holds(refusal(changed(42, 0x7FFFFFFF, 4)), "lie outside the file"));
  EXPECT_TRUE(holds(refusal(changed(42, 5, 4)), "lie outside the file"));
  // Two entries with the same bytes: an archive that unpacks to more than it holds.
  const std::size_t second = good.find("PK\x01\x02", entry + 4);
  std::string overlap = good;
  overlap.replace(second + 42, 4, good.substr(entry + 42, 4));
  EXPECT_TRUE(holds(refusal(overlap), "overlap"));
  std::string many = good;
  const std::size_t end = many.rfind("PK\x05\x06");
  many.replace(end + 8, 4, "\xFE\xFF\xFE\xFF");
  EXPECT_TRUE(holds(refusal(many), "at most 10000"));
}

// 31 values a line, as some instruments' programs write them: nothing says where they lie.
TEST(BareValues, AreReadWhereTheWavelengthsAreStated) {
  ReadOptions options{Scale::fraction};
  const auto bands = stated_bands("400-700:10");
  ASSERT_TRUE(bands);
  EXPECT_EQ(bands->count(), 31u);
  options.wavelengths = *bands;
  const std::string one = band_values("\t", 0.2, 0.01), two = band_values("\t", 0.3, 0.01);
  for (const std::string& text :
       {one + "\n" + two + "\n", "sheet\t" + one + "\nchart\t" + two + "\n",
        "by hand\n" + one + "\n\n" + two + "\n"}) {
    const auto file = read_readings(text, "values.txt", options);
    ASSERT_TRUE(file) << file.error().text();
    ASSERT_EQ(file->readings.size(), 2u);
    EXPECT_EQ(file->readings[1].spectrum->grid, WavelengthGrid::equal_steps(400, 10, 31));
    EXPECT_NEAR(file->readings[1].spectrum->value[30], 0.6, 1e-12);
    EXPECT_TRUE(warns(*file, "read as 400-700 nm in steps of 10 nm, as stated, one reading a row"));
  }
  EXPECT_EQ(read_readings("sheet\t" + one, "f", options)->readings[0].name, "sheet");
  std::string commas = band_values(" ", 0.2, 0.01, ',');
  EXPECT_TRUE(read_readings(commas, "f", options));
}

TEST(BareValues, OnTheirSideAColumnIsAReading) {
  ReadOptions options{Scale::percent};
  options.wavelengths = *stated_bands("400-700:10");
  std::string text = "sheet;chart\n";
  for (int i = 0; i < 31; ++i) text += std::to_string(20 + i) + ";" + std::to_string(30 + i) + "\n";
  const auto file = read_readings(text, "values.csv", options);
  ASSERT_TRUE(file) << file.error().text();
  ASSERT_EQ(file->readings.size(), 2u);
  EXPECT_EQ(file->readings[1].name, "chart");
  EXPECT_NEAR(file->readings[1].spectrum->value[30], 0.60, 1e-12);
  EXPECT_TRUE(warns(*file, "one reading a column"));
}

TEST(BareValues, AreRefusedWithWhatWasFound) {
  const std::string one = band_values(",", 0.2, 0.01);
  const auto unstated = read_readings(one + "\n" + one, "f");
  ASSERT_FALSE(unstated);
  EXPECT_TRUE(holds(unstated.error().text(), "2 rows of 31 numbers without wavelengths"))
      << unstated.error().text();
  ReadOptions options{Scale::fraction};
  options.wavelengths = *stated_bands("380-730:10");
  const auto other = read_readings(one, "f", options);
  ASSERT_FALSE(other);
  EXPECT_TRUE(
      holds(other.error().text(), "expected 36 values a row or a column, found 1 rows of 31"))
      << other.error().text();
  options.wavelengths = *stated_bands("400-700:10");
  EXPECT_FALSE(read_readings(one + "\n0.5,0.5\n", "f", options));
  EXPECT_FALSE(read_readings(one + "\na note, below\n", "f", options));
  EXPECT_FALSE(read_readings("a letter", "f", options));
  // A table that says its wavelengths itself is believed.
  const auto told = read_readings("name," + band_headings(",") + "\nsheet," + one, "f", options);
  ASSERT_TRUE(told);
  EXPECT_TRUE(warns(*told, "states its wavelengths itself"));
  for (const char* wrong : {"", "400", "400-700", "700-400:10", "400-700:0", "400-700:7", "0-9:1",
                            "400-700:10:5", "a-b:c", "400-700:0.0001"})
    EXPECT_FALSE(stated_bands(wrong)) << wrong;
  EXPECT_EQ(stated_bands("380.5-780.5:0.5")->count(), 801u);
}

}  // namespace
}  // namespace mendtone::workbook_test
