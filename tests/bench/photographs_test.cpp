#include <algorithm>
#include <filesystem>
#include <fstream>
#include <set>

#include "bench/calls.hpp"
#include "formats/made_pictures.hpp"
#include "mendtone/adapters/icc.hpp"
#include "mendtone/adapters/picture_file.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/app/image/fill_window.hpp"

namespace mendtone::bench::photographs_test {
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
  for (const char* name : {".tif", "a%2Fb.tif", "..%2Fx.tif"})
    EXPECT_EQ(bring(whole, name).status, 400) << name;
  EXPECT_EQ(bench.call("PUT", "/api/photograph?sheet=none&by=K&name=a.png", whole).status, 400);
  EXPECT_EQ(bench.call("PUT", "/api/photograph?sheet=chart&name=a.png", whole).status, 400);
  EXPECT_TRUE(files().empty()) << *files().begin();
  const Reply refused = bring("not a picture", "x.tif");
  EXPECT_EQ(refused.body.find(".arriving-"), std::string::npos) << refused.body;
}

/// A PNG that says it is sRGB and holds no profile: shown with that mark, and never measured.
TEST_F(BenchPhotographs, WhatOnlySaysThatItIsSrgbIsShownAndNotMeasured) {
  Picture made({300, 200}, {9000, 30000, 50000});
  PictureTags tags;
  tags.srgb = true;
  ASSERT_TRUE(write_picture(scratch / "says.png", made, tags));
  tags = {};
  tags.profile = srgb_profile();
  ASSERT_TRUE(write_picture(scratch / "holds.png", made, tags));
  const Reply kept = bring(bytes_of(scratch / "says.png"), "says.png");
  ASSERT_EQ(kept.status, 200) << kept.body;
  ASSERT_EQ(bring(bytes_of(scratch / "holds.png"), "holds.png").status, 200);
  const std::string mark = bench.get("/api/photograph/1")["mark"];
  EXPECT_NE(mark.find("for looking, not for measuring"), std::string::npos) << mark;
  EXPECT_FALSE(bench.get("/api/photograph/2").contains("mark"));
  EXPECT_EQ(bench.call("GET", "/api/photograph/1/tile/0/0/0").body,
            bench.call("GET", "/api/photograph/2/tile/0/0/0").body);
  for (const int photograph : {1, 2}) {
    const Json parameters{{"photo", {{"file", "#" + std::to_string(photograph)}}},
                          {"regions", {"rect:0,0,100,100"}}};
    const auto tone = app::compute("image-tone", parameters.dump(), bench.desk.place());
    ASSERT_EQ(bool(tone), photograph == 2);
    if (tone) continue;
    EXPECT_EQ(tone.error().code, ErrorCode::bad_input);
    EXPECT_NE(tone.error().message.find("not for measuring"), std::string::npos)
        << tone.error().text();
  }
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
  const std::string folder = scratch / "a.record.photographs";
  fs::create_directories(folder + "/.tiles");
  const std::set<std::string> left_over = {"/.arriving-killed", "/change-1-2-de00.png.a1b2c3.png",
                                           "/.tiles/0123.levels.a1b2c3"};
  const std::set<std::string> in_use = {"/change-1-2-de00.png", "/.tiles/0123.levels"};
  for (const auto& names : {left_over, in_use})
    for (const std::string& name : names) std::ofstream(folder + name) << "half";
  const Asked asked{Call::photograph_put,
                    {},
                    {{"name", "a.png"}, {"sheet", "chart"}, {"by", "K"}},
                    BodyWay::disk,
                    whole.size()};
  auto to = incoming(bench.desk, asked);
  ASSERT_TRUE(to);
  sweep_left_over(bench.desk);
  for (const std::string& name : left_over) EXPECT_FALSE(fs::exists(folder + name)) << name;
  for (const std::string& name : in_use) EXPECT_TRUE(fs::exists(folder + name)) << name;
  EXPECT_EQ(files().size(), 2u);
  EXPECT_TRUE((*to)->piece(whole.data(), whole.size()));
  EXPECT_EQ((*to)->finish().status, 200);
}

TEST_F(BenchPhotographs, AMaskNeedsNoProfileButAnInside) {
  const Reply kept =
      bring(picture(scratch / "mask.png", {40, 30}, false), "mask.png", "&stage=mask");
  ASSERT_EQ(kept.status, 200) << kept.body;
  EXPECT_EQ(bench.get("/api/photograph/1")["width"], 40);
  // The right half is white: its corners, to within a pixel.
  const std::string outline = bench.get("/api/photograph/1")["outline"];
  EXPECT_EQ(std::count(outline.begin(), outline.end(), ','), 4) << outline;
  EXPECT_EQ(outline.substr(0, 3), "20,") << outline;
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

// What it is, its bytes say; what it is called is kept in the record alone.
TEST_F(BenchPhotographs, AFileIsKeptUnderItsHashWhateverItIsCalled) {
  const std::string whole = picture(scratch / "whole.png", {40, 40});
  int number = 0;
  for (const char* name :
       {"is%20it%20foxed%3F.png", "m.null%3FRES%3D64x64%26x%3D.png", "x.gif", "x"}) {
    const Reply kept = bring(whole, name);
    ASSERT_EQ(kept.status, 200) << name << kept.body;
    EXPECT_EQ(bench.get("/api/photograph/" + std::to_string(++number))["width"], 40) << name;
  }
  EXPECT_EQ(bench.get("/api/photograph/1")["name"], "is it foxed?.png");
  EXPECT_EQ(files(), std::set<std::string>{sha256(whole) + ".png"});
}

// Kinds of picture that nobody may bring, as masks and as photographs; half of one; claims.
TEST_F(BenchPhotographs, WhatPassesNoGateIsNotKept) {
  const std::string tiff = picture(scratch / "whole.tif", {400, 400});
  for (const char* stage : {"", "&stage=mask"})
    for (const std::string& bytes :
         {made::icon(), made::sgi(), made::dds(), made::png(20000, 20000),
          made::jpeg(20000, 20000, 0xc2), made::tiff(60, 40).substr(0, 1000),
          tiff.substr(0, tiff.size() / 2)}) {
      const Reply refused = bring(bytes, "a.png", stage);
      EXPECT_EQ(refused.status, 400) << refused.body;
      EXPECT_NE(refused.body.find("a.png"), std::string::npos) << refused.body;
    }
  EXPECT_TRUE(files().empty()) << *files().begin();
  // Whole in its head and its directory, and short of its last rows.
  std::string uncompressed;
  {
    PictureTags tags{srgb_profile(), 10.0, {}, PictureTags::Packing::none};
    ASSERT_TRUE(
        write_picture(scratch / "plain.tif", Picture({300, 300}, {9000, 9000, 9000}), tags));
    uncompressed = bytes_of(scratch / "plain.tif");
  }
  EXPECT_EQ(bring(uncompressed, "plain.tif").status, 200);
  // A strip's place beyond the end of the file: its rows are not there.
  std::string hollow = uncompressed;
  const std::size_t strips = hollow.find(made::number(273, 2, false) + made::number(4, 2, false));
  ASSERT_NE(strips, std::string::npos);
  const auto list = static_cast<unsigned char>(hollow[strips + 8]) |
                    static_cast<unsigned char>(hollow[strips + 9]) << 8 |
                    static_cast<unsigned char>(hollow[strips + 10]) << 16;
  hollow.replace(static_cast<std::size_t>(list) + 16, 4, made::number(hollow.size() + 5, 4, false));
  EXPECT_EQ(bring(hollow, "hollow.tif").status, 400);
  EXPECT_EQ(files().size(), 1u);
}

TEST_F(BenchPhotographs, WhatLiesThereIsNotBelieved) {
  const std::string whole = picture(scratch / "whole.png", {40, 40});
  ASSERT_EQ(bring(whole, "a.png").status, 200);
  const std::string kept = scratch / "a.record.photographs" + ("/" + *files().begin());
  // Damaged, and brought again: put right, not taken for what it was.
  std::ofstream(kept, std::ios::app) << "x";
  ASSERT_EQ(bring(whole, "a.png", "&called=again").status, 200);
  EXPECT_EQ(bytes_of(kept), whole);
  // A refused entry does not take the copy away that the record knows.
  std::ofstream(kept, std::ios::app) << "x";
  EXPECT_EQ(bring(whole, "a.png", "&called=again").status, 400);
  EXPECT_EQ(bytes_of(kept), whole);
  // A link that waits under the final name is replaced, and what it leads to is not touched.
  const std::string elsewhere = scratch / "elsewhere";
  for (const bool same_bytes : {false, true}) {
    std::ofstream(elsewhere, std::ios::binary) << (same_bytes ? whole : "something of hers");
    fs::remove(kept);
    fs::create_symlink(elsewhere, kept);
    const std::string called = same_bytes ? "&called=third" : "&called=fourth";
    ASSERT_EQ(bring(whole, "a.png", called).status, 200);
    EXPECT_FALSE(fs::is_symlink(kept));
    EXPECT_EQ(bytes_of(kept), whole);
    EXPECT_EQ(bytes_of(elsewhere), same_bytes ? whole : "something of hers");
  }
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

/// L* of the window's pixel that holds this pixel of the photograph.
float L_at(const app::FillWindow& window, int x, int y) {
  const int wx = (x - window.place.x0) / window.factor, wy = (y - window.place.y0) / window.factor;
  return window.picture.lab.L[static_cast<std::size_t>(wy * window.picture.size.width + wx)];
}

TEST_F(BenchPhotographs, AFillIsPaintedInsideTheLossAndNowhereElse) {
  ASSERT_EQ(bring(picture(scratch / "whole.tif", {800, 400}), "a.tif").status, 200);
  app::FillWindowRequest request;
  request.photo.file = "#1";
  // Two polygons, one in the other: what lies in both is no loss.
  request.loss = "500,100 600,100 600,200 500,200; 530,130 570,130 570,170 530,170";
  const auto before = app::fill_window(request, bench.desk.place());
  ASSERT_TRUE(before) << before.error().text();
  EXPECT_EQ(before->factor, 1);
  request.lab = Lab{40, 0, 0};
  const auto after = app::fill_window(request, bench.desk.place());
  ASSERT_TRUE(after) << after.error().text();
  EXPECT_EQ(after->picture.size, before->picture.size);
  EXPECT_NEAR(L_at(*after, 515, 150), 40, 0.05);
  EXPECT_EQ(L_at(*after, 550, 150), L_at(*before, 550, 150));
  EXPECT_EQ(L_at(*after, 480, 150), L_at(*before, 480, 150));
  // Painted as its difference from the sheet, onto the photograph's own tone.
  request.sheet_lab = Lab{45, 0, 0};
  const auto nearer = app::fill_window(request, bench.desk.place());
  ASSERT_TRUE(nearer) << nearer.error().text();
  EXPECT_NEAR(L_at(*nearer, 515, 150), L_at(*before, 515, 150) - 5, 0.05);
  request.most_px = 100;
  EXPECT_GT(app::fill_window(request, bench.desk.place())->factor, 1);
  for (const char* loss : {"", "1,1", "1,1 2,2", "a b", "500,100 500,100 500,100", "/etc/passwd",
                           "900,100 990,100 990,190"}) {
    request.loss = loss;
    EXPECT_FALSE(app::fill_window(request, bench.desk.place())) << loss;
  }
}

TEST_F(BenchPhotographs, TheFillsPictureIsAPng) {
  ASSERT_EQ(bring(picture(scratch / "whole.tif", {800, 400}), "a.tif").status, 200);
  const Json ask{
      {"photograph", 1}, {"mask", "500,100 600,100 600,200 500,200"}, {"lab", {70, 0, 9}}};
  EXPECT_EQ(png_size(bench.call("POST", "/api/fill-picture", ask.dump()).body),
            (ImageSize{200, 200}));
  EXPECT_EQ(png_size(bench.call("POST", "/api/fill-picture?before=1", ask.dump()).body),
            (ImageSize{200, 200}));
  for (const char* part : {"photograph", "mask", "lab"}) {
    Json less = ask;
    less.erase(part);
    EXPECT_EQ(bench.status("/api/fill-picture", less), 400) << part;
  }
}

/// The page has a place for what `image preview` says of the same fill, and says it where it is so.
TEST_F(BenchPhotographs, AFillBesidePaperOfAnotherToneIsSaidWithItsPicture) {
  ASSERT_EQ(bring(picture(scratch / "whole.tif", {800, 400}), "a.tif").status, 200);
  app::FillWindowRequest request;
  request.photo.file = "#1";
  request.loss = "500,100 600,100 600,200 500,200";
  const auto before = app::fill_window(request, bench.desk.place());
  ASSERT_TRUE(before) << before.error().text();
  Json ask{{"photograph", 1}, {"mask", request.loss}, {"lab", {70, 0, 9}}};
  const auto warnings = [&](double L) {
    ask["sheet_lab"] = {L, 0, 0};
    const Reply reply = bench.call("POST", "/api/fill-picture", ask.dump());
    EXPECT_EQ(png_size(reply.body), (ImageSize{200, 200}));
    return reply.warnings;
  };
  const double L = L_at(*before, 650, 150);
  EXPECT_TRUE(warnings(L).empty()) << warnings(L).front();
  const auto said = warnings(L - 40);
  ASSERT_EQ(said.size(), 1u);
  EXPECT_NE(said.front().find("DeltaE00 from the sheet's read tone"), std::string::npos)
      << said.front();
}

TEST_F(BenchPhotographs, AChangeIsMappedForThePage) {
  ASSERT_EQ(bring(picture(scratch / "one.tif", {200, 100}), "one.tif").status, 200);
  ASSERT_EQ(bring(picture(scratch / "two.tif", {200, 100}), "two.tif").status, 200);
  EXPECT_EQ(bench.call("GET", "/api/map/1/2/de00").status, 404);
  const Json job = bench.job("image-change", {{"before", 1}, {"after", 2}, {"align", "none"}},
                             "&keep=change&by=K");
  ASSERT_EQ(job["state"], "done") << job.dump();
  const Json kept = bench.get("/api/result/" + job["result"]["kept_id"].dump());
  EXPECT_EQ(kept["parameters"]["before"]["file"], "chart/one.tif");
  for (const Json& address : job["result"]["result"]["pictures"])
    EXPECT_EQ(bench.call("GET", "/" + address.get<std::string>()).type, "image/png") << address;
  EXPECT_EQ(bench.call("GET", "/api/map/1/2/nothing").status, 404);
}

TEST_F(BenchPhotographs, APassOverAPhotographCanBeEndedInTheMiddle) {
  ASSERT_EQ(bring(picture(scratch / "whole.tif", {300, 900}), "a.tif").status, 200);
  app::InputPlace place = bench.desk.place();
  int asked = 0;
  place.going = [&](double done) -> Result<void> {
    EXPECT_GE(done, 0);
    EXPECT_LT(done, 1);
    return ++asked < 3 ? Result<void>() : bad_request("cancelled");
  };
  const Json parameters{{"photo", {{"file", "#1"}}}, {"regions", {"rect:160,0,100,900"}}};
  const auto ended = app::compute("image-tone", parameters.dump(), place);
  ASSERT_FALSE(ended);
  EXPECT_EQ(ended.error().message, "cancelled");
  EXPECT_EQ(asked, 3);
}

}  // namespace
}  // namespace mendtone::bench::photographs_test
