#include <algorithm>
#include <filesystem>
#include <fstream>
#include <set>

#include "bench/calls.hpp"
#include "mendtone/adapters/icc.hpp"
#include "mendtone/adapters/picture_file.hpp"

namespace mendtone::bench {
namespace {

namespace fs = std::filesystem;

std::string bytes_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

/// Left half dark, right half light; with or without a profile.
std::string picture(const std::string& path, ImageSize size, bool profile = true) {
  Picture made(size, {9000, 9000, 9000});
  for (int y = 0; y < size.height; ++y)
    for (int x = size.width / 2; x < size.width; ++x)
      std::fill_n(made.at(x, y), 3, std::uint16_t{50000});
  PictureTags tags;
  if (profile) tags.profile = srgb_profile();
  tags.pixels_per_mm = 10;
  EXPECT_TRUE(write_picture(path, made, tags));
  return bytes_of(path);
}

/// Width and height of a PNG. Ref: png (IHDR, bytes 16 to 23)
ImageSize png_size(const std::string& png) {
  const auto number = [&](std::size_t at) {
    int value = 0;
    for (std::size_t i = 0; i < 4; ++i)
      value = value << 8 | static_cast<unsigned char>(png[at + i]);
    return value;
  };
  return {number(16), number(20)};
}

class BenchPhotographs : public ::testing::Test {
 protected:
  Scratch scratch;
  Calls bench{scratch / "a.record"};

  void SetUp() override { bench.keep("sheet", {{"name", "chart"}}); }

  Reply bring(const std::string& bytes, const std::string& name, const std::string& more = {}) {
    return bench.call("PUT", "/api/photograph?sheet=chart&by=K&name=" + name + more, bytes);
  }
  std::set<std::string> files() {
    std::set<std::string> names;
    std::error_code none;
    for (const auto& entry : fs::directory_iterator(scratch / "a.record.photographs", none))
      if (entry.is_regular_file()) names.insert(entry.path().filename().string());
    return names;
  }
};

TEST_F(BenchPhotographs, APhotographIsKeptBesideTheRecordAndShownInTiles) {
  for (const char* name : {"before.tif", "before.png"}) {
    const Reply kept = bring(picture(scratch / name, {700, 300}), name);
    ASSERT_EQ(kept.status, 200) << kept.body;
    const std::string path =
        "/api/photograph/" + std::to_string(Json::parse(kept.body)["id"].get<int>());
    const Json facts = bench.get(path);
    EXPECT_EQ(facts["width"], 700);
    EXPECT_EQ(facts["levels"], 3);
    EXPECT_NEAR(facts["mm_per_px"].get<double>(), 0.1, 1e-4);
    EXPECT_EQ(png_size(bench.call("GET", path + "/tile/0/0/0").body), (ImageSize{256, 256}));
    EXPECT_EQ(png_size(bench.call("GET", path + "/tile/0/2/1").body), (ImageSize{188, 44}));
    EXPECT_EQ(png_size(bench.call("GET", path + "/tile/2/0/0").body), (ImageSize{175, 75}));
    for (const char* none : {"/tile/3/0/0", "/tile/0/3/0", "/tile/0/0/2", "/tile/99999999999/0/0"})
      EXPECT_EQ(bench.call("GET", path + none).status, 400) << none;
  }
}

TEST_F(BenchPhotographs, WhatIsNoMeasurablePhotographIsRefusedWithTheReasonAndLeavesNothing) {
  EXPECT_EQ(bring(picture(scratch / "plain.tif", {40, 40}, false), "plain.tif").status, 400);
  EXPECT_EQ(bring("not a picture", "x.tif").status, 400);
  EXPECT_EQ(bring("", "x.png").status, 400);
  const std::string whole = picture(scratch / "whole.png", {400, 400});
  for (const char* name : {"x.gif", "x", ".tif", "a%2Fb.tif", "..%2Fx.tif"})
    EXPECT_EQ(bring(whole, name).status, 400) << name;
  EXPECT_EQ(bench.call("PUT", "/api/photograph?sheet=none&by=K&name=a.png", whole).status, 400);
  EXPECT_EQ(bench.call("PUT", "/api/photograph?sheet=chart&name=a.png", whole).status, 400);
  EXPECT_TRUE(files().empty()) << *files().begin();
  const Reply refused = bring("not a picture", "x.tif");
  EXPECT_EQ(refused.body.find(".arriving-"), std::string::npos) << refused.body;
}

TEST_F(BenchPhotographs, AnUploadThatIsGivenUpLeavesNothing) {
  const std::string whole = picture(scratch / "whole.png", {400, 400});
  const Asked asked{Call::photograph_put,
                    {},
                    {{"name", "a.png"}, {"sheet", "chart"}, {"by", "K"}},
                    BodyWay::disk,
                    whole.size()};
  {
    auto to = incoming(bench.desk, asked);
    ASSERT_TRUE(to);
    EXPECT_TRUE((*to)->piece(whole.data(), 100));
    EXPECT_EQ(files().size(), 1u);
  }
  EXPECT_TRUE(files().empty());
}

TEST_F(BenchPhotographs, WhatAKilledProgramLeftIsSweptAwayAndWhatArrivesIsNot) {
  const std::string whole = picture(scratch / "whole.png", {400, 400});
  fs::create_directories(scratch / "a.record.photographs");
  std::ofstream(scratch / "a.record.photographs/.arriving-killed.png") << "half";
  const Asked asked{Call::photograph_put,
                    {},
                    {{"name", "a.png"}, {"sheet", "chart"}, {"by", "K"}},
                    BodyWay::disk,
                    whole.size()};
  auto to = incoming(bench.desk, asked);
  ASSERT_TRUE(to);
  sweep_arriving(bench.desk);
  EXPECT_EQ(files().size(), 1u);
  EXPECT_TRUE((*to)->piece(whole.data(), whole.size()));
  EXPECT_EQ((*to)->finish().status, 200);
}

TEST_F(BenchPhotographs, AMaskNeedsNoProfileButAnInside) {
  const Reply kept =
      bring(picture(scratch / "mask.png", {40, 30}, false), "mask.png", "&stage=mask");
  ASSERT_EQ(kept.status, 200) << kept.body;
  EXPECT_EQ(bench.get("/api/photograph/1")["width"], 40);
  EXPECT_EQ(bench.call("GET", "/api/photograph/1/tile/0/0/0").status, 400);
  const std::string black = scratch / "black.png";
  ASSERT_TRUE(write_picture(black, Picture({9, 9}, {0, 0, 0}), {}));
  EXPECT_EQ(bring(bytes_of(black), "black.png", "&stage=mask").status, 400);
}

TEST_F(BenchPhotographs, TheSameBytesTwiceAreOneFileAndANameThatIsTakenIsRefused) {
  const std::string whole = picture(scratch / "whole.png", {40, 40});
  EXPECT_EQ(bring(whole, "a.png").status, 200);
  EXPECT_EQ(bring(whole, "a.png").status, 400);
  EXPECT_EQ(files().size(), 1u);
  EXPECT_EQ(bring(whole, "a.png", "&called=again").status, 200);
  EXPECT_EQ(files().size(), 1u);
  EXPECT_EQ(bench.get("/api/photograph/2")["name"], "again");
}

TEST_F(BenchPhotographs, AFileThatWasChangedIsNotShownAsIfItWereTheOld) {
  ASSERT_EQ(bring(picture(scratch / "whole.tif", {400, 400}), "a.tif").status, 200);
  std::ofstream(scratch / "a.record.photographs" + ("/" + *files().begin()), std::ios::app) << "x";
  EXPECT_EQ(bench.call("GET", "/api/photograph/1/tile/1/0/0").status, 400);
}

TEST_F(BenchPhotographs, ACorrectionKeepsItsPathAndHash) {
  ASSERT_EQ(bring(picture(scratch / "whole.png", {40, 40}), "a.png").status, 200);
  Json row = bench.get("/api/history?kind=photograph&thing=%231")["things"][0]["columns"];
  row["note"] = "the lamps were warm";
  const Json correction{
      {"kind", "photograph"}, {"thing", "#1"}, {"columns", row}, {"by", "K"}, {"why", "said more"}};
  EXPECT_TRUE(bench.post("/api/keep", correction)["corrected"]);
  Json other = correction;
  other["columns"]["path"] = "/etc/passwd";
  EXPECT_EQ(bench.status("/api/keep", other), 400);
  other = correction;
  other["columns"]["sha256"] = std::string(64, '0');
  EXPECT_EQ(bench.status("/api/keep", other), 400);
}

}  // namespace
}  // namespace mendtone::bench
