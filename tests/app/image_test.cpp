#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "app/image_scene.hpp"
#include "mendtone/app/image/image_change.hpp"
#include "mendtone/app/image/image_check.hpp"
#include "mendtone/app/image/image_preview.hpp"
#include "mendtone/app/image/image_tone.hpp"
#include "mendtone/app/tissue/tissue.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/results/walk.hpp"

namespace mendtone::app::image_test {
namespace {

using namespace mendtone::test;
using Json = nlohmann::json;

class ImageVerbs : public ImageFolder {
 protected:
  std::string sheet(const std::string& name = "sheet.tif", Lab shift = {}) const {
    return photograph(name, [&](int x, int y) {
      const Lab lab = sheet_colour(x, y);
      return Lab{lab.L + shift.L, lab.a + shift.a, lab.b + shift.b};
    });
  }
  template <class Answer>
  static void expect_refused(const Result<Answer>& answer, const std::string& words) {
    ASSERT_FALSE(answer);
    EXPECT_NE(answer.error().text().find(words), std::string::npos) << answer.error().text();
  }
};

// ---- tone

TEST_F(ImageVerbs, TheGroundIsThePaperWithoutItsInk) {
  ImageToneRequest request;
  request.photo.file = sheet();
  request.losses = {scene_loss};
  const auto answer = image_tone(request);
  ASSERT_TRUE(answer) << answer.error().text();
  const results::RegionOfPaper& ground = answer->regions.at(0);
  EXPECT_EQ(ground.name, "around loss 1");
  // Noise of 0.3 over thousands of pixels leaves hundredths.
  EXPECT_LT(de00(ground.ground.median, {86, 2, 14}), 0.1);
  EXPECT_NEAR(ground.ground.share, 0.9, 0.06);
  ASSERT_FALSE(ground.left_out.empty());
  EXPECT_EQ(ground.left_out[0].kind, Foreign::Kind::ink);
  EXPECT_LT(de00(ground.tones[0].tone.lab, {86, 2, 14}), 0.3);
}

/// A grey reading of reflectance 0.5: L* 76.07 under any light.
const char* const half_grey =
    "name,role,backing,state,condition,geometry,scale,400,450,500,550,600,650,700\n"
    "loss 1,target,black,dry,M1,45/0,fraction,0.5,0.5,0.5,0.5,0.5,0.5,0.5\n"
    "another place,target,black,dry,M1,45/0,fraction,0.5,0.5,0.5,0.5,0.5,0.5,0.5\n";

/// A loss at a corner: three quarters of the ring around it lie on the slate mount board beyond the
/// sheet. The paper is found where it was read (L* 76.07), and what cannot be it is said.
TEST_F(ImageVerbs, ARingAtACornerStaysOnTheSheet) {
  const Lab paper{77, 1, 2}, board{45, -2, -9};
  ImageToneRequest request;
  request.photo.file =
      photograph("corner.tif", [&](int x, int y) { return x >= 120 && y >= 90 ? paper : board; });
  request.losses = {"loss 1=rect:110,80,30,30"};
  const auto alone = image_tone(request);
  ASSERT_TRUE(alone) << alone.error().text();
  const std::string said = to_text(*alone);
  EXPECT_NE(said.find("one of the two may lie beyond the sheet"), std::string::npos) << said;
  request.compare.files = {file("readings.csv")};
  write("readings.csv", half_grey);
  const auto guided = image_tone(request);
  ASSERT_TRUE(guided) << guided.error().text();
  EXPECT_LT(de00(guided->regions.at(0).ground.median, paper), 0.1);
  EXPECT_EQ(to_text(*guided).find("beyond the sheet"), std::string::npos) << to_text(*guided);
  // No paper of the tone that was read.
  request.photo.file = photograph("none.tif", [&](int, int) { return board; });
  const auto none = image_tone(request);
  ASSERT_TRUE(none) << none.error().text();
  const std::string warned = to_text(*none);
  EXPECT_NE(warned.find("'around loss 1': the paper around the loss in this photograph is"),
            std::string::npos)
      << warned;
}

TEST_F(ImageVerbs, AReadingIsRecomputedUnderD50BeforeItIsCompared) {
  write("readings.csv", half_grey);
  ImageToneRequest request;
  request.photo.file = photograph("grey.tif", [](int x, int y) {
    return in_loss(x, y) ? Lab{20, 0, 0} : Lab{77, 1, 0};
  });
  request.losses = {scene_loss};
  request.compare.files = {file("readings.csv")};
  const auto answer = image_tone(request);
  ASSERT_TRUE(answer) << answer.error().text();
  ASSERT_EQ(answer->comparisons.size(), 1u);
  const ReadingComparison& c = answer->comparisons[0];
  EXPECT_EQ(c.reading, "loss 1");
  EXPECT_NEAR(c.lab.L, 76.0693, 0.001);  // 116 (0.5)^(1/3) - 16
  EXPECT_NEAR(c.lab.a, 0, 0.001);
  EXPECT_NEAR(c.dL, 77 - 76.0693, 0.05);
  EXPECT_NEAR(c.da, 1, 0.05);
  EXPECT_NEAR(c.de00, de00({76.0693, 0, 0}, {77, 1, 0}), 0.05);
  EXPECT_EQ(Json::parse(results::to_json(*answer))["comparisons"][0]["reading"], "loss 1");
  EXPECT_NE(to_text(*answer).find("the photograph is"), std::string::npos);

  request.reading = "absent";
  expect_refused(image_tone(request), "'another place'");
}

TEST_F(ImageVerbs, AReadingOfLabUnderAnotherLightIsNotCompared) {
  write("d65.csv",
        "name,role,backing,L*,a*,b*,light,observer\nloss 1,target,black,86,2,14,D65,10\n");
  write("d50.csv",
        "name,role,backing,L*,a*,b*,light,observer\nloss 1,target,black,86,2,14,D50,2\n");
  ImageToneRequest request;
  request.photo.file = sheet();
  request.losses = {scene_loss};
  request.compare.files = {file("d65.csv")};
  expect_refused(image_tone(request), "D65");
  request.compare.files = {file("d50.csv")};
  const auto answer = image_tone(request);
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_LT(answer->comparisons.at(0).de00, 0.1);
}

// The readings that `image tone` keeps are a target for `tissue`, under their own light only.
TEST_F(ImageVerbs, AnImageToneIsATargetForTissue) {
  ImageToneRequest request;
  request.photo.file = sheet();
  request.losses = {scene_loss};
  request.keep_readings = file("tone.csv");
  ASSERT_TRUE(image_tone(request));
  std::string drawer =
      "name,role,backing,state,condition,geometry,scale,400,450,500,550,600,650,700\n"
      "black,backing,,dry,M1,45/0,fraction,0.04,0.04,0.04,0.04,0.04,0.04,0.04\n"
      "white,backing,,dry,M1,45/0,fraction,0.89,0.89,0.89,0.89,0.89,0.89,0.89\n";
  drawer += "kozo,tissue,black,dry,M1,45/0,fraction,0.20,0.22,0.23,0.24,0.24,0.24,0.24\n";
  drawer += "kozo,tissue,white,dry,M1,45/0,fraction,0.70,0.74,0.77,0.79,0.80,0.80,0.80\n";
  write("drawer.csv", drawer);
  TissueRequest ask;
  ask.target = "around loss 1";
  ask.tissues = {file("drawer.csv"), file("tone.csv")};
  ask.over = "white";
  ask.question.viewing = {{"D50"}, 2};
  const auto answer = tissue(ask);
  ASSERT_TRUE(answer) << answer.error().text();
  ASSERT_FALSE(answer->candidates.empty());
  EXPECT_LT(de00(answer->sheet.at(0).lab, {86, 2, 14}), 0.1);
  // Asked for another light, it still ranks under its own, and says so.
  ask.question.viewing = {{"D65"}, 10};
  const auto other = tissue(ask);
  ASSERT_TRUE(other) << other.error().text();
  EXPECT_EQ(other->observer_deg, 2);
  ASSERT_EQ(other->sheet.size(), 1u);
  EXPECT_EQ(other->sheet[0].light, "D50");
}

// ---- change

TEST_F(ImageVerbs, AnEvenChangeIsFoundWithItsSigns) {
  ImageChangeRequest request;
  request.before.file = sheet("before.tif");
  request.after.file = sheet("after.tif", {1.5, -0.5, -2});
  request.align = "none";
  request.regions = {"upper=rect:0,0,240,60"};
  request.maps = file("map");
  request.values = file("values.tif");
  const auto answer = image_change(request);
  ASSERT_TRUE(answer) << answer.error().text();
  ASSERT_EQ(answer->regions.size(), 2u);
  for (const ChangeFigures& f : answer->regions) {
    EXPECT_NEAR(f.mean_dL, 1.5, 0.03) << f.region;
    EXPECT_NEAR(f.mean_da, -0.5, 0.03) << f.region;
    EXPECT_NEAR(f.mean_db, -2, 0.03) << f.region;
  }
  EXPECT_EQ(answer->pictures.size(), 5u);
  for (const std::string& picture : answer->pictures)
    EXPECT_TRUE(std::filesystem::exists(picture)) << picture;
}

TEST_F(ImageVerbs, FiguresDoNotDependOnTheNumberOfThreads) {
  ImageChangeRequest request;
  // Several bands of rows, so that threads have something to share.
  const ImageSize tall{400, 2100};
  request.before.file = photograph("before.tif", sheet_colour, 0.5, tall);
  request.after.file = photograph(
      "after.tif",
      [](int x, int y) {
        const Lab lab = sheet_colour(x, y);
        return Lab{lab.L - 0.001 * y, lab.a, lab.b};
      },
      0.5, tall);
  request.align = "none";
  std::string figures, values;
  for (const int threads : {1, 2, 7}) {
    request.threads = threads;
    request.values = file("values.tif");
    const auto answer = image_change(request);
    ASSERT_TRUE(answer);
    // The head of the file holds the hour.
    const std::string pixels = read("values.tif").substr(4096);
    if (threads == 1) figures = results::to_json(*answer), values = pixels;
    EXPECT_EQ(results::to_json(*answer), figures) << threads;
    EXPECT_TRUE(pixels == values) << threads;
  }
}

TEST_F(ImageVerbs, BrightnessIsLeftAloneUnlessAnUnchangedAreaIsNamed) {
  ImageChangeRequest request;
  request.before.file = sheet("before.tif");
  // A tenth more light, and a stain at the lower right.
  request.after.file = photograph("after.tif", [](int x, int y) {
    Xyz t = lab_to_xyz(sheet_colour(x, y), {96.42, 100, 82.49});
    Lab lab = xyz_to_lab({1.1 * t.X, 1.1 * t.Y, 1.1 * t.Z}, {96.42, 100, 82.49});
    if (x > 180 && y > 120) lab.b += 8;
    return lab;
  });
  request.align = "none";
  request.regions = {"stain=rect:190,130,30,30", "rest=rect:0,0,240,60"};
  const auto plain = image_change(request);
  request.unchanged = "margin=rect:0,0,90,60";
  const auto levelled = image_change(request);
  ASSERT_TRUE(plain && levelled);
  EXPECT_FALSE(plain->brightness);
  EXPECT_GT(plain->regions[2].mean_dL, 2.5);
  ASSERT_TRUE(levelled->brightness);
  EXPECT_NEAR(levelled->brightness->drift.gain, 1 / 1.1, 0.001);
  EXPECT_NEAR(levelled->regions[2].mean_dL, 0, 0.05);
  // The stain was laid on the brighter picture: the cube root of the light shrinks it.
  EXPECT_NEAR(levelled->regions[1].mean_db, 8 / std::cbrt(1.1), 0.05);
  EXPECT_LT(levelled->regions[1].median_de00, 5.5);
}

TEST_F(ImageVerbs, PoorRegistrationIsRefusedWithItsResidual) {
  ImageChangeRequest request;
  request.before.file = sheet("before.tif");
  request.after.file = sheet("after.tif");
  request.align = "points";
  write("points.csv",
        "before_x,before_y,after_x,after_y\n10,10,10,10\n200,10,206,10\n10,150,10,150\n"
        "200,150,200,156\n100,80,94,80\n60,40,60,46\n");
  request.points = file("points.csv");
  request.maps = file("map");
  expect_refused(image_change(request), "residual");
  EXPECT_FALSE(exists("map-de00.png"));
  write("points.csv", "before_x,before_y,after_x,aftr_y\n10,10,10,10\n");
  expect_refused(image_change(request), "no column 'aftr_y'; is it 'after_y'?");
}

// ---- preview

TEST_F(ImageVerbs, TheFillIsPaintedAndTheRestStaysBitForBit) {
  ImagePreviewRequest request;
  request.photo.file = sheet();
  request.loss = scene_loss;
  request.lab = Lab{84, 3, 16};
  request.feather_mm = 0;
  request.overlap_mm = 0.5;
  request.overlap_shift = Lab{-2, 0, 1};
  request.out = file("preview.tif");
  const auto answer = image_preview(request);
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_EQ(answer->fills.at(0).out_of_gamut_pixels, 0u);
  const LabPixels before = colours_of(request.photo.file), after = colours_of(request.out);
  std::size_t margin = 0;
  for (int y = 0; y < scene_size.height; ++y)
    for (int x = 0; x < scene_size.width; ++x) {
      const auto i = static_cast<std::size_t>(y * scene_size.width + x);
      const Lab one{before.L[i], before.a[i], before.b[i]}, two{after.L[i], after.a[i], after.b[i]};
      if (in_loss(x, y)) {
        ASSERT_LT(de00(two, *request.lab), 0.01);
      } else if ((x >= 95 && x < 145 && y >= 70 && y < 100) ||
                 (x >= 100 && x < 140 && y >= 65 && y < 105)) {
        ASSERT_LT(de00(two, {one.L - 2, one.a, one.b + 1}), 0.01) << x << ", " << y;
        ++margin;
      } else if (x < 94 || x >= 146 || y < 64 || y >= 106) {
        ASSERT_TRUE(one.L == two.L && one.a == two.a && one.b == two.b);
      }
    }
  EXPECT_GT(margin, 500u);
}

TEST_F(ImageVerbs, AFeatheredEdgeGoesFromPaperToFill) {
  ImagePreviewRequest request;
  request.photo.file = photograph(
      "sheet.tif",
      [](int x, int y) {
        return in_loss(x, y) ? Lab{86, 2, 14} : Lab{86, 2, 14};
      },
      0);
  request.loss = scene_loss;
  request.lab = Lab{60, 2, 14};
  request.feather_mm = 0.8;
  request.out = file("preview.tif");
  ASSERT_TRUE(image_preview(request));
  const LabPixels after = colours_of(request.out);
  float last = 87;
  for (int x = 94; x < 106; ++x) {
    const float L = after.L[static_cast<std::size_t>(85 * scene_size.width + x)];
    EXPECT_LE(L, last + 0.01f) << x;
    last = L;
  }
  EXPECT_NEAR(after.L[85 * 240 + 99], 77, 6);  // half of the light at the edge
  EXPECT_NEAR(after.L[85 * 240 + 110], 60, 0.05);
}

TEST_F(ImageVerbs, ColoursThatTheProfileCannotHoldAreCounted) {
  ImagePreviewRequest request;
  request.photo.file = sheet();
  request.loss = scene_loss;
  request.lab = Lab{60, -120, 20};
  request.feather_mm = 0;
  request.out = file("preview.png");
  const auto answer = image_preview(request);
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_EQ(answer->fills[0].out_of_gamut_pixels, 1200u);
  EXPECT_NE(to_text(*answer).find("1200 of them outside"), std::string::npos);
}

TEST_F(ImageVerbs, APictureThatEndsEarlyLeavesNoPreview) {
  ImagePreviewRequest request;
  request.photo.file = sheet();
  const std::string whole = read("sheet.tif");
  write("cut.tif", whole.substr(0, whole.size() * 9 / 10));
  std::filesystem::remove(request.photo.file);
  request.photo.file = file("cut.tif");
  request.loss = scene_loss;
  request.lab = Lab{84, 3, 16};
  request.out = file("preview.tif");
  EXPECT_FALSE(image_preview(request));
  EXPECT_EQ(files(), 1u);
}

// ---- check

/// 8 x 3 patches of 30 x 60 pixels; references in CIELAB under D50, 2 degrees.
Lab patch(int index) {
  return index < 8
             ? Lab{95.0 - 10 * index, 0, 0}
             : Lab{45.0 + 4 * (index % 8), 22 * std::cos(0.4 * index), 22 * std::sin(0.4 * index)};
}

class ImageCheck : public ImageVerbs {
 protected:
  void SetUp() override {
    ImageVerbs::SetUp();
    std::string reference = "name,role,L*,a*,b*,light,observer\n",
                places = "name,x,y,width,height\n";
    for (int i = 0; i < 24; ++i) {
      const Lab lab = patch(i);
      const std::string name = "P" + std::to_string(i + 1);
      reference += name + ",target," + std::to_string(lab.L) + "," + std::to_string(lab.a) + "," +
                   std::to_string(lab.b) + ",D50,2\n";
      places += name + "," + std::to_string(i % 8 * 30 + 6) + "," +
                std::to_string(i / 8 * 60 + 12) + ",18,36\n";
    }
    write("reference.csv", reference);
    write("places.csv", places);
  }
  /// The target through a camera whose channels leak.
  std::string target(const std::string& name, double leak) const {
    return photograph(name, [leak](int x, int y) {
      const Xyz t = lab_to_xyz(patch(y / 60 * 8 + x / 30), {96.42, 100, 82.49});
      const double X = t.X / 96.42, Y = t.Y / 100, Z = t.Z / 82.49;
      return xyz_to_lab({96.42 * (X + leak * (Y - X)), t.Y, 82.49 * (Z + leak * (Y - Z))},
                        {96.42, 100, 82.49});
    });
  }
  ImageCheckRequest request(const std::string& photo) const {
    ImageCheckRequest r;
    r.photo.file = photo;
    r.reference.files = {file("reference.csv")};
    r.patches = file("places.csv");
    return r;
  }
};

bool one_helps(const ImageCheckAnswer& answer) {
  return std::any_of(answer.corrections.begin(), answer.corrections.end(),
                     [](const results::TriedCorrection& tried) { return tried.helps; });
}

TEST_F(ImageCheck, AGoodPhotographIsWithinEveryToleranceAndStillCertifiesNoMatch) {
  const auto answer = image_check(request(target("good.tif", 0)));
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_LT(answer->mean_de00, 0.1);
  EXPECT_FALSE(one_helps(*answer));
  for (const ToleranceRow& row : answer->tolerances) EXPECT_TRUE(row.within) << row.standard;
  // ISO 19264-1, FADGI and Metamorfoze limits as in the golden figures: 3 + 3 x 3 + 4 x 3 + 2 x 3 +
  // white balance of the last.
  EXPECT_EQ(answer->tolerances.size(), 28u);
  EXPECT_NE(to_text(*answer).find("None of these tolerances certifies a match"), std::string::npos);
}

TEST_F(ImageCheck, ACorrectionIsKeptWhenItHelpsAndAppliedOnlyWhenNamed) {
  auto ask = request(target("leaky.tif", 0.3));
  ask.keep_correction = file("correction.json");
  const auto answer = image_check(ask);
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_GT(answer->mean_de00, 1);
  EXPECT_TRUE(one_helps(*answer));
  ASSERT_TRUE(exists("correction.json"));
  ask.keep_correction.clear();
  ask.photo.correction = file("correction.json");
  const auto corrected = image_check(ask);
  ASSERT_TRUE(corrected) << corrected.error().text();
  EXPECT_LT(corrected->mean_de00, 0.3);
  EXPECT_EQ(corrected->photo.correction, file("correction.json"));
}

TEST_F(ImageCheck, UnlikeNamesAndWrongGridsAreRefused) {
  auto ask = request(target("good.tif", 0));
  write("places.csv", "name,x,y,width,height\nQ1,6,12,18,36\nQ2,36,12,18,36\nQ3,66,12,18,36\n");
  expect_refused(image_check(ask), "no patch 'Q1'");
  write("places.csv", "name,x,y,width,hieght\nP1,6,12,18,36\nP2,36,12,18,36\nP3,66,12,18,36\n");
  expect_refused(image_check(ask),
                 "line 1, column 5: a file of patches has no column 'hieght'; is it "
                 "'height'?");
  write("places.csv", "name,x,y,width,height\nP1,6,12,1800,36\nP2,36,12,18,36\nP3,66,12,18,36\n");
  expect_refused(image_check(ask), "line 2");
  ask.patches.clear();
  ask.corners = {0, 0, 240, 0, 240, 180, 0, 180};
  ask.columns = 5;
  ask.rows = 3;
  expect_refused(image_check(ask), "15 patches");
  ask.columns = 8;
  EXPECT_TRUE(image_check(ask));
}

}  // namespace
}  // namespace mendtone::app::image_test
