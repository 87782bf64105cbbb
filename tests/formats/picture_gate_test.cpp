#include "mendtone/formats/picture_gate.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "formats/made_pictures.hpp"
#include "fuzz/picture_gate_entry.hpp"

// Expected sizes are those that the bytes were made from (made_pictures.hpp, after the formats'
// public descriptions).
namespace mendtone::picture_gate_test {
namespace {

Result<PictureHead> head_of(const std::string& bytes) {
  return picture_head(fuzz::bytes_in(bytes), "a file");
}

std::string refusal(const std::string& bytes) {
  const auto head = head_of(bytes);
  if (head) return "taken";
  EXPECT_EQ(head.error().code, ErrorCode::bad_input);
  EXPECT_EQ(head.error().where, "a file");
  return head.error().message;
}

void expect_head(const std::string& bytes, PictureFormat format, ImageSize size, bool in_stages) {
  const auto head = head_of(bytes);
  ASSERT_TRUE(head) << head.error().text();
  EXPECT_EQ(head->format, format);
  EXPECT_EQ(head->pages, std::vector<ImageSize>{size});
  EXPECT_EQ(head->in_stages, in_stages);
}

TEST(PictureGate, ReadsTheSizeOfEveryKind) {
  expect_head(made::png(300, 200), PictureFormat::png, {300, 200}, false);
  expect_head(made::png(300, 200, true), PictureFormat::png, {300, 200}, true);
  expect_head(made::jpeg(300, 200), PictureFormat::jpeg, {300, 200}, false);
  expect_head(made::jpeg(300, 200, 0xc1), PictureFormat::jpeg, {300, 200}, false);
  expect_head(made::jpeg(300, 200, 0xc2), PictureFormat::jpeg, {300, 200}, true);
  // A baseline JPEG whose colours come one after the other is built up in memory too.
  expect_head(made::jpeg(300, 200, 0xc0, 3, 1), PictureFormat::jpeg, {300, 200}, true);
  for (const bool big : {false, true})
    for (const bool big_endian : {false, true})
      expect_head(made::tiff(300, 200, big, big_endian), PictureFormat::tiff, {300, 200}, false);
  expect_head(made::exr(300, 200), PictureFormat::openexr, {300, 200}, false);
  expect_head(made::exr(300, 200, 0x1002), PictureFormat::openexr, {300, 200}, false);
}

// The chunk stands between IHDR and IDAT and holds one byte, the rendering intent. Ref: png
TEST(PictureGate, APngMaySayThatItIsSrgb) {
  const std::string plain = made::png(30, 20);
  const std::size_t pixels = plain.find("IDAT") - 4;
  const auto says = [&](const std::string& chunks, std::size_t place) {
    return head_of(std::string(plain).insert(place, chunks)).value().says_srgb;
  };
  const std::string chunk = made::chunk("sRGB", std::string(1, '\0'));
  EXPECT_FALSE(says("", pixels));
  EXPECT_TRUE(says(chunk, pixels));
  EXPECT_TRUE(says(made::chunk("tEXt", std::string(9000, 'x')) + chunk, pixels));
  EXPECT_FALSE(says(chunk, plain.find("IEND") - 4)) << "behind the pixels it says nothing";
  EXPECT_FALSE(says(made::chunk("sRGB", "ab"), pixels)) << "of another length";
  EXPECT_FALSE(says(made::chunk("tEXt", "sRGB"), pixels)) << "within another chunk";
}

TEST(PictureGate, TwoHundredMegapixelsAndSixtyInStages) {
  // 20,000 x 10,000 is 200 megapixels; 10,000 x 6,000 is 60.
  for (const std::string& bytes :
       {made::png(20000, 10000, false, false), made::jpeg(20000, 10000),
        made::tiff(20000, 10000, false, false, false), made::exr(20000, 10000),
        made::png(10000, 6000, true, false), made::jpeg(10000, 6000, 0xc2)})
    EXPECT_EQ(refusal(bytes), "taken");
  for (const std::string& bytes :
       {made::png(20000, 10001, false, false), made::jpeg(20000, 10001),
        made::tiff(20000, 10001, false, false, false), made::exr(20000, 10001),
        made::png(10000, 6001, true, false), made::jpeg(10000, 6001, 0xc2),
        made::jpeg(10000, 6001, 0xc0, 3, 1)}) {
    const std::string said = refusal(bytes);
    EXPECT_NE(said.find("at most 200 megapixels are read, and 60 of a progressive JPEG or an "
                        "interlaced PNG"),
              std::string::npos)
        << said;
  }
}

// 20,000 x 20,000 pixels, which took 10 GB and 2.4 GB in a library.
TEST(PictureGate, TheLargeOnesAreRefusedByTheirSize) {
  const std::string plain = made::png(20000, 20000), progressive = made::jpeg(20000, 20000, 0xc2);
  EXPECT_LT(plain.size(), 100000u);
  EXPECT_LT(progressive.size(), 1300u);
  EXPECT_NE(refusal(plain).find("20000 x 20000 pixels (400 megapixels)"), std::string::npos);
  EXPECT_NE(refusal(progressive).find("20000 x 20000"), std::string::npos);
  EXPECT_NE(refusal(made::png(0xffffffff, 0xffffffff, false, false)).find("million"),
            std::string::npos);
  EXPECT_NE(refusal(made::png(300000, 1, false, false)).find("250000"), std::string::npos);
}

TEST(PictureGate, OtherKindsOfPictureAreRefusedWhateverTheyAreCalled) {
  EXPECT_EQ(made::icon().size(), 80u);
  for (const std::string& bytes :
       {made::icon(), made::sgi(), made::dds(), std::string("GIF89a\1\0\1\0"),
        std::string("m.null?RES=20000x20000"), std::string("<svg/>"), std::string("BM")})
    EXPECT_EQ(refusal(bytes),
              "expected a TIFF, PNG, JPEG or OpenEXR picture, found another kind of file");
  EXPECT_NE(refusal("").find("an empty file"), std::string::npos);
}

TEST(PictureGate, WhatContradictsItselfIsRefused) {
  EXPECT_NE(refusal(made::png(0, 12, false, false)).find("0 x 12 pixels cannot be"),
            std::string::npos);
  EXPECT_NE(refusal(made::jpeg(0, 12)).find("cannot be"), std::string::npos);
  EXPECT_NE(refusal(made::exr(0, 12)).find("cannot be"), std::string::npos);
  EXPECT_NE(refusal(made::exr(12, 12, 0x802)).find("depths"), std::string::npos);
  for (const int rare : {0xc3, 0xc5, 0xc9, 0xca, 0xcf})
    EXPECT_NE(refusal(made::jpeg(12, 12, rare)).find("rare way"), std::string::npos) << rare;
  EXPECT_NE(refusal(made::tiff(12, 12, false, false, true, 17)).find("found 17"),
            std::string::npos);
  // A JPEG that says its size a second time: a library might take the other one.
  const std::string jpeg = made::jpeg(300, 200);
  const std::size_t frame = jpeg.find("\xff\xc0");
  std::string twice = jpeg;
  twice.insert(frame, jpeg.substr(frame, 19));
  EXPECT_NE(refusal(twice).find("twice"), std::string::npos);
  // A TIFF whose second entry is its first one again.
  std::string tiff = made::tiff(12, 12);
  const std::size_t directory = 8 + 144;
  for (std::size_t i = 0; i < 12; ++i) tiff[directory + 2 + 12 + i] = tiff[directory + 2 + i];
  EXPECT_NE(refusal(tiff).find("once"), std::string::npos);
}

// Every page counts, not only the first; a chain of pages that leads back ends there.
TEST(PictureGate, EveryPageOfATiffPasses) {
  const std::string first = made::tiff(12, 12);
  const auto with_second = [&](std::uint32_t width, std::uint32_t height) {
    // The second directory behind the first, whose link (its last four bytes) leads to it.
    const std::string second = made::tiff(width, height, false, false, false);
    return first.substr(0, first.size() - 4) + made::number(first.size(), 4, false) +
           second.substr(8);
  };
  const auto pair = head_of(with_second(40, 30));
  ASSERT_TRUE(pair) << pair.error().text();
  EXPECT_EQ(pair->pages, (std::vector<ImageSize>{{12, 12}, {40, 30}}));
  EXPECT_NE(refusal(with_second(20000, 20000)).find("400 megapixels"), std::string::npos);
  std::string round = first;
  round.replace(round.size() - 4, 4, made::number(8 + 144, 4, false));
  EXPECT_EQ(refusal(round), "taken");
}

TEST(PictureGate, AFileThatBreaksOffIsRefusedWhereverItDoes) {
  for (const std::string& whole : {made::png(300, 200), made::tiff(30, 20),
                                   made::tiff(30, 20, true, true), made::exr(300, 200)}) {
    const std::size_t head = whole[0] == '\x89' ? 29 : whole.size();
    for (std::size_t n = 0; n < head; ++n) EXPECT_NE(refusal(whole.substr(0, n)), "taken") << n;
  }
  const std::string jpeg = made::jpeg(300, 200);
  for (std::size_t n = 0; n < jpeg.find("\xff\xda") + 5; ++n)
    EXPECT_NE(refusal(jpeg.substr(0, n)), "taken") << n;
}

// The corpus of pictures, and the same with bytes changed and cut off, through what the fuzzer
// runs.
TEST(PictureGate, ReplaysTheCorpus) {
  std::vector<std::string> all = {made::png(300, 200, true),
                                  made::jpeg(300, 200),
                                  made::jpeg(300, 200, 0xc2),
                                  made::tiff(30, 20),
                                  made::tiff(30, 20, true),
                                  made::exr(300, 200, 0x1002),
                                  made::icon()};
  for (const char* folder :
       {"/tests/adapters/corpus/pictures", "/tests/formats/corpus/picture_gate"})
    for (const auto& entry :
         std::filesystem::directory_iterator(std::string(MENDTONE_SOURCE_DIR) + folder)) {
      std::ifstream file(entry.path(), std::ios::binary);
      all.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
    }
  EXPECT_GE(all.size(), 60u);
  std::uint32_t state = 1894;
  const auto random = [&](std::size_t below) {
    state = state * 1664525u + 1013904223u;
    return static_cast<std::size_t>(state >> 8) % below;
  };
  for (const std::string& bytes : all) {
    fuzz::feed_picture_gate(bytes);
    for (int round = 0; round < 40 && !bytes.empty(); ++round) {
      std::string spoilt = bytes.substr(0, 1 + random(bytes.size()));
      for (int i = 0; i < 4; ++i)
        spoilt[random(std::min<std::size_t>(spoilt.size(), 2000))] = static_cast<char>(random(256));
      fuzz::feed_picture_gate(spoilt);
    }
  }
}

}  // namespace
}  // namespace mendtone::picture_gate_test
