#include "formats/jcamp.hpp"

#include <gtest/gtest.h>

#include "bands.hpp"

namespace mendtone::jcamp_test {
namespace {

using formats_test::warns;

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

ReadFile read(const std::string& text) {
  auto file = read_readings(text, "x.jdx");
  EXPECT_TRUE(file) << (file ? "" : file.error().text());
  return file ? *file : ReadFile{};
}

std::string refusal(const std::string& text) {
  auto file = read_readings(text, "x.jdx");
  EXPECT_FALSE(file);
  return file ? "" : file.error().text();
}

/// A block laid out as JCAMP-DX 4.24 describes it.
std::string block(
    const std::string& table, const std::string& x_units = "NANOMETERS",
    const std::string& y_units = "REFLECTANCE",
    const std::string& axis = "##FIRSTX=400\n##LASTX=700\n##NPOINTS=4\n##DELTAX=100\n") {
  return "##TITLE=sheet\n##JCAMP-DX=4.24 $$ by hand\n##DATA TYPE=UV/VIS SPECTRUM\n"
         "##SPECTROMETER/DATA SYSTEM=bench\n##XUNITS=" +
         x_units + "\n##YUNITS=" + y_units + "\n##XFACTOR=1\n##YFACTOR=0.01\n" + axis +
         "##XYDATA=(X++(Y..Y))\n" + table + "##END=\n";
}

formats::JcampPoints running(std::vector<std::string> lines, double last) {
  formats::JcampTable table;
  for (const std::string& line : lines) table.lines.push_back({line, table.lines.size() + 1});
  formats::JcampRun run;
  run.first = 1;
  run.last = last;
  auto points = formats::read_running_x(table, run, "x.jdx");
  EXPECT_TRUE(points) << (points ? "" : points.error().text());
  return points ? *points : formats::JcampPoints{};
}

// The forms of one series, as McDonald and Wilks, Applied Spectroscopy 42 (1988) 151, show them;
// from memory.
TEST(Jcamp, EveryFormOfOneSeries) {
  const std::vector<double> series{1, 2, 3, 3, 2, 1, 0, -1, -2, -3};
  for (const std::string form : {"1 1 2 3 3 2 1 0 -1 -2 -3", "1+1+2+3+3+2+1+0-1-2-3", "1ABCCBA@abc",
                                 "1ABCTBA@abc", "1AJJ%jjjjjj", "1AJT%jX"})
    EXPECT_EQ(running({form}, 10).y, series) << form;
}

TEST(Jcamp, DifferencesRunOnWithTheirCheckValue) {
  EXPECT_EQ(running({"1A0JJ", "3A2JJ", "5A4"}, 5).y, (std::vector<double>{10, 11, 12, 13, 14}));
  formats::JcampTable table;
  table.lines = {{"1A0JJ", 7}, {"3A3JJ", 8}};
  formats::JcampRun run;
  run.first = 1;
  run.last = 5;
  const auto wrong = formats::read_running_x(table, run, "x.jdx");
  ASSERT_FALSE(wrong);
  EXPECT_TRUE(holds(wrong.error().text(), "line 8, column 2: expected the check value 12"))
      << wrong.error().text();
}

TEST(Jcamp, PlainNumbersMayHaveExponents) {
  EXPECT_EQ(running({"1 1.5E-1 2E1", "3 3e+2"}, 3).y, (std::vector<double>{0.15, 20, 300}));
}

TEST(Jcamp, ReflectanceInNanometres) {
  const ReadFile file = read(block("400 10 20\n600 30 40\n"));
  ASSERT_EQ(file.readings.size(), 1u);
  const Reading& r = file.readings[0];
  EXPECT_EQ(r.name, "sheet");
  EXPECT_EQ(r.instrument, "bench");
  EXPECT_EQ(r.quantity, Quantity::reflectance);
  EXPECT_EQ(r.spectrum->grid, WavelengthGrid::equal_steps(400, 100, 4));
  EXPECT_DOUBLE_EQ(r.spectrum->value[3], 0.4);
}

TEST(Jcamp, PercentAndTransmittance) {
  const ReadFile file =
      read(block("400 1000 2000\n600 3000 4000\n", "NANOMETERS", "% TRANSMITTANCE"));
  EXPECT_EQ(file.readings[0].quantity, Quantity::transmittance);
  EXPECT_DOUBLE_EQ(file.readings[0].spectrum->value[3], 0.4);
}

TEST(Jcamp, FallingWavelengths) {
  const ReadFile file = read(block("700 10 20\n500 30 40\n", "nm", "Reflectance",
                                   "##FIRSTX=700\n##LASTX=400\n##NPOINTS=4\n"));
  EXPECT_EQ(file.readings[0].spectrum->grid.first(), 400);
  EXPECT_DOUBLE_EQ(file.readings[0].spectrum->value[0], 0.4);
}

TEST(Jcamp, WavenumbersAndMicrometresAreConvertedAndSaid) {
  const ReadFile waves = read(block("14000 10 20 30 40 50 60\n", "1/CM", "REFLECTANCE",
                                    "##FIRSTX=14000\n##LASTX=26000\n##NPOINTS=6\n"));
  EXPECT_TRUE(warns(waves, "wavenumbers (1/cm) converted to nm"));
  EXPECT_DOUBLE_EQ(waves.readings[0].spectrum->grid.first(), 1e7 / 26000);
  EXPECT_DOUBLE_EQ(waves.readings[0].spectrum->value[0], 0.6);
  const ReadFile micro = read(block("0.4 10 20 30 40\n", "MICROMETERS", "REFLECTANCE",
                                    "##FIRSTX=0.4\n##LASTX=0.7\n##NPOINTS=4\n"));
  EXPECT_TRUE(warns(micro, "micrometres converted"));
}

TEST(Jcamp, HalfNanometreGrid) {
  std::string table;
  for (int i = 0; i <= 860; ++i) table += fixed(370 + 0.5 * i, 1) + " 50\n";
  const ReadFile file = read(block(table, "NANOMETERS", "REFLECTANCE",
                                   "##FIRSTX=370\n##LASTX=800\n##NPOINTS=861\n##DELTAX=0.5\n"));
  EXPECT_EQ(file.readings[0].spectrum->grid.size(), 861u);
}

TEST(Jcamp, LinkedBlocks) {
  const ReadFile file =
      read("##TITLE=two\n##JCAMP-DX=4.24\n##DATA TYPE=LINK\n##BLOCKS=2\n" +
           block("400 10 20\n600 30 40\n") + block("400 11 21\n600 31 41\n") + "##END=\n");
  EXPECT_EQ(file.readings.size(), 2u);
}

TEST(Jcamp, PairsOfNumbers) {
  const ReadFile file = read(
      "##TITLE=p\n##JCAMP-DX=4.24\n##DATA TYPE=UV/VIS SPECTRUM\n##XUNITS=NANOMETERS\n"
      "##YUNITS=REFLECTANCE\n##XYPOINTS=(XY..XY)\n400, 0.1; 450, 0.2\n500 0.25\n550,0.3 600,0.3\n"
      "650,0.3; 700,0.4\n##END=\n");
  EXPECT_EQ(file.readings[0].spectrum->value.size(), 7u);
}

TEST(Jcamp, NtuplesPages) {
  const ReadFile file = read(
      "##TITLE=n\n##JCAMP-DX=5.00\n##DATA TYPE=UV/VIS SPECTRUM\n##DATA CLASS=NTUPLES\n"
      "##NTUPLES=UV/VIS SPECTRUM\n##VAR_NAME=WAVELENGTH, REFLECTANCE, SPOT\n##SYMBOL=X, Y, N\n"
      "##VAR_TYPE=INDEPENDENT, DEPENDENT, PAGE\n##VAR_DIM=4, 4, 2\n##UNITS=NANOMETERS, "
      "REFLECTANCE, "
      "\n##FIRST=400, 0.1, 1\n##LASTX=\n##LAST=700, 0.4, 2\n##FACTOR=1, 0.01, 1\n"
      "##PAGE=N=1\n##DATA TABLE=(X++(Y..Y)), XYDATA\n400 10 20\n600 30 40\n"
      "##PAGE=N=2\n##DATA TABLE=(X++(Y..Y)), XYDATA\n400 11 21\n600 31 41\n##END "
      "NTUPLES=\n##END=\n");
  ASSERT_EQ(file.readings.size(), 2u);
  EXPECT_EQ(file.readings[1].name, "n, N=2");
  EXPECT_DOUBLE_EQ(file.readings[1].spectrum->value[3], 0.41);
}

TEST(Jcamp, MissingValuesAndCountsAreRefusedWithTheirLine) {
  EXPECT_TRUE(holds(refusal(block("400 10\n600 30 40\n")), "line 15"));
  EXPECT_TRUE(holds(refusal(block("400 10 20\n600 30\n")), "expected 4 values (NPOINTS), found 3"));
  EXPECT_TRUE(holds(refusal(block("400 10 20\n600 30 40 50\n")), "found more"));
}

TEST(Jcamp, AHugeRepeatCountIsRefused) {
  EXPECT_TRUE(holds(refusal(block("400 A0Z999999999\n")), "found more"));
}

TEST(Jcamp, WhatIsNoReadingIsNamed) {
  EXPECT_TRUE(holds(refusal(block("4000 10 20\n2000 30 40\n", "1/CM", "TRANSMITTANCE",
                                  "##FIRSTX=4000\n##LASTX=1000\n##NPOINTS=4\n")),
                    "no reading in x.jdx: found uv/vis spectrum 1000-4000 1/cm"));
  EXPECT_TRUE(
      holds(refusal(block("400 10 20\n600 30 40\n", "NANOMETERS", "ABSORBANCE")), "in absorbance"));
  EXPECT_TRUE(holds(refusal("##TITLE=m\n##DATA TYPE=MASS SPECTRUM\n##XUNITS=M/Z\n##YUNITS=RELATIVE "
                            "ABUNDANCE\n##PEAK TABLE=(XY..XY)\n1,2\n##END=\n"),
                    "mass spectrum m/z in relative abundance as a list of peaks"));
}

}  // namespace
}  // namespace mendtone::jcamp_test
