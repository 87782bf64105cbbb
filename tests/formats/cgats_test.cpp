#include <gtest/gtest.h>

#include "bands.hpp"

namespace mendtone::cgats_test {
namespace {

using formats_test::band_headings;
using formats_test::band_values;
using formats_test::warns;

ReadFile read(const std::string& text) {
  auto file = read_readings(text, "x.txt");
  EXPECT_TRUE(file) << (file ? "" : file.error().text());
  return file ? *file : ReadFile{};
}

std::string refusal(const std::string& text) {
  auto file = read_readings(text, "x.txt");
  EXPECT_FALSE(file);
  return file ? "" : file.error().text();
}

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

/// A file laid out as the CGATS.17 text format describes it: identifier, keywords, format, data.
std::string cgats(const std::string& header, const std::string& fields, const std::string& rows) {
  return "CGATS.17\n" + header + "BEGIN_DATA_FORMAT\n" + fields +
         "\nEND_DATA_FORMAT\nBEGIN_DATA\n" + rows + "END_DATA\n";
}

TEST(Cgats, HeaderBecomesConditions) {
  const ReadFile file =
      read(cgats("ORIGINATOR \"mendtone\"\nINSTRUMENTATION \"Bench 2\"\n"
                 "MEASUREMENT_SOURCE \"MeasurementCondition=M1\tFilter=no\"\n"
                 "MEASUREMENT_GEOMETRY \"45/0\"\nSAMPLE_BACKING \"black\"\n"
                 "WEIGHTING_FUNCTION \"ILLUMINANT, D50\"\n"
                 "WEIGHTING_FUNCTION \"OBSERVER, 2 degree\"\n"
                 "NUMBER_OF_FIELDS 36\nNUMBER_OF_SETS 1\n",
                 "SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B\n" + band_headings(" ", "SPECTRAL_NM"),
                 "1 \"lower margin\" 75.9 0.1 0.2 " + band_values(" ", 0.5, 0) + "\n"));
  ASSERT_EQ(file.readings.size(), 1u);
  const Reading& r = file.readings[0];
  EXPECT_EQ(r.name, "lower margin");
  EXPECT_EQ(r.instrument, "Bench 2");
  EXPECT_EQ(r.condition, Condition::m1);
  EXPECT_EQ(r.geometry, "45/0");
  EXPECT_EQ(r.backing, "black");
  ASSERT_TRUE(r.lab);
  EXPECT_EQ(r.lab->light, "D50");
  EXPECT_EQ(r.lab->observer_deg, 2);
  EXPECT_EQ(r.spectrum->value[0], 0.5);
  EXPECT_TRUE(file.warnings.empty()) << file.warnings[0].text;
}

TEST(Cgats, SpectralSpellings) {
  for (const std::string prefix :
       {"nm", "SPECTRAL_", "SPECTRAL_NM", "SPECTRAL_NM_", "SPEC_", "NM_", "R_"}) {
    const ReadFile file = read(cgats("", "SampleID " + band_headings(" ", prefix),
                                     "A1 " + band_values(" ", 0.1, 0.01) + "\n"));
    ASSERT_EQ(file.readings.size(), 1u) << prefix;
    EXPECT_EQ(file.readings[0].name, "A1");
    EXPECT_EQ(file.readings[0].spectrum->grid, WavelengthGrid::equal_steps(400, 10, 31)) << prefix;
  }
}

TEST(Cgats, WavelengthAndValuePairs) {
  for (const std::string value : {"SPECTRAL_DEC", "SPECTRAL_PCT"}) {
    std::string fields = "SAMPLE_ID", row = "7";
    for (int nm = 400; nm <= 700; nm += 10) {
      fields += " SPECTRAL_NM " + value;
      row += " " + std::to_string(nm) + (value == "SPECTRAL_PCT" ? " 50.0" : " 0.5");
    }
    const ReadFile file = read(cgats("", fields, row + "\n"));
    EXPECT_EQ(file.readings[0].spectrum->value, std::vector<double>(31, 0.5)) << value;
  }
}

TEST(Cgats, PlainFieldsTakeTheirGridFromTheHeader) {
  std::string fields = "SAMPLE_ID";
  for (int i = 1; i <= 31; ++i) fields += " SPEC_" + std::to_string(i);
  const ReadFile file =
      read(cgats("SPECTRAL_BANDS \"31\"\nSPECTRAL_START_NM \"400.0\"\n"
                 "SPECTRAL_END_NM \"700.0\"\nSPECTRAL_NORM \"100.0\"\n",
                 fields, "1 " + band_values(" ", 0.5, 0.01) + "\n"));
  EXPECT_EQ(file.readings[0].spectrum->grid, WavelengthGrid::equal_steps(400, 10, 31));
  EXPECT_DOUBLE_EQ(file.readings[0].spectrum->value[0], 0.005);
}

TEST(Cgats, RoundedFieldNamesGetTheirDecimalsBack) {
  std::string fields = "SAMPLE_ID", row = "1";
  for (int i = 0; i <= 90; ++i) {
    fields += " SPEC_" + fixed(400 + i * 10 / 3.0, 0);
    row += " 0.5";
  }
  const ReadFile file =
      read(cgats("SPECTRAL_BANDS \"91\"\nSPECTRAL_START_NM \"400\"\nSPECTRAL_END_NM \"700\"\n",
                 fields, row + "\n"));
  EXPECT_DOUBLE_EQ(file.readings[0].spectrum->grid.nm()[1], 400 + 10 / 3.0);
}

TEST(Cgats, AValueAboveTwoMeansPercent) {
  const ReadFile high = read(
      cgats("", "SAMPLE_ID " + band_headings(" ", "nm"), "1 " + band_values(" ", 1.1, 0.1) + "\n"));
  EXPECT_DOUBLE_EQ(high.readings[0].spectrum->value[0], 0.011);
  EXPECT_TRUE(warns(high, "percent"));
  const ReadFile bright = read(cgats("", "SAMPLE_ID " + band_headings(" ", "nm"),
                                     "1 " + band_values(" ", 1.1, 0.01) + "\n"));
  EXPECT_EQ(bright.readings[0].spectrum->value[0], 1.1);
}

TEST(Cgats, TwoTablesInOneFile) {
  const std::string one =
      cgats("MEASUREMENT_CONDITION \"M0\"\n", "SAMPLE_ID " + band_headings(" ", "nm"),
            "1 " + band_values(" ", 0.1, 0.01) + "\n");
  const std::string two =
      cgats("MEASUREMENT_CONDITION \"M2\"\n", "SAMPLE_ID " + band_headings(" ", "nm"),
            "1 " + band_values(" ", 0.2, 0.01) + "\n");
  const ReadFile file = read(one + two);
  ASSERT_EQ(file.readings.size(), 2u);
  EXPECT_EQ(file.readings[0].condition, Condition::m0);
  EXPECT_EQ(file.readings[1].condition, Condition::m2);
}

TEST(Cgats, BareCarriageReturnsCommentsAndDecimalCommas) {
  std::string text = "# made by hand\n" +
                     cgats("NUMBER_OF_SETS 1 # one\n", "SAMPLE_NAME\t" + band_headings("\t", "nm"),
                           "\"a\tb\"\t" + band_values("\t", 0.1, 0.01, ',') + "\n");
  for (char& c : text)
    if (c == '\n') c = '\r';
  const ReadFile file = read(text);
  EXPECT_EQ(file.readings[0].name, "a\tb");
  EXPECT_DOUBLE_EQ(file.readings[0].spectrum->value[1], 0.11);
}

TEST(Cgats, UnquotedNamesAndBlankCellsBetweenTabs) {
  const ReadFile file =
      read(cgats("", "SAMPLE_NAME\tLAB_L\tLAB_A\tLAB_B\t" + band_headings("\t", "nm"),
                 "lower margin\t\t\t\t" + band_values("\t", 0.1, 0.01) + "\n"));
  EXPECT_EQ(file.readings[0].name, "lower margin");
  EXPECT_FALSE(file.readings[0].lab);
}

TEST(Cgats, RowsThatRunOnOverLines) {
  const ReadFile file = read(
      cgats("", "SAMPLE_ID " + band_headings("\n", "nm"),
            "1\n" + band_values("\n", 0.1, 0.01) + "\n2\n" + band_values("\n", 0.2, 0.01) + "\n"));
  EXPECT_EQ(file.readings.size(), 2u);
}

TEST(Cgats, CountsThatDoNotMatchAreSaid) {
  const ReadFile file =
      read(cgats("NUMBER_OF_FIELDS 40\nNUMBER_OF_SETS 3\n", "SAMPLE_ID " + band_headings(" ", "nm"),
                 "1 " + band_values(" ", 0.1, 0.01) + "\n"));
  EXPECT_TRUE(warns(file, "NUMBER_OF_FIELDS says 40, found 32"));
  EXPECT_TRUE(warns(file, "NUMBER_OF_SETS says 3, found 1"));
}

TEST(Cgats, ACutOffFileIsRefused) {
  std::string text = cgats("NUMBER_OF_SETS 2\n", "SAMPLE_ID " + band_headings(" ", "nm"),
                           "1 " + band_values(" ", 0.1, 0.01) + "\n");
  text.erase(text.find("END_DATA\n"));
  text.erase(text.size() - 1);
  EXPECT_TRUE(holds(refusal(text), "cut off")) << refusal(text);
}

TEST(Cgats, AMissingValueIsRefusedWithItsPlace) {
  const std::string text = refusal(cgats("", "SAMPLE_ID " + band_headings(" ", "nm"),
                                         "1 " + band_values(" ", 0.1, 0.01) + "\n2 0.5 0.6\n"));
  EXPECT_TRUE(holds(text, "x.txt, line 7, column 1")) << text;
}

TEST(Cgats, It8MeansD50And2Degrees) {
  const ReadFile file = read(
      "IT8.7/2\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\n"
      "END_DATA_FORMAT\nBEGIN_DATA\nA1 50 1 2\nEND_DATA\n");
  EXPECT_EQ(file.readings[0].lab->light, "D50");
  EXPECT_TRUE(warns(file, "IT8.7"));
  EXPECT_TRUE(
      holds(refusal(cgats("", "SAMPLE_ID LAB_L LAB_A LAB_B", "A1 50 1 2\n")), "without either"));
}

TEST(Cgats, XyzBecomesLabOnlyUnderAStatedLight) {
  const ReadFile file = read(cgats("ILLUMINANT \"D65\"\nOBSERVER \"10\"\n",
                                   "SAMPLE_ID XYZ_X XYZ_Y XYZ_Z", "A1 94.811 100 107.304\n"));
  EXPECT_NEAR(file.readings[0].lab->L, 100, 1e-9);
  EXPECT_NEAR(file.readings[0].lab->a, 0, 0.01);
  EXPECT_TRUE(warns(file, "computed from XYZ"));
  EXPECT_TRUE(holds(refusal(cgats("", "SAMPLE_ID XYZ_X XYZ_Y XYZ_Z", "A1 94 100 107\n")),
                    "XYZ without its light"));
}

TEST(Cgats, WhatIsNoReadingIsNamed) {
  const std::string device = refusal(cgats("", "SAMPLE_ID RGB_R RGB_G RGB_B", "1 0 0 0\n"));
  EXPECT_TRUE(holds(device, "no reading in x.txt: found fields 'RGB_R'")) << device;
  const std::string lamp =
      refusal(cgats("MEAS_TYPE \"EMISSION\"\n", "SAMPLE_ID " + band_headings(" ", "nm"),
                    "1 " + band_values(" ", 0.1, 0.01) + "\n"));
  EXPECT_TRUE(holds(lamp, "emission")) << lamp;
}

}  // namespace
}  // namespace mendtone::cgats_test
