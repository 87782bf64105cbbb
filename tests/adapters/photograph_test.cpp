#include "mendtone/adapters/photograph.hpp"

#include <gtest/gtest.h>

#include "adapters/pictures.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/imaging/change.hpp"

namespace mendtone::photograph_test {
namespace {

/// LittleCMS in double precision, one pixel at a time: the judge.
class Judge {
 public:
  explicit Judge(const std::string& icc) {
    profile_ = cmsOpenProfileFromMem(icc.data(), static_cast<cmsUInt32Number>(icc.size()));
    lab_ = cmsCreateLab4Profile(nullptr);
    transform_ =
        cmsCreateTransform(profile_, TYPE_RGB_DBL, lab_, TYPE_Lab_DBL, INTENT_ABSOLUTE_COLORIMETRIC,
                           cmsFLAGS_NOCACHE | cmsFLAGS_NOOPTIMIZE);
  }
  ~Judge() {
    cmsDeleteTransform(transform_);
    cmsCloseProfile(lab_);
    cmsCloseProfile(profile_);
  }
  Lab operator()(const std::uint16_t* code) const {
    const double rgb[3] = {code[0] / 65535.0, code[1] / 65535.0, code[2] / 65535.0};
    double lab[3];
    cmsDoTransform(transform_, rgb, lab, 1);
    return {lab[0], lab[1], lab[2]};
  }

 private:
  cmsHPROFILE profile_, lab_;
  cmsHTRANSFORM transform_;
};

constexpr int width = 200, height = 150;
constexpr std::size_t pixels = static_cast<std::size_t>(width) * height;

LabPixels all_lab(Photograph& photograph) {
  CodedRows rows;
  EXPECT_TRUE(photograph.read(0, photograph.size().height, rows));
  LabPixels lab;
  to_lab(photograph.transform(), rows, lab);
  return lab;
}

class EveryPixel : public testing::TestWithParam<std::string> {
 protected:
  std::string icc() const {
    return GetParam() == "sRGB" ? pictures::srgb() : pictures::wide(GetParam() == "v2" ? 2.1 : 4.3);
  }
};

// The promise is 0.01 DeltaE00 for 16-bit pixels; float planes reach a tenth of it.
TEST_P(EveryPixel, LabAgreesWithLittleCms) {
  const pictures::Folder folder;
  const auto codes = pictures::noise(pixels * 3, 1);
  ASSERT_TRUE(pictures::write(folder / "a.tif",
                              pictures::spec_of(width, height, 3, OIIO::TypeUInt16, icc()), codes));
  auto photograph = Photograph::open(folder / "a.tif");
  ASSERT_TRUE(photograph) << photograph.error().text();
  EXPECT_TRUE((*photograph)->facts().profile.matrix);
  const LabPixels lab = all_lab(**photograph);
  const Judge judge(icc());
  double worst = 0;
  for (std::size_t i = 0; i < pixels; ++i)
    worst = std::max(worst, de00(judge(&codes[3 * i]), {lab.L[i], lab.a[i], lab.b[i]}));
  EXPECT_LT(worst, 0.001);
}

TEST_P(EveryPixel, ChangeAgreesWithLittleCmsAndCiede2000) {
  const pictures::Folder folder;
  const auto one = pictures::noise(pixels * 3, 1);
  auto two = one;
  CounterRandom random(2);
  for (auto& code : two)
    code = static_cast<std::uint16_t>(std::clamp(code + 1500 * random.normal(), 0.0, 65535.0));
  const auto spec = pictures::spec_of(width, height, 3, OIIO::TypeUInt16, icc());
  ASSERT_TRUE(pictures::write(folder / "a.tif", spec, one));
  ASSERT_TRUE(pictures::write(folder / "b.tif", spec, two));
  auto before = Photograph::open(folder / "a.tif"), after = Photograph::open(folder / "b.tif");
  ASSERT_TRUE(before && after);

  struct Keep final : ChangeSink {
    std::vector<float> de00;
    Result<void> take(const ChangeRows& rows) override {
      de00.insert(de00.end(), rows.de00.begin(), rows.de00.end());
      return {};
    }
  } keep;
  ChangeOptions options;
  options.regions = {whole_picture((*before)->size())};
  options.threads = 2;
  const auto figures = compare_photographs(**before, **after, options, &keep);
  ASSERT_TRUE(figures) << figures.error().text();
  ASSERT_EQ(keep.de00.size(), pixels);

  const Judge judge(icc());
  double worst = 0, mean = 0;
  for (std::size_t i = 0; i < pixels; ++i) {
    const double expected = de00(judge(&one[3 * i]), judge(&two[3 * i]));
    mean += expected / pixels;
    worst = std::max(worst, std::abs(expected - keep.de00[i]));
  }
  EXPECT_LT(worst, 0.01);
  EXPECT_NEAR(figures->front().mean_de00, mean, 1e-4);
}

INSTANTIATE_TEST_SUITE_P(Profiles, EveryPixel, testing::Values("sRGB", "v2", "v4"));

// White of an RGB working space is the perfect diffuser, whatever white point its maker wrote down:
// L* 100, a* = b* = 0, and not the blue of D65 seen from D50.
TEST(Photographs, WhiteIsNeutralUnderD50) {
  for (const double version : {2.1, 4.3}) {
    const auto profile = open_profile(pictures::wide(version), 3);
    ASSERT_TRUE(profile);
    const std::vector<std::uint16_t> white(3, 65535);
    float L, a, b;
    profile->transform->to_lab({white.data(), nullptr, 1, 3}, &L, &a, &b);
    EXPECT_NEAR(L, 100, 0.01);
    EXPECT_NEAR(a, 0, 0.02);
    EXPECT_NEAR(b, 0, 0.02);
  }
}

TEST(Photographs, EveryKindOfFileGivesTheSameColours) {
  const pictures::Folder folder;
  const std::string icc = pictures::srgb();
  const auto codes = pictures::noise(pixels * 3, 3);
  std::vector<float> floats(codes.begin(), codes.end());
  for (float& value : floats) value /= 65535;
  ASSERT_TRUE(pictures::write(folder / "a.tif",
                              pictures::spec_of(width, height, 3, OIIO::TypeUInt16, icc), codes));
  ASSERT_TRUE(pictures::write(folder / "b.png",
                              pictures::spec_of(width, height, 3, OIIO::TypeUInt16, icc), codes));
  ASSERT_TRUE(pictures::write(folder / "c.tif",
                              pictures::spec_of(width, height, 3, OIIO::TypeFloat, icc), floats));
  auto tiled = pictures::spec_of(width, height, 3, OIIO::TypeUInt16, icc);
  tiled.tile_width = tiled.tile_height = 64;
  ASSERT_TRUE(pictures::write(folder / "d.tif", tiled, codes));
  auto first = Photograph::open(folder / "a.tif");
  ASSERT_TRUE(first);
  const LabPixels expected = all_lab(**first);
  for (const char* name : {"b.png", "c.tif", "d.tif"}) {
    auto other = Photograph::open(folder / name);
    ASSERT_TRUE(other) << other.error().text();
    const LabPixels lab = all_lab(**other);
    for (std::size_t i = 0; i < pixels; ++i) {
      // Floats of 16-bit codes are a rounding off; the files of integers are the same numbers.
      const float tolerance = std::string(name) == "c.tif" ? 2e-3f : 0.0f;
      ASSERT_NEAR(lab.L[i], expected.L[i], tolerance) << name;
      ASSERT_NEAR(lab.a[i], expected.a[i], tolerance) << name;
    }
  }
}

// A profile of tables goes through LittleCMS itself, and is as near.
TEST(Photographs, ATableProfileAgreesWithLittleCms) {
  const pictures::Folder folder;
  const auto codes = pictures::noise(pixels * 3, 6);
  for (const auto tag : {cmsSigAToB1Tag, cmsSigAToB0Tag}) {
    const std::string icc = pictures::table(tag);
    ASSERT_TRUE(pictures::write(folder / "a.tif",
                                pictures::spec_of(width, height, 3, OIIO::TypeUInt16, icc), codes));
    auto photograph = Photograph::open(folder / "a.tif");
    ASSERT_TRUE(photograph) << photograph.error().text();
    EXPECT_FALSE((*photograph)->facts().profile.matrix);
    EXPECT_EQ((*photograph)->facts().profile.device_class, "input");
    EXPECT_FALSE((*photograph)->transform().writable());
    EXPECT_EQ((*photograph)->facts().profile.warnings.size(), tag == cmsSigAToB0Tag ? 1u : 0u);
    const LabPixels lab = all_lab(**photograph);
    const Judge judge(icc);
    double worst = 0;
    for (std::size_t i = 0; i < pixels; ++i)
      worst = std::max(worst, de00(judge(&codes[3 * i]), {lab.L[i], lab.a[i], lab.b[i]}));
    EXPECT_LT(worst, 0.01);
  }
}

// 8 bits are widened exactly; a half float has 11 bits, a JPEG of full quality is a code or two
// off.
TEST(Photographs, CoarseFilesComeAsNearAsTheyCan) {
  const pictures::Folder folder;
  const std::string icc = pictures::srgb();
  std::vector<std::uint8_t> bytes;
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x)
      for (const int base : {225, 210, 180})
        bytes.push_back(static_cast<std::uint8_t>(base - x / 2 - y / 4));
  std::vector<float> floats(bytes.begin(), bytes.end());
  for (float& value : floats) value /= 255;
  auto jpeg = pictures::spec_of(width, height, 3, OIIO::TypeUInt8, icc);
  jpeg.attribute("Compression", "jpeg:100");
  jpeg.attribute("jpeg:subsampling", "4:4:4");
  const auto as = [&](OIIO::TypeDesc type) {
    return pictures::spec_of(width, height, 3, type, icc);
  };
  ASSERT_TRUE(pictures::write(folder / "a.tif", as(OIIO::TypeUInt8), bytes));
  ASSERT_TRUE(pictures::write(folder / "a.png", as(OIIO::TypeUInt8), bytes));
  ASSERT_TRUE(pictures::write(folder / "a.jpg", jpeg, bytes));
  ASSERT_TRUE(pictures::write(folder / "half.exr", as(OIIO::TypeHalf), floats));
  ASSERT_TRUE(pictures::write(folder / "float.exr", as(OIIO::TypeFloat), floats));
  ASSERT_TRUE(write_file(folder / "named.icc", icc));
  const Judge judge(icc);
  struct Kind {
    const char *name, *sample;
    double within;
  };
  for (const Kind& kind : {Kind{"a.tif", "8 bit", 0.001},
                           {"a.png", "8 bit", 0.001},
                           {"a.jpg", "8 bit", 1.5},
                           {"half.exr", "half float", 0.1},
                           {"float.exr", "float", 0.001}}) {
    const bool exr = std::string(kind.name).find(".exr") != std::string::npos;
    auto photograph =
        Photograph::open(folder / kind.name, {exr ? folder / "named.icc" : std::string(), 0});
    ASSERT_TRUE(photograph) << photograph.error().text();
    EXPECT_EQ((*photograph)->facts().sample, kind.sample);
    const LabPixels lab = all_lab(**photograph);
    double worst = 0;
    for (std::size_t i = 0; i < pixels; ++i) {
      const std::uint16_t code[3] = {static_cast<std::uint16_t>(bytes[3 * i] * 257),
                                     static_cast<std::uint16_t>(bytes[3 * i + 1] * 257),
                                     static_cast<std::uint16_t>(bytes[3 * i + 2] * 257)};
      worst = std::max(worst, de00(judge(code), {lab.L[i], lab.a[i], lab.b[i]}));
    }
    EXPECT_LT(worst, kind.within) << kind.name;
  }
}

// Rows asked for piecemeal, out of order and across tiles are the rows of the whole.
TEST(Photographs, RowsMayBeAskedForInAnyOrder) {
  const pictures::Folder folder;
  const auto codes = pictures::noise(pixels * 3, 4);
  auto spec = pictures::spec_of(width, height, 3, OIIO::TypeUInt16, pictures::srgb());
  for (const int tile : {0, 32}) {
    spec.tile_width = spec.tile_height = tile;
    ASSERT_TRUE(pictures::write(folder / "a.tif", spec, codes));
    auto photograph = Photograph::open(folder / "a.tif");
    ASSERT_TRUE(photograph);
    CodedRows rows;
    for (const auto& [y0, y1] : {std::pair{100, 131}, {0, 1}, {31, 33}, {149, 150}}) {
      ASSERT_TRUE((*photograph)->read(y0, y1, rows));
      const std::vector<std::uint16_t> expected(codes.begin() + y0 * width * 3,
                                                codes.begin() + y1 * width * 3);
      EXPECT_EQ(rows.u16, expected);
    }
  }
}

}  // namespace
}  // namespace mendtone::photograph_test
