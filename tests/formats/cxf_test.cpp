#include <gtest/gtest.h>

#include "bands.hpp"

namespace mendtone::cxf_test {
namespace {

using formats_test::band_values;
using formats_test::warns;

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

ReadFile read(const std::string& text) {
  auto file = read_readings(text, "x.cxf");
  EXPECT_TRUE(file) << (file ? "" : file.error().text());
  return file ? *file : ReadFile{};
}

std::string refusal(const std::string& text) {
  auto file = read_readings(text, "x.cxf");
  EXPECT_FALSE(file);
  return file ? "" : file.error().text();
}

/// Elements as ISO 17972-1 names them, under any prefix.
std::string cxf(const std::string& values, const std::string& measurement,
                const std::string& p = "cc:",
                const std::string& object = "ObjectType=\"Standard\" Name=\"margin\" Id=\"o1\"") {
  std::string text =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<@CxF xmlns:cc=\"http://colorexchangeformat.com/CxF3-core\">\n"
      "<@FileInformation><@Creator>by hand</@Creator></@FileInformation>\n<@Resources>\n"
      "<@ObjectCollection>\n<@Object " +
      object + ">\n<@ColorValues>\n" + values +
      "</@ColorValues>\n</@Object>\n</@ObjectCollection>\n<@ColorSpecificationCollection>\n"
      "<@ColorSpecification Id=\"s\">\n<@TristimulusSpec><@Illuminant>D50</@Illuminant>"
      "<@Observer>2_Degree</@Observer></@TristimulusSpec>\n<@MeasurementSpec>\n" +
      measurement +
      "</@MeasurementSpec>\n</@ColorSpecification>\n</@ColorSpecificationCollection>\n"
      "</@Resources>\n</@CxF>\n";
  for (std::size_t at; (at = text.find('@')) != std::string::npos;) text.replace(at, 1, p);
  return text;
}

const std::string measured =
    "<@MeasurementType>Spectrum_Reflectance</@MeasurementType>\n<@GeometryChoice><@SingleAngle>"
    "<@SingleAngleConfiguration>Annular</@SingleAngleConfiguration><@IlluminationAngle>45.0"
    "</@IlluminationAngle><@MeasurementAngle>0.0</@MeasurementAngle></@SingleAngle>"
    "</@GeometryChoice>\n<@WavelengthRange StartWL=\"400\" Increment=\"10\"/>\n"
    "<@Aperture>4.5 mm</@Aperture><@Backing>black</@Backing>\n<@Device><@Manufacturer>Bench"
    "</@Manufacturer><@Model>Two</@Model><@DeviceFilter>Filter_None</@DeviceFilter>"
    "<@DeviceIllumination>M1_Daylight</@DeviceIllumination></@Device>\n";

std::string spectrum(double first, double step) {
  return "<@ReflectanceSpectrum ColorSpecification=\"s\" StartWL=\"400\">" +
         band_values(" ", first, step) + "</@ReflectanceSpectrum>\n";
}

const std::string lab =
    "<@ColorCIELab ColorSpecification=\"s\"><@L>76.07</@L><@A>0.1</@A><@B>0.2</@B>"
    "</@ColorCIELab>\n";

TEST(Cxf, EveryFactOfTheMeasurementIsKept) {
  for (const std::string prefix : {"cc:", "", "x:"}) {
    const ReadFile file = read(cxf(spectrum(0.5, 0) + lab, measured, prefix));
    ASSERT_EQ(file.readings.size(), 1u) << prefix;
    const Reading& r = file.readings[0];
    EXPECT_EQ(r.name, "margin");
    EXPECT_EQ(r.geometry, "45/0");
    EXPECT_EQ(r.condition, Condition::m1);
    EXPECT_EQ(r.backing, "black");
    EXPECT_EQ(r.instrument, "Bench Two");
    EXPECT_EQ(r.aperture_mm, 4.5);
    EXPECT_EQ(r.spectrum->grid, WavelengthGrid::equal_steps(400, 10, 31));
    EXPECT_EQ(r.spectrum->value[0], 0.5);
    ASSERT_TRUE(r.lab);
    EXPECT_EQ(r.lab->light, "D50");
    EXPECT_EQ(r.lab->observer_deg, 2);
    EXPECT_EQ(r.source.line, 8u);
    EXPECT_TRUE(file.warnings.empty());
  }
}

TEST(Cxf, LabAlone) {
  const ReadFile file = read(cxf(lab, measured));
  EXPECT_FALSE(file.readings[0].spectrum);
  EXPECT_EQ(file.readings[0].lab->L, 76.07);
}

TEST(Cxf, TransmittanceUltravioletCutAndSphere) {
  const ReadFile file = read(
      cxf("<@TransmittanceSpectrum ColorSpecification=\"s\" StartWL=\"400\">" +
              band_values(" ", 0.1, 0.01) + "</@TransmittanceSpectrum>\n",
          "<@GeometryChoice><@SphereGeometry>Specular_Included</@SphereGeometry></@GeometryChoice>"
          "<@WavelengthRange Increment=\"10\"/><@Device><@DeviceFilter>Filter_UVExcluded"
          "</@DeviceFilter></@Device>"));
  EXPECT_EQ(file.readings[0].quantity, Quantity::transmittance);
  EXPECT_EQ(file.readings[0].condition, Condition::m2);
  EXPECT_EQ(file.readings[0].geometry, "d/8 specular included");
}

TEST(Cxf, TheConditionMayStandInTheObjectType) {
  const ReadFile file = read(cxf(spectrum(0.5, 0), "<@WavelengthRange Increment=\"10\"/>",
                                 "cc:", "ObjectType=\"M0_Measurement\" Name=\"1\" Id=\"1\""));
  EXPECT_EQ(file.readings[0].condition, Condition::m0);
}

TEST(Cxf, PercentIsFoundAndSaid) {
  const ReadFile file = read(cxf(spectrum(20, 1), measured));
  EXPECT_DOUBLE_EQ(file.readings[0].spectrum->value[0], 0.2);
  EXPECT_TRUE(warns(file, "percent"));
}

TEST(Cxf, AMissingIncrementIsTakenAsTenAndSaid) {
  const ReadFile file = read(cxf(spectrum(0.5, 0), ""));
  EXPECT_TRUE(warns(file, "10 nm was taken"));
}

TEST(Cxf, PointsWithTheirOwnWavelengths) {
  std::string points;
  for (int nm = 700; nm >= 400; nm -= 20)
    points += "<@SpectralPoint WL=\"" + std::to_string(nm) + ".5\">0.5</@SpectralPoint>";
  const std::string custom = "<@CustomSpectrum ColorSpecification=\"s\">" + points +
                             "<@SpectralPoint WL=\"390\">0.5</@SpectralPoint></@CustomSpectrum>";
  EXPECT_EQ(read(cxf(custom, measured)).readings[0].spectrum->grid.first(), 390);
  EXPECT_TRUE(holds(refusal(cxf(custom, "<@MeasurementType>Spectrum_Custom</@MeasurementType>")),
                    "custom spectrum"));
}

TEST(Cxf, EmissionAndDeviceValuesAreNoReadings) {
  EXPECT_TRUE(holds(refusal(cxf(lab, "<@MeasurementType>Colorimetric_Emissive</@MeasurementType>")),
                    "no reading in x.cxf: found L*a*b* of a light"));
  EXPECT_TRUE(holds(refusal(cxf("<@ColorRGB><@R>1</@R></@ColorRGB>", measured)), "ColorRGB"));
}

TEST(Cxf, FaultsAreNamedWithTheirLine) {
  std::string broken = cxf(spectrum(0.5, 0), measured);
  broken.erase(broken.find("</cc:Object>"), 12);
  EXPECT_TRUE(holds(refusal(broken), "x.cxf, line ")) << refusal(broken);
  std::string wrong = cxf(spectrum(0.5, 0), measured);
  wrong.replace(wrong.find("0.5000"), 6, "0.5oo0");
  EXPECT_TRUE(holds(refusal(wrong), "line 8: expected numbers, found '0.5oo0'")) << refusal(wrong);
  EXPECT_TRUE(holds(refusal("<?xml version=\"1.0\"?>\n<svg/>"), "'svg'"));
}

TEST(Cxf, EntitiesAreNotFollowed) {
  const std::string text = cxf(spectrum(0.5, 0), measured);
  const std::string bomb =
      "<?xml version=\"1.0\"?>\n<!DOCTYPE x [<!ENTITY a \"aaaa\"><!ENTITY b SYSTEM "
      "\"file:///etc/hostname\">]>\n" +
      text.substr(text.find("<cc:CxF"));
  EXPECT_EQ(read(bomb).readings.size(), 1u);
}

}  // namespace
}  // namespace mendtone::cxf_test
