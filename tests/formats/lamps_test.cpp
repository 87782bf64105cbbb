#include "mendtone/formats/lamps.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/chromaticity.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/formats/read.hpp"

namespace mendtone::lamps_test {
namespace {

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

LampFile read(const std::string& text, const std::string& name = "lamp.txt") {
  auto file = read_lamps(text, name);
  EXPECT_TRUE(file) << (file ? "" : file.error().text());
  return file ? *file : LampFile{};
}

std::string refusal(const std::string& text) {
  const auto file = read_lamps(text, "lamp.txt");
  EXPECT_FALSE(file);
  return file ? "" : file.error().text();
}

/// Light power that no two wavelengths share, and its text.
double power_at_band(int nm) {
  return 0.5 + 0.001 * nm + 0.2 * std::sin(nm / 17.0);
}
std::string number(double value, char sign = '.') {
  std::string text = shortest(value);
  for (char& c : text)
    if (c == '.') c = sign;
  return text;
}

/// One row a band, 380-780 nm.
std::string rows(const std::string& before, const std::string& between, const std::string& end,
                 char sign = '.', int step = 5) {
  std::string text;
  for (int nm = 380; nm <= 780; nm += step)
    text += before + std::to_string(nm) + between + number(power_at_band(nm), sign) + end;
  return text;
}

void expect_the_power(const Lamp& lamp, std::size_t bands = 81) {
  ASSERT_EQ(lamp.power.grid.size(), bands);
  for (std::size_t i = 0; i < bands; ++i)
    EXPECT_EQ(lamp.power.value[i], power_at_band(static_cast<int>(lamp.power.grid.nm()[i])));
}

// Two columns in any separator, either decimal sign, any line end, comment and heading lines. A
// text table has no standard; this is what instruments and libraries write.
TEST(Lamps, TwoColumnsInAnySeparator) {
  const struct {
    const char* what;
    std::string text;
  } cases[] = {
      {"comma", rows("", ",", "\n")},
      {"heading", "wavelength_nm,relative_power\n" + rows("", ",", "\n")},
      {"comments", "# lamp of the north hall\n# by hand\nnm,W\n" + rows("", ",", "\r\n")},
      {"semicolons, decimal commas", "nm;Leistung\r\n" + rows("", ";", "\r\n", ',')},
      {"tabs, carriage returns", "Wavelength [nm]\tPower\r" + rows("", "\t", "\r")},
      {"blanks", "a lamp\n\n" + rows("  ", "   ", "\n")},
      {"blanks, decimal commas", rows("", " ", "\n", ',')},
      {"other comment marks", "! a lamp\n; by hand\n" + rows("", "\t", "\n")},
      {"colons", rows("", ": ", "\n")},
  };
  for (const auto& one : cases) {
    SCOPED_TRACE(one.what);
    const LampFile file = read(one.text, "folder/hall.txt");
    ASSERT_EQ(file.lamps.size(), 1u);
    EXPECT_EQ(file.lamps[0].name, "hall");
    expect_the_power(file.lamps[0]);
  }
}

// A meter's text export: keys and values, then one row a wavelength whose key holds the number and
// its unit among other words; values of several readings stand side by side.
TEST(Lamps, AMetersExport) {
  const std::string head =
      "Model name\tBench meter\nTitle\tnorth\tsouth\nDate\t2024/01/05\t2024/01/05\n"
      "CCT [K]\t3011\t2724\nCIE1931 x\t0.4366\t0.4577\nCIE1931 y\t0.4042\t0.4099\n"
      "x10\t0.44\t0.46\nPPFD [umol/m2/s]\t3.2\t3.3\n";
  for (const char* const end : {"\n", "\r\n", "\r"}) {
    for (const auto& [before, unit] :
         {std::pair("", "nm"), std::pair("", " [nm]"), std::pair("Spectral irradiance ", "[nm]"),
          std::pair("Ee(", " nm) [W/m2]")}) {
      std::string text = head;
      for (int nm = 380; nm <= 780; ++nm)
        text += before + std::to_string(nm) + unit + "\t" + number(power_at_band(nm)) + "\t" +
                number(2 * power_at_band(nm)) + "\n";
      std::string with_ends;
      for (const char c : text) with_ends += c == '\n' ? end : std::string(1, c);
      SCOPED_TRACE(before + std::string(unit));
      const LampFile file = read(with_ends);
      ASSERT_EQ(file.lamps.size(), 2u);
      EXPECT_EQ(file.lamps[0].name, "north");
      EXPECT_EQ(file.lamps[1].name, "south");
      expect_the_power(file.lamps[0], 401);
      EXPECT_EQ(file.lamps[0].stated_cct_K, 3011);
      EXPECT_EQ(file.lamps[1].stated_cct_K, 2724);
      EXPECT_EQ(file.lamps[1].stated_x, 0.4577);
      EXPECT_EQ(file.lamps[1].stated_y, 0.4099);
    }
  }
}

TEST(Lamps, SeveralQuantitiesAreAskedForByName) {
  std::string text = "Title,hall\n";
  for (int nm = 380; nm <= 780; nm += 5)
    text += "Irradiance " + std::to_string(nm) + "nm," + number(power_at_band(nm)) + "\n";
  for (int nm = 380; nm <= 780; nm += 5)
    text += "Photon flux " + std::to_string(nm) + "nm," + number(nm * power_at_band(nm)) + "\n";
  for (int nm = 380; nm <= 780; nm += 5)
    text += "Radiance " + std::to_string(nm) + "nm," + number(3 * power_at_band(nm)) + "\n";
  const LampFile file = read(text);
  ASSERT_EQ(file.lamps.size(), 2u);
  const auto one = lamp_called(file, "irradiance", "lamp.txt");
  ASSERT_TRUE(one) << one.error().text();
  expect_the_power(*one);
  const auto other = lamp_called(file, "hall, Radiance", "lamp.txt");
  ASSERT_TRUE(other) << other.error().text();
  EXPECT_EQ(other->power.value[0], 3 * power_at_band(380));
  const auto photons = lamp_called(file, "photon", "lamp.txt");
  ASSERT_FALSE(photons);
  EXPECT_TRUE(holds(photons.error().text(), "power counted in photons"));
  const auto unnamed = lamp_called(file, "", "lamp.txt");
  ASSERT_FALSE(unnamed);
  EXPECT_TRUE(holds(unnamed.error().text(), "Say which: lamp.txt#NAME")) << unnamed.error().text();
  EXPECT_TRUE(holds(unnamed.error().text(), "'hall, Irradiance'")) << unnamed.error().text();
  EXPECT_FALSE(lamp_called(file, "south", "lamp.txt"));
}

TEST(Lamps, SeveralLampsAColumnOrARowEach) {
  std::string down = "wavelength (nm);north;south\n", heading = "lamp", north = "north",
              south = "south";
  for (int nm = 380; nm <= 780; nm += 10) {
    const std::string value = number(power_at_band(nm)), twice = number(2 * power_at_band(nm));
    down += std::to_string(nm) + ";" + value + ";" + twice + "\n";
    heading += ";" + std::to_string(nm) + " nm";
    north += ";" + value;
    south += ";" + twice;
  }
  for (const std::string& text : {down, heading + "\n" + north + "\n" + south + "\n"}) {
    const LampFile file = read(text);
    ASSERT_EQ(file.lamps.size(), 2u);
    EXPECT_EQ(file.lamps[0].name, "north");
    expect_the_power(file.lamps[0], 41);
    EXPECT_EQ(lamp_called(file, "south", "f")->power.value[0], 2 * power_at_band(380));
  }
}

std::string values_from(int first, int last, int step, const std::string& between) {
  std::string text;
  for (int nm = first; nm <= last; nm += step)
    text += (nm > first ? between : "") + number(power_at_band(nm));
  return text;
}

// IES TM-27-14: Header, then SpectralDistribution with SpectralQuantity and one SpectralData a
// wavelength.
std::string tm27(const std::string& quantity) {
  std::string text =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<IESTM2714 "
      "xmlns=\"http://www.ies.org/iestm2714\" version=\"1.0\">\n<Header><Manufacturer>by hand"
      "</Manufacturer><Description>north hall</Description></Header>\n<SpectralDistribution>"
      "<SpectralQuantity>" +
      quantity + "</SpectralQuantity><BandwidthFWHM>2.0</BandwidthFWHM>\n";
  for (int nm = 380; nm <= 780; nm += 5)
    text += "<SpectralData wavelength=\"" + std::to_string(nm) + ".0\">" +
            number(power_at_band(nm)) + "</SpectralData>\n";
  return text + "</SpectralDistribution></IESTM2714>\n";
}

TEST(Lamps, SpectralXmlOfIesTm27) {
  for (const char* quantity : {"flux", "irradiance", "radiance", "relative", "exitance"}) {
    const LampFile file = read(tm27(quantity));
    ASSERT_EQ(file.lamps.size(), 1u);
    EXPECT_EQ(file.lamps[0].name, "north hall");
    EXPECT_EQ(file.lamps[0].quantity, quantity);
    expect_the_power(file.lamps[0]);
  }
  EXPECT_TRUE(holds(refusal(tm27("reflectance")), "a spectrum of reflectance"));
  EXPECT_TRUE(
      holds(refusal("<IESTM2714><Header/></IESTM2714>"), "expected a SpectralDistribution"));
}

// The same standard carries reflectance factors, which are readings.
TEST(Lamps, ReflectanceInTm27IsAReading) {
  std::string text = tm27("R-Factor");
  const auto file = read_readings(text, "x.spdx", {Scale::fraction});
  ASSERT_TRUE(file) << file.error().text();
  EXPECT_EQ(file->readings[0].name, "north hall");
  EXPECT_EQ(file->readings[0].spectrum->grid.size(), 81u);
  const auto lamp = read_readings(tm27("irradiance"), "x.spdx");
  ASSERT_FALSE(lamp);
  EXPECT_TRUE(holds(lamp.error().text(), "a spectrum of irradiance")) << lamp.error().text();
}

// CGATS.17 / ISO 28178: spectral fields; MEAS_TYPE and DESCRIPTOR say what they are.
TEST(Lamps, EmissionInCgats) {
  std::string fields, text = "CGATS.17\nMEAS_TYPE \"EMISSION\"\n";
  for (int nm = 380; nm <= 780; nm += 5) fields += " SPECTRAL_NM" + std::to_string(nm);
  text += "BEGIN_DATA_FORMAT\nSAMPLE_NAME XYY_X XYY_Y" + fields +
          "\nEND_DATA_FORMAT\nBEGIN_DATA\n\"north hall\" 0.41 0.39 " +
          values_from(380, 780, 5, " ") + "\n\"south hall\" 0.42 0.40 " +
          values_from(380, 780, 5, " ") + "\nEND_DATA\n";
  const LampFile file = read(text);
  ASSERT_EQ(file.lamps.size(), 2u);
  EXPECT_EQ(file.lamps[1].name, "south hall");
  EXPECT_EQ(file.lamps[1].stated_x, 0.42);
  expect_the_power(file.lamps[0]);
  std::string sheets = text;
  sheets.replace(sheets.find("EMISSION"), 8, "REFLECTANCE");
  EXPECT_TRUE(holds(refusal(sheets), "readings of sheets"));
}

// ISO 17972-1 (CxF3): a spectrum of the emissive kind, its start and step in the specification.
TEST(Lamps, EmissionInCxf3) {
  const auto cxf = [](const std::string& kind, const std::string& type) {
    return "<CxF xmlns=\"http://colorexchangeformat.com/CxF3-core\"><Resources><ObjectCollection>"
           "<Object ObjectType=\"Standard\" Name=\"north hall\" Id=\"1\"><ColorValues><" +
           kind + " ColorSpecification=\"s\" StartWL=\"380\">" + values_from(380, 780, 5, " ") +
           "</" + kind +
           "></ColorValues></Object></ObjectCollection><ColorSpecificationCollection>"
           "<ColorSpecification Id=\"s\"><MeasurementSpec><MeasurementType>" +
           type +
           "</MeasurementType><GeometryChoice><EmissiveMode/></GeometryChoice>"
           "<WavelengthRange StartWL=\"380\" Increment=\"5\"/></MeasurementSpec>"
           "</ColorSpecification></ColorSpecificationCollection></Resources></CxF>";
  };
  for (const char* kind : {"EmissiveSpectrum", "ReflectanceSpectrum"}) {
    const LampFile file = read(cxf(kind, "Spectrum_Emissive"));
    ASSERT_EQ(file.lamps.size(), 1u);
    EXPECT_EQ(file.lamps[0].name, "north hall");
    expect_the_power(file.lamps[0]);
  }
}

// JCAMP-DX 4.24: DATA TYPE and YUNITS say what it is.
TEST(Lamps, EmissionInJcampDx) {
  const auto jcamp = [](const std::string& units) {
    std::string text =
        "##TITLE=north hall\n##JCAMP-DX=4.24\n##DATA TYPE=EMISSION SPECTRUM\n"
        "##XUNITS=NANOMETERS\n##YUNITS=" +
        units + "\n##FIRSTX=380\n##LASTX=780\n##NPOINTS=81\n##XYPOINTS=(XY..XY)\n";
    for (int nm = 380; nm <= 780; nm += 5)
      text += std::to_string(nm) + ", " + number(power_at_band(nm)) + "\n";
    return text + "##END=\n";
  };
  for (const char* units : {"IRRADIANCE W/M2/NM", "ARBITRARY UNITS", "RELATIVE POWER"}) {
    const LampFile file = read(jcamp(units));
    ASSERT_EQ(file.lamps.size(), 1u) << units;
    EXPECT_EQ(file.lamps[0].name, "north hall");
    expect_the_power(file.lamps[0]);
  }
  for (const char* units : {"REFLECTANCE", "ABSORBANCE", "PHOTONS/S"})
    EXPECT_TRUE(holds(refusal(jcamp(units)), "no lamp in")) << units;
}

TEST(Lamps, WhatIsNoLampIsRefusedWithTheReason) {
  EXPECT_TRUE(
      holds(refusal("nm,PPFD [umol/m2/s]\n" + rows("", ",", "\n")), "power counted in photons"));
  EXPECT_TRUE(holds(refusal("nm,counts\n" + rows("", ",", "\n")), "raw counts"));
  EXPECT_TRUE(holds(refusal("nm,Reflectance\n" + rows("", ",", "\n")), "readings of a sheet"));
  EXPECT_TRUE(holds(refusal("a letter\nto somebody\n"), "no lamp in lamp.txt"));
  EXPECT_TRUE(holds(refusal("%PDF-1.4\n"), "a PDF"));
  std::string readings = "name,role,backing", row = "sheet,target,black";
  for (int nm = 400; nm <= 700; nm += 10) {
    readings += "," + std::to_string(nm);
    row += ",0.5";
  }
  EXPECT_TRUE(holds(refusal(readings + "\n" + row + "\n"), "readings of a sheet"));
  std::string some = "nm,power\n", zero = some, below = some, hole = some, twice = some;
  for (int nm = 420; nm <= 780; nm += 5) some += std::to_string(nm) + ",1\n";
  for (int nm = 380; nm <= 780; nm += 5) {
    zero += std::to_string(nm) + ",0\n";
    below += std::to_string(nm) + (nm == 500 ? ",-0.5\n" : ",1\n");
    if (nm < 500 || nm > 560) hole += std::to_string(nm) + ",1\n";
  }
  EXPECT_TRUE(holds(refusal(some), "covers 400-700 nm, found the lamp from 420-780 nm"))
      << refusal(some);
  EXPECT_TRUE(holds(refusal(zero), "expected power above 0"));
  EXPECT_TRUE(holds(refusal(below), "found -0.5 at 500 nm"));
  EXPECT_TRUE(holds(refusal(hole), "at most 20 nm apart, found none after 495 nm"));
  EXPECT_TRUE(holds(refusal("nm,power\n" + rows("", ",", "\n", ',')), "the decimal sign"));
  EXPECT_TRUE(holds(refusal(rows("", "\t", "\n") + "790\t1,5\n800\t1.5\n"), "one decimal sign"));
  std::string word = rows("", ",", "\n");
  word.replace(word.find("500,") + 4, 3, "abc");
  EXPECT_FALSE(read_lamps(word, "f"));
}

TEST(Lamps, EndsThatAreHeldAreCounted) {
  std::string text = "nm,power\n";
  for (int nm = 400; nm <= 730; nm += 10) text += std::to_string(nm) + ",2\n";
  const LampFile file = read(text, "hall.csv");
  const LampLight light = light_of(file.lamps[0], "hall.csv");
  EXPECT_EQ(light.bands_held, 2u + 5u);
  EXPECT_EQ(power_at(light.light, 385), 2);
  EXPECT_EQ(power_at(light.light, 780), 2);
  EXPECT_EQ(power_at(light.light, 790), 0);
  EXPECT_TRUE(holds(light.light.origin, "end values held for 7 bands")) << light.light.origin;
  const LampLight whole = light_of(read(rows("", ",", "\n")).lamps[0], "f");
  EXPECT_EQ(whole.bands_held, 0u);
}

TEST(Lamps, ALampOfOnesOwnDoesNotPassForTheStandards) {
  EXPECT_EQ(light_of(read(rows("", ",", "\n"), "D65.csv").lamps[0], "D65.csv").light.name,
            "D65, own file");
}

TEST(Lamps, DenseNoisyReadingsAreThinnedAndKept) {
  std::string text = "nm\tW\n";
  for (int i = 0; i < 3648; ++i) {
    const double nm = 200 + 0.25 * i;
    text += number(nm) + "\t" + (nm < 380 ? "-0.001" : "1") + "\n";
  }
  const LampFile file = read(text);
  EXPECT_EQ(file.lamps[0].power.grid.size(), 551u);
  ASSERT_EQ(file.warnings.size(), 2u);
  EXPECT_TRUE(holds(file.warnings[0].text, "averaged within each nm"));
  EXPECT_TRUE(holds(file.warnings[1].text, "a little below 0"));
}

// The CIE tables (CIE 15:2018), written in each of the formats: the white of the table itself, to
// 1e-6.
TEST(Lamps, EveryFormatGivesTheWhiteOfTheTable) {
  for (const std::string& name : standard_light_names()) {
    const Light light = *standard_light(name);
    std::string csv = "nm,power\n", meter = "Title;x\n", xml, fields, values, jcamp, points;
    std::size_t bands = 0;
    Spectrum table;
    std::vector<double> grid;
    for (double nm = 380; nm <= 780; nm += 5, ++bands) {
      const std::string at = number(nm), power = shortest(power_at(light, nm));
      csv += at + "," + power + "\n";
      meter += "Radiance " + at + " [nm];" + number(power_at(light, nm), ',') + "\r";
      xml += "<SpectralData wavelength=\"" + at + "\">" + power + "</SpectralData>";
      fields += " SPECTRAL_NM" + at;
      values += " " + power;
      points += at + " " + power + "\n";
      grid.push_back(nm);
      table.value.push_back(power_at(light, nm));
    }
    table.grid = *WavelengthGrid::from_nm(grid);
    const std::string files[] = {
        csv,
        meter,
        "<IESTM2714><SpectralDistribution><SpectralQuantity>relative</SpectralQuantity>" + xml +
            "</SpectralDistribution></IESTM2714>",
        "CGATS.17\nMEAS_TYPE \"EMISSION\"\nBEGIN_DATA_FORMAT\nSAMPLE_ID" + fields +
            "\nEND_DATA_FORMAT\nBEGIN_DATA\n1" + values + "\nEND_DATA\n",
        "<CxF><Resources><ObjectCollection><Object Name=\"x\"><ColorValues><EmissiveSpectrum "
        "StartWL=\"380\" Increment=\"5\">" +
            values +
            "</EmissiveSpectrum></ColorValues></Object></ObjectCollection></Resources></CxF>",
        "##TITLE=x\n##JCAMP-DX=4.24\n##DATA TYPE=EMISSION SPECTRUM\n##XUNITS=NANOMETERS\n"
        "##YUNITS=RELATIVE POWER\n##XYPOINTS=(XY..XY)\n" +
            points + "##END=\n"};
    for (const Observer observer : {Observer::deg10}) {
      const Xyz white = *white_point({"table", table, ""}, observer);
      for (const std::string& text : files) {
        const LampFile file = read(text);
        ASSERT_EQ(file.lamps.size(), 1u) << name << text.substr(0, 60);
        const LampLight lamp = light_of(file.lamps[0], "f");
        EXPECT_EQ(lamp.bands_held, 0u);
        const Xyz own = *white_point(lamp.light, observer);
        EXPECT_NEAR(own.X, white.X, 1e-6) << name;
        EXPECT_NEAR(own.Z, white.Z, 1e-6) << name;
      }
    }
  }
}

// Lamps of the Debian package colord-data 1.4.6 (GPL-2+), read where the package puts them: CGATS
// text of another program's making, of the same CIE tables (CIE 15), printed to four decimals of
// the peak or better.
TEST(Lamps, LampsOfAnOpenPackage) {
  const std::pair<const char*, const char*> files[] = {
      {"A", "A"},    {"C", "C"},    {"D50", "D50"},  {"D55", "D55"},  {"D65", "D65"}, {"F1", "FL1"},
      {"F2", "FL2"}, {"F3", "FL3"}, {"F4", "FL4"},   {"F5", "FL5"},   {"F6", "FL6"},  {"F7", "FL7"},
      {"F8", "FL8"}, {"F9", "FL9"}, {"F10", "FL10"}, {"F11", "FL11"}, {"F12", "FL12"}};
  for (const auto& [file_name, light] : files) {
    SCOPED_TRACE(file_name);
    std::ifstream stream(std::string("/usr/share/colord/illuminant/CIE-") + file_name + ".sp");
    ASSERT_TRUE(stream) << "is colord-data (tests/packages) installed?";
    std::stringstream text;
    text << stream.rdbuf();
    const LampFile file = read(text.str(), file_name);
    ASSERT_EQ(file.lamps.size(), 1u);
    const auto own = chromaticity(light_of(file.lamps[0], file_name).light);
    const auto ours = chromaticity(*standard_light(light));
    EXPECT_NEAR(own->x, ours->x, 4e-4);
    EXPECT_NEAR(own->y, ours->y, 4e-4);
  }
  std::ifstream stream("/usr/share/colord/cmf/CIE1931-2deg-XYZ.cmf");
  std::stringstream text;
  text << stream.rdbuf();
  EXPECT_TRUE(holds(refusal(text.str()), "colour matching functions"));
}

}  // namespace
}  // namespace mendtone::lamps_test
