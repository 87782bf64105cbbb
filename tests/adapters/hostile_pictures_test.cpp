#include <gtest/gtest.h>

#include <fstream>
#include <limits>

#include "adapters/pictures.hpp"
#include "formats/made_pictures.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/adapters/mask_file.hpp"
#include "mendtone/adapters/photograph.hpp"
#include "mendtone/adapters/picture_file.hpp"

// The corpus of spoilt and unfit pictures, made here so that each stands beside its reason.
namespace mendtone::hostile_pictures_test {
namespace {

constexpr int width = 64, height = 48;
constexpr std::size_t values = static_cast<std::size_t>(width) * height * 3;

class Hostile : public testing::Test {
 protected:
  pictures::Folder folder;

  std::string good(const std::string& name, OIIO::TypeDesc type = OIIO::TypeUInt16) {
    const std::string path = folder / name;
    EXPECT_TRUE(pictures::write(path, pictures::spec_of(width, height, 3, type, pictures::srgb()),
                                pictures::noise(values, 9)));
    return path;
  }
  /// Opens and reads all; the refusal's text, or nothing.
  static std::string refusal(const std::string& path, const PhotographOptions& options = {}) {
    auto photograph = Photograph::open(path, options);
    if (!photograph) return photograph.error().text();
    CodedRows rows;
    const auto read = (*photograph)->read(0, (*photograph)->size().height, rows);
    return read ? "" : read.error().text();
  }
  static void expect_refused(const std::string& path, const std::string& why) {
    const std::string text = refusal(path);
    EXPECT_NE(text.find(why), std::string::npos) << "'" << text << "'";
  }
};

TEST_F(Hostile, ACutFileIsRefusedWhereverItIsCut) {
  for (const char* name : {"a.tif", "a.png", "a.jpg"}) {
    const std::string path = good(name);
    const auto whole = read_file(path);
    ASSERT_TRUE(whole);
    EXPECT_EQ(refusal(path), "") << name;
    const std::string cut = folder / (std::string("cut-") + name);
    for (const double part : {0.001, 0.02, 0.3, 0.7, 0.97}) {
      const auto size = static_cast<std::size_t>(part * static_cast<double>(whole->size()));
      ASSERT_TRUE(write_file(cut, whole->substr(0, size)));
      EXPECT_NE(refusal(cut), "") << name << " cut to " << part;
    }
  }
}

/// A JPEG whose Exif block holds nothing but its colour space. Ref: exif3 (ColorSpace, 0xa001, in
/// the directory that 0x8769 leads to)
std::string jpeg_of_space(int space) {
  const auto n = [](std::uint64_t value, std::size_t bytes) {
    return made::number(value, bytes, false);
  };
  const std::string exif = std::string("Exif\0\0", 6) + "II" + n(42, 2) + n(8, 4) +  //
                           n(1, 2) + n(0x8769, 2) + n(4, 2) + n(1, 4) + n(26, 4) + n(0, 4) +
                           n(1, 2) + n(0xa001, 2) + n(3, 2) + n(1, 4) +
                           n(static_cast<std::uint64_t>(space), 4) + n(0, 4);
  const std::string segment = "\xff\xe1" + made::number(exif.size() + 2, 2, true) + exif;
  return made::jpeg(60, 40).insert(2, segment);
}

TEST_F(Hostile, WhatOnlySaysThatItIsSrgbIsReadForLookingAlone) {
  const std::string srgb_chunk = made::chunk("sRGB", std::string(1, '\0'));
  std::string grey = made::png(60, 40);
  grey.insert(grey.find("IDAT") - 4, srgb_chunk);
  ASSERT_TRUE(write_file(folder / "grey.png", grey));
  ASSERT_TRUE(write_file(folder / "exif.jpg", jpeg_of_space(1)));
  ASSERT_TRUE(write_file(folder / "uncalibrated.jpg", jpeg_of_space(65535)));
  ASSERT_TRUE(write_file(folder / "silent.png", made::png(60, 40)));
  const PhotographOptions look{{}, 0, true};
  for (const char* name : {"grey.png", "exif.jpg"}) {
    expect_refused(folder / name, "for looking, not for measuring");
    EXPECT_EQ(refusal(folder / name, look), "") << name;
    const auto shown = Photograph::open(folder / name, look);
    ASSERT_TRUE(shown);
    EXPECT_EQ((*shown)->facts().profile_from, declared_srgb);
  }
  for (const char* name : {"uncalibrated.jpg", "silent.png"})
    EXPECT_NE(refusal(folder / name, look).find("its colour space is not known"), std::string::npos)
        << name;
}

TEST_F(Hostile, AHugeClaimIsRefusedWithoutTheMemory) {
  const std::string path = good("a.tif");
  auto bytes = read_file(path);
  ASSERT_TRUE(bytes);
  // ImageWidth (256) and ImageLength (257) in the directory, little-endian: 100 000 each.
  for (std::size_t i = 0; i + 12 <= bytes->size(); ++i) {
    const auto tag =
        static_cast<unsigned char>((*bytes)[i]) | static_cast<unsigned char>((*bytes)[i + 1]) << 8;
    const auto type = static_cast<unsigned char>((*bytes)[i + 2]);
    const auto count = static_cast<unsigned char>((*bytes)[i + 4]);
    const auto value = static_cast<unsigned char>((*bytes)[i + 8]);
    if ((tag == 256 && value == width) || (tag == 257 && value == height))
      if ((type == 3 || type == 4) && count == 1) {
        (*bytes)[i + 2] = 4;
        (*bytes)[i + 8] = '\xa0', (*bytes)[i + 9] = '\x86', (*bytes)[i + 10] = '\1';
      }
  }
  ASSERT_TRUE(write_file(folder / "huge.tif", *bytes));
  EXPECT_NE(refusal(folder / "huge.tif"), "");
}

TEST_F(Hostile, NumbersThatAreNoneAreRefusedAndBeyondIsCutAndCounted) {
  const auto spec = pictures::spec_of(width, height, 3, OIIO::TypeFloat, pictures::srgb());
  std::vector<float> floats(values, 0.5f);
  floats[10] = 1.5f;
  floats[20] = -0.25f;
  ASSERT_TRUE(pictures::write(folder / "beyond.tif", spec, floats));
  auto photograph = Photograph::open(folder / "beyond.tif");
  ASSERT_TRUE(photograph);
  CodedRows rows;
  ASSERT_TRUE((*photograph)->read(0, height, rows));
  EXPECT_EQ((*photograph)->clipped_pixels(), 2u);
  for (const float bad :
       {std::numeric_limits<float>::quiet_NaN(), std::numeric_limits<float>::infinity()}) {
    floats[1234] = bad;
    ASSERT_TRUE(pictures::write(folder / "nan.tif", spec, floats));
    expect_refused(folder / "nan.tif", "not a number");
  }
}

TEST_F(Hostile, UnfitChannelsAreRefusedWithTheReason) {
  const auto with = [&](const char* name, int channels, const std::string& icc, auto change) {
    auto spec = pictures::spec_of(width, height, channels, OIIO::TypeUInt16, icc);
    change(spec);
    EXPECT_TRUE(
        pictures::write(folder / name, spec,
                        pictures::noise(static_cast<std::size_t>(width * height * channels), 2)));
    return folder / name;
  };
  const auto as_is = [](OIIO::ImageSpec&) {};
  expect_refused(with("none.tif", 3, "", as_is), "no ICC profile");
  expect_refused(with("grey-on-rgb.tif", 3, pictures::grey(), as_is), "contradicts the pixels");
  expect_refused(with("rgb-on-grey.tif", 1, pictures::srgb(), as_is), "contradicts the pixels");
  expect_refused(with("two.tif", 2, pictures::grey(),
                      [](OIIO::ImageSpec& s) {
                        s.channelnames = {"one", "two"};
                        s.alpha_channel = -1;
                      }),
                 "expected 1 channel");
  expect_refused(with("cmyk.tif", 4, pictures::srgb(),
                      [](OIIO::ImageSpec& s) {
                        s.channelnames = {"C", "M", "Y", "K"};
                        s.alpha_channel = -1;
                        s.attribute("tiff:ColorSpace", "CMYK");
                      }),
                 "CMYK");
  expect_refused(with("alpha.tif", 4, pictures::srgb(),
                      [](OIIO::ImageSpec& s) { s.attribute("oiio:UnassociatedAlpha", 0); }),
                 "transparency");
  EXPECT_EQ(refusal(with("grey.tif", 1, pictures::grey(), as_is)), "");
}

TEST_F(Hostile, AnUnboundTransparencyIsIgnoredAndSaid) {
  auto spec = pictures::spec_of(width, height, 4, OIIO::TypeUInt16, pictures::srgb());
  spec.attribute("oiio:UnassociatedAlpha", 1);
  const auto codes = pictures::noise(values / 3 * 4, 3);
  ASSERT_TRUE(pictures::write(folder / "a.tif", spec, codes));
  auto photograph = Photograph::open(folder / "a.tif");
  ASSERT_TRUE(photograph) << photograph.error().text();
  CodedRows rows;
  ASSERT_TRUE((*photograph)->read(0, height, rows));
  for (std::size_t i = 0; i < values / 3; ++i)
    for (std::size_t c = 0; c < 3; ++c) ASSERT_EQ(rows.u16[3 * i + c], codes[4 * i + c]);
  bool said = false;
  for (const auto& warning : (*photograph)->facts().warnings)
    said = said || warning.find("transparency") != std::string::npos;
  EXPECT_TRUE(said);
}

TEST_F(Hostile, SeveralPagesAreRefusedAThumbnailIsIgnored) {
  for (const int second : {width, width / 4}) {
    const std::string path = folder / ("pages-" + std::to_string(second) + ".tif");
    const auto first = pictures::spec_of(width, height, 3, OIIO::TypeUInt16, pictures::srgb());
    const auto other =
        pictures::spec_of(second, height * second / width, 3, OIIO::TypeUInt16, pictures::srgb());
    auto out = OIIO::ImageOutput::create(path);
    const auto codes = pictures::noise(values, 4);
    ASSERT_TRUE(out->open(path, first));
    ASSERT_TRUE(out->write_image(OIIO::TypeUInt16, codes.data()));
    ASSERT_TRUE(out->open(path, other, OIIO::ImageOutput::AppendSubimage));
    ASSERT_TRUE(out->write_image(OIIO::TypeUInt16, codes.data()));
    ASSERT_TRUE(out->close());
    if (second == width)
      expect_refused(path, "holds 2 pictures");
    else
      EXPECT_EQ(refusal(path), "");
    auto named = Photograph::open(path, {"", 2});
    ASSERT_TRUE(named) << named.error().text();
    EXPECT_EQ((*named)->size().width, second);
    EXPECT_EQ((*named)->facts().page, 2);
    CodedRows rows;
    ASSERT_TRUE((*named)->read(0, 1, rows));
    EXPECT_TRUE(std::equal(rows.u16.begin(), rows.u16.end(), codes.begin()));
    EXPECT_NE(refusal(path, {"", 3}).find("no page 3"), std::string::npos);
  }
}

TEST_F(Hostile, WhatIsNoPictureSaysSo) {
  ASSERT_TRUE(write_file(folder / "text.tif", "Kestrel Bay, 1894"));
  expect_refused(folder / "text.tif", "expected a TIFF");
  ASSERT_TRUE(write_file(folder / "empty.tif", ""));
  expect_refused(folder / "empty.tif", "expected a TIFF");
  expect_refused(folder / "absent.tif", "cannot open");
  expect_refused(folder.path, "folder");
  const std::string path = good("a.tif");
  EXPECT_NE(refusal(path, {folder / "text.tif", 0}).find("ICC profile"), std::string::npos);
}

TEST_F(Hostile, MasksOfAnotherSizeOrWithoutAnInsideAreRefused) {
  const std::string path = good("a.png");
  EXPECT_FALSE(read_mask(path, "loss", {width + 1, height}));
  EXPECT_FALSE(read_mask(folder / "absent.png", "loss", {width, height}));
  ASSERT_TRUE(pictures::write(folder / "black.png",
                              pictures::spec_of(width, height, 1, OIIO::TypeUInt8, ""),
                              std::vector<std::uint8_t>(values / 3)));
  EXPECT_FALSE(read_mask(folder / "black.png", "loss", {width, height}));
  EXPECT_TRUE(read_mask(path, "loss", {width, height}));
}

// A picture that is not finished leaves nothing, neither its name nor a temporary file.
TEST_F(Hostile, NothingHalfWrittenStays) {
  {
    auto writer = PictureWriter::create(folder / "out.tif", {width, height}, 3, false, {});
    ASSERT_TRUE(writer);
    const auto codes = pictures::noise(values, 1);
    ASSERT_TRUE((*writer)->rows(codes.data(), height / 2));
  }
  EXPECT_EQ(folder.files(), 0u);
  EXPECT_FALSE(PictureWriter::create("/nowhere/out.tif", {width, height}, 3, false, {}));
  EXPECT_FALSE(PictureWriter::create(folder / "out.gif", {width, height}, 3, false, {}));
  EXPECT_EQ(folder.files(), 0u);
}

TEST_F(Hostile, WhatIsWrittenIsReadBackBitForBit) {
  Picture picture({width, height}, {0, 0, 0});
  picture.rgb = pictures::noise(values, 5);
  for (const char* name : {"out.tif", "out.png"}) {
    ASSERT_TRUE(write_picture(folder / name, picture, {srgb_profile(), 12.0, "a test"}));
    auto back = Photograph::open(folder / name);
    ASSERT_TRUE(back) << back.error().text();
    ASSERT_TRUE((*back)->facts().pixels_per_mm) << name;
    EXPECT_NEAR(*(*back)->facts().pixels_per_mm, 12, 0.02)
        << name;  // PNG keeps whole pixels a metre
    CodedRows rows;
    ASSERT_TRUE((*back)->read(0, height, rows));
    EXPECT_EQ(rows.u16, picture.rgb) << name;
  }
}

}  // namespace
}  // namespace mendtone::hostile_pictures_test
