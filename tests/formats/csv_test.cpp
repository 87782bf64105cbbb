#include <gtest/gtest.h>

#include "bands.hpp"

namespace mendtone::csv_test {
namespace {

using formats_test::band_headings;
using formats_test::band_values;
using formats_test::warns;

ReadFile read(const std::string& text, const ReadOptions& options = {}) {
  auto file = read_readings(text, "x.csv", options);
  EXPECT_TRUE(file) << (file ? "" : file.error().text());
  return file ? *file : ReadFile{};
}

std::string refusal(const std::string& text, const ReadOptions& options = {}) {
  auto file = read_readings(text, "x.csv", options);
  EXPECT_FALSE(file);
  if (file) return {};
  EXPECT_EQ(file.error().code, ErrorCode::bad_input);
  EXPECT_NE(file.error().text().find("x.csv"), std::string::npos);
  return file.error().text();
}

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

TEST(Csv, ReadsEveryColumnOfTheDesign) {
  const std::string text =
      "name,repeat,role,backing,plies,side,state,geometry,condition,instrument,aperture_mm,lot,"
      "stock,grammage_g_m2,load:ochre,load:carbon,load_unit,scale," +
      band_headings(",") +
      "\nmargin,2,target,black,1,front,dry,45/0,M1,\"A, B\",4.5,L1,S1,12.5,0.4,,"
      "g_m2,fraction," +
      band_values(",", 0.1, 0.01) + "\n";
  const ReadFile file = read(text);
  ASSERT_EQ(file.readings.size(), 1u);
  const Reading& r = file.readings[0];
  EXPECT_EQ(r.name, "margin");
  EXPECT_EQ(r.repeat, "2");
  EXPECT_EQ(r.role, Role::target);
  EXPECT_EQ(r.backing, "black");
  EXPECT_EQ(r.plies, 1);
  EXPECT_EQ(r.side, Side::front);
  EXPECT_EQ(r.state, State::dry);
  EXPECT_EQ(r.geometry, "45/0");
  EXPECT_EQ(r.condition, Condition::m1);
  EXPECT_EQ(r.instrument, "A, B");
  EXPECT_EQ(r.aperture_mm, 4.5);
  EXPECT_EQ(r.lot, "L1");
  EXPECT_EQ(r.stock, "S1");
  EXPECT_EQ(r.grammage_g_m2, 12.5);
  EXPECT_EQ(r.loads, (std::map<std::string, double>{{"ochre", 0.4}, {"carbon", 0}}));
  EXPECT_EQ(r.load_unit, LoadUnit::g_m2);
  ASSERT_TRUE(r.spectrum);
  EXPECT_EQ(r.spectrum->grid, WavelengthGrid::equal_steps(400, 10, 31));
  EXPECT_EQ(r.spectrum->value[3], 0.13);
  EXPECT_EQ(r.source.line, 2u);
}

TEST(Csv, BlankIsNotStated) {
  const ReadFile file = read("name,backing,plies,load:ochre," + band_headings(",") + "\n1,,,," +
                             band_values(",", 0.1, 0.01) + "\n");
  const Reading& r = file.readings[0];
  EXPECT_EQ(r.backing, "");
  EXPECT_FALSE(r.plies);
  EXPECT_TRUE(r.loads.empty());
}

TEST(Csv, BlankBandIsLeftOutNotZero) {
  std::string values = band_values(",", 0.1, 0.01);
  values.replace(values.find("0.2000"), 6, "");
  const ReadFile file = read("name," + band_headings(",") + "\n1," + values + "\n");
  EXPECT_EQ(file.readings[0].spectrum->value.size(), 30u);
  EXPECT_TRUE(warns(file, "blank bands"));
}

TEST(Csv, SemicolonsAndDecimalCommas) {
  const ReadFile file = read("name;aperture_mm;" + band_headings(";", "") + "\nrand;4,5;" +
                             band_values(";", 10, 1, ',') + "\n");
  EXPECT_EQ(file.readings[0].aperture_mm, 4.5);
  EXPECT_DOUBLE_EQ(file.readings[0].spectrum->value[1], 0.11);
  EXPECT_TRUE(warns(file, "percent"));
}

TEST(Csv, TabsAndQuotedDecimalCommas) {
  EXPECT_EQ(read("name\t" + band_headings("\t") + "\na\t" + band_values("\t", 0.1, 0.01) + "\n")
                .readings[0]
                .spectrum->value[0],
            0.1);
  EXPECT_EQ(read("name,\"" + band_headings("\",\"") + "\"\na,\"" +
                 band_values("\",\"", 0.1, 0.01, ',') + "\"\n")
                .readings[0]
                .spectrum->value[0],
            0.1);
}

TEST(Csv, EveryLineEnd) {
  for (const std::string end : {"\n", "\r\n", "\r"}) {
    const ReadFile file =
        read("# a comment" + end + end + "name," + band_headings(",") + end + end + "a," +
             band_values(",", 0.1, 0.01) + end + "b," + band_values(",", 0.2, 0.01));
    ASSERT_EQ(file.readings.size(), 2u);
    EXPECT_EQ(file.readings[0].source.line, 5u);
  }
}

TEST(Csv, MixedDecimalSignsAreRefused) {
  const std::string text =
      refusal("name;" + band_headings(";") + "\na;" + band_values(";", 0.1, 0.01) + "\nb;" +
              band_values(";", 0.1, 0.01, ',') + "\n");
  EXPECT_TRUE(holds(text, "line 2, column 2")) << text;
  EXPECT_TRUE(holds(text, "line 3, column 2")) << text;
}

TEST(Csv, ThousandsSeparatorsAreRefused) {
  std::string values = band_values(";", 10, 1);
  values.replace(0, 7, "1,234.5");
  const std::string text = refusal("name;" + band_headings(";") + "\na;" + values + "\n");
  EXPECT_TRUE(holds(text, "line 2, column 2 (400)")) << text;
  EXPECT_TRUE(holds(text, "'1,234.5'")) << text;
}

TEST(Csv, UnknownColumnsAreNamed) {
  const ReadFile file =
      read("name,weather," + band_headings(",") + "\na,fine," + band_values(",", 0.1, 0.01) + "\n");
  EXPECT_TRUE(warns(file, "'weather'"));
}

TEST(Csv, BandSpellings) {
  for (const std::string prefix : {"nm", "SPECTRAL_", "SPECTRAL_NM", "SPECTRAL_NM_", "SPEC_", "NM_",
                                   "R_", "R", "X", "R% ", "wavelength "}) {
    const ReadFile file =
        read("name," + band_headings(",", prefix) + "\na," + band_values(",", 30, 1) + "\n");
    EXPECT_EQ(file.readings[0].spectrum->grid.size(), 31u) << prefix;
  }
}

TEST(Csv, LabNeedsItsLightAndObserver) {
  const ReadFile file = read("name,L*,a*,b*,light,observer\nrim,86.1,2,14.25,D50,2\n");
  ASSERT_TRUE(file.readings[0].lab);
  EXPECT_EQ(file.readings[0].lab->light, "D50");
  EXPECT_EQ(file.readings[0].lab->observer_deg, 2);
  EXPECT_EQ(file.readings[0].lab->b, 14.25);
  EXPECT_FALSE(file.readings[0].spectrum);
  EXPECT_TRUE(holds(refusal("name,L*,a*,b*\nrim,86.1,2,14.25\n"), "light and observer"));
  EXPECT_TRUE(holds(refusal("name,L*,a*,b*,light\nrim,86.1,2,14.25,D50\n"), "an observer"));
  const ReadFile inside = read("name;L*(D65/10°);a*(D65/10°);b*(D65/10°)\nrim;86,1;2;14,25\n");
  EXPECT_EQ(inside.readings[0].lab->light, "D65");
  EXPECT_EQ(inside.readings[0].lab->observer_deg, 10);
}

TEST(Csv, Scale) {
  const auto text = [](double first, double step) {
    return "name," + band_headings(",") + "\na," + band_values(",", first, step) + "\n";
  };
  EXPECT_DOUBLE_EQ(read(text(1, 1)).readings[0].spectrum->value[0], 0.01);
  EXPECT_DOUBLE_EQ(read(text(0.1, 0.01)).readings[0].spectrum->value[0], 0.1);
  EXPECT_TRUE(holds(refusal(text(0.9, 0.02)), "highest value is 1.5"));
  EXPECT_TRUE(holds(refusal(text(0.001, 0.0001)), "--scale"));
  EXPECT_DOUBLE_EQ(read(text(0.9, 0.02), {Scale::percent}).readings[0].spectrum->value[0], 0.009);
  EXPECT_TRUE(holds(refusal(text(10, 1), {Scale::fraction}), "no sheet does that"));
}

/// A percent file with one more row, flat at `value`; what stands before its bands.
std::string among_percent(double value, const std::string& row, const std::string& more = {}) {
  return "name,role,backing,scale," + band_headings(",") + "\npaper,target,," + more + "," +
         band_values(",", 60, 0.5) + "\n" + row + "," + band_values(",", value, 0) + "\n";
}

TEST(Csv, AScaleThatTheFileStatesIsKeptAndSaid) {
  const std::string text =
      "name,scale," + band_headings(",") + "\na,fraction," + band_values(",", 0.5, 0.01) + "\n";
  const ReadFile file = read(text, {Scale::percent});
  EXPECT_DOUBLE_EQ(file.readings[0].spectrum->value[0], 0.5);
  EXPECT_TRUE(warns(file, "as the file itself says, and not as percent"));
  EXPECT_FALSE(warns(read(text), "as the file itself says"));
}

// As percent, 1.2 is L* 10.5 and 0.3 is L* 2.7: no paper, tissue or paint; 0.55 of a fraction is
// an ordinary paper. A slip of scale is refused by its row; what may be that black is not.
TEST(Csv, RowsInFractionsAmongPercentAreRefused) {
  for (const double value : {0.03, 0.2, 0.3, 0.55, 0.9, 1.2}) {
    const std::string text = refusal(among_percent(value, "sea,target,,"));
    EXPECT_TRUE(holds(text, "line 3")) << value << text;
    EXPECT_TRUE(holds(text, "'scale'")) << "the way out: " << text;
    EXPECT_TRUE(
        holds(refusal("name," + band_headings(",") + "\nsea," + band_values(",", value, 0) + "\n",
                      {Scale::percent}),
              "line 2"))
        << value;
  }
}

TEST(Csv, WhatMayBeThatBlackIsReadAsPercent) {
  const auto value_of = [](const std::string& text) {
    const ReadFile file = read(text);
    return file.readings.size() == 2 ? file.readings[1].spectrum->value[0] : -1;
  };
  EXPECT_DOUBLE_EQ(value_of(among_percent(1.25, "sea,target,,")), 0.0125) << "a dark ink";
  EXPECT_DOUBLE_EQ(value_of(among_percent(0.01, "sea,target,,")), 0.0001) << "next to nothing";
  EXPECT_DOUBLE_EQ(value_of(among_percent(0.5, "velvet,backing,,")), 0.005);
  EXPECT_DOUBLE_EQ(value_of(among_percent(0.9, "sea,target,,percent")), 0.009) << "its row says so";
  // Without a role, but another row names it as what lies behind.
  const ReadFile named =
      read("name,backing," + band_headings(",") + "\npaper,trap," + band_values(",", 60, 0.5) +
           "\ntrap,," + band_values(",", 0.4, 0) + "\n");
  ASSERT_EQ(named.readings.size(), 2u);
  EXPECT_DOUBLE_EQ(named.readings[1].spectrum->value[0], 0.004);
  // A table that an instrument wrote has one scale: its blackest patch may be as black as it likes.
  const std::string cgats = "CGATS.17\nNUMBER_OF_FIELDS 32\nBEGIN_DATA_FORMAT\nSAMPLE_NAME " +
                            band_headings(" ", "SPECTRAL_NM") +
                            "\nEND_DATA_FORMAT\nNUMBER_OF_SETS 2\nBEGIN_DATA\npaper " +
                            band_values(" ", 60, 0.5) + "\nblack " + band_values(" ", 0.6, 0) +
                            "\nEND_DATA\n";
  const auto chart = read_readings(cgats, "chart.txt", {});
  ASSERT_TRUE(chart) << chart.error().text();
  EXPECT_DOUBLE_EQ(chart->readings[1].spectrum->value[0], 0.006);
  auto fractions = cgats;
  for (std::size_t at;
       (at = fractions.find("paper " + band_values(" ", 60, 0.5))) != fractions.npos;)
    fractions.replace(at, 6 + band_values(" ", 60, 0.5).size(),
                      "paper " + band_values(" ", 0.6, 0));
  EXPECT_FALSE(read_readings(fractions, "chart.txt", {Scale::percent})) << "all of it is fractions";
}

TEST(Csv, LabBesideTheSpectrumSettlesTheScale) {
  // A flat 1.5 is either; as percent its L* is 116 (0.015)^(1/3) - 16 = 12.6.
  const std::string text = "name,L*,a*,b*,light,observer," + band_headings(",") +
                           "\na,12.6,0,0,D65,10," + band_values(",", 1.5, 0) + "\n";
  const ReadFile file = read(text);
  EXPECT_DOUBLE_EQ(file.readings[0].spectrum->value[0], 0.015);
}

TEST(Csv, TransposedIsReadAndSaid) {
  std::string text = "Wavelength (nm),front,back\n";
  for (int nm = 400; nm <= 700; nm += 10) text += std::to_string(nm) + ",0.5,0.25\n";
  const ReadFile file = read(text);
  ASSERT_EQ(file.readings.size(), 2u);
  EXPECT_EQ(file.readings[1].name, "back");
  EXPECT_EQ(file.readings[1].spectrum->value[30], 0.25);
  EXPECT_TRUE(warns(file, "first column"));
}

TEST(Csv, OneWavelengthColumnASample) {
  std::string text = "front,,back,\nWavelength (nm),%R,Wavelength (nm),%R\n";
  for (int nm = 700; nm >= 400; nm -= 5)
    text += std::to_string(nm) + ".0,50.5," + std::to_string(nm) + ".0,25.5\n";
  const ReadFile file = read(text);
  ASSERT_EQ(file.readings.size(), 2u);
  EXPECT_EQ(file.readings[0].name, "front");
  EXPECT_EQ(file.readings[1].name, "back");
  EXPECT_DOUBLE_EQ(file.readings[1].spectrum->value[0], 0.255);
  EXPECT_EQ(file.readings[1].spectrum->grid.first(), 400);
}

TEST(Csv, CellsBeyondTheWidthAreBlankOrRefused) {
  std::string head = "Wavelength (nm),front,back\n";
  for (int nm = 400; nm < 700; nm += 10) head += std::to_string(nm) + ",50,25\n";
  const ReadFile file = read(head + "700,50,25" + std::string(200, ',') + "\n");
  ASSERT_EQ(file.readings.size(), 2u);
  EXPECT_EQ(file.readings[0].spectrum->value.size(), 31u);
  EXPECT_TRUE(holds(refusal(head + "700,50,25,,7\n"), "expected 3 cells, found 5"));
}

TEST(Csv, RowsThatSumUpOthersAreNoReadings) {
  const std::string head = "name," + band_headings(",") + "\n";
  const auto row = [](const std::string& name) {
    return name + "," + band_values(",", 0.4, 0.005) + "\n";
  };
  const ReadFile file = read(head + row("margin") + row("Mean") + row("Std. Dev."));
  ASSERT_EQ(file.readings.size(), 1u);
  EXPECT_EQ(file.readings[0].name, "margin");
  EXPECT_TRUE(warns(file, "Mean and Std. Dev. sum up others"));
  EXPECT_EQ(read(head + row("Mean")).readings.size(), 1u) << "the only row is what there is";
  EXPECT_EQ(read("role," + head + "target," + row("mean") + "target," + row("sea")).readings.size(),
            2u)
      << "a role says that it is a reading";
}

TEST(Csv, LoadsAloneOnlyWhenAsked) {
  const std::string text = "name,load:ochre,load:carbon\nmix 1,0.4,\n";
  EXPECT_TRUE(holds(refusal(text), "no reading in x.csv"));
  ReadOptions options;
  options.loads_alone = true;
  EXPECT_EQ(read(text, options).readings[0].loads.at("ochre"), 0.4);
}

TEST(Csv, WrongWordsAreNamedWithTheirPlace) {
  const std::string text = refusal("name,role," + band_headings(",") + "\na,tisue," +
                                   band_values(",", 0.1, 0.01) + "\n");
  EXPECT_TRUE(holds(text, "line 2, column 2 (role)")) << text;
  EXPECT_TRUE(holds(text, "'tisue'")) << text;
}

TEST(Csv, InfraredIsNoReading) {
  std::string text = "name,900,950,1000\na,0.5,0.5,0.5\n";
  EXPECT_TRUE(holds(refusal(text), "no reading in x.csv"));
}

TEST(Csv, AnEmptyLabDoesNotSettleTheScale) {
  // Programs write 0 0 0 for 'not measured'; 0.3 as percent would have an L* near it.
  const ReadFile file = read("name,L*,a*,b*,light,observer," + band_headings(",") +
                             "\na,0,0,0,D65,10," + band_values(",", 0.3, 0) + "\n");
  EXPECT_EQ(file.readings[0].spectrum->value[0], 0.3);
}

TEST(Csv, ARowBehindAHashIsSaid) {
  const ReadFile file = read("name," + band_headings(",") + "\n#1," + band_values(",", 0.3, 0) +
                             "\n2," + band_values(",", 0.3, 0) + "\n");
  EXPECT_TRUE(warns(file, "taken for a comment"));
}

TEST(Csv, LampsAndOtherQuantitiesAreNoReadings) {
  const auto table = [](const std::string& heading, const std::string& value) {
    std::string text = "nm," + heading + "\n";
    for (int nm = 380; nm <= 780; nm += 5) text += std::to_string(nm) + "," + value + "\n";
    return text;
  };
  EXPECT_TRUE(holds(refusal(table("relative_power", "50")), "found spectral power"));
  EXPECT_TRUE(holds(refusal(table("Absorbance", "0.5")), "found absorbance"));
  EXPECT_TRUE(holds(refusal(table("sheet", "500")), "neither fractions nor percent"));
  const ReadFile two =
      read("Wavelength(nm),Radiance(W/sr/m2/nm),Reflectance\n" + table("", "1.234,0.5").substr(4));
  ASSERT_EQ(two.readings.size(), 1u);
  EXPECT_EQ(two.readings[0].spectrum->value[0], 0.5);
}

TEST(Csv, BlocksOfWavelengthsAreRepeats) {
  std::string text;
  for (const std::string value : {"0.5", "0.6"})
    for (int nm = 380; nm <= 730; nm += 10) text += std::to_string(nm) + "\t" + value + "\n";
  const ReadFile file = read(text);
  ASSERT_EQ(file.readings.size(), 2u);
  EXPECT_EQ(file.readings[0].name, file.readings[1].name);
  EXPECT_EQ(file.readings[1].spectrum->value[0], 0.6);
  EXPECT_EQ(file.readings[1].source.line, 37u);
}

TEST(Csv, OtherEncodings) {
  const std::string text =
      "name," + band_headings(",") + "\nl\xE9ger," + band_values(",", 0.1, 0.01) + "\n";
  const ReadFile latin = read(text);
  EXPECT_EQ(latin.readings[0].name, "l\u00E9ger");
  EXPECT_TRUE(warns(latin, "Latin-1"));
  std::string utf16 = "\xFF\xFE";
  for (const char c : text) {
    utf16 += c;
    utf16 += '\0';
  }
  EXPECT_EQ(read(utf16).readings[0].name, "l\u00E9ger");
  EXPECT_EQ(read("\xEF\xBB\xBF" + text).readings.size(), 1u);
}

}  // namespace
}  // namespace mendtone::csv_test
