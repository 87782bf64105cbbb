#include <gtest/gtest.h>

#include "adapters/scratch.hpp"
#include "cli/typed.hpp"
#include "mendtone/base/numbers.hpp"

// A reading that slipped moves no answer, and every answer that rests on the repeats says so; what
// nobody could tell apart stands as one group.
namespace mendtone::cli::slip_test {
namespace {

/// Flat grey spectra, 380-730 nm: "name,role,backing,grammage" and a value a row.
std::string spectra(const std::vector<std::pair<std::string, double>>& rows) {
  std::string text = "name,role,backing,grammage_g_m2,scale";
  for (int nm = 380; nm <= 730; nm += 10) text += "," + std::to_string(nm);
  text += "\n";
  for (const auto& [head, value] : rows) {
    text += head + ",fraction";
    for (int band = 0; band < 36; ++band) text += "," + shortest(value);
    text += "\n";
  }
  return text;
}

const std::vector<std::pair<std::string, double>> house{
    {"black,backing,,", 0.04},         {"white,backing,,", 0.85},
    {"light,tissue,black,8", 0.2000},  {"light,tissue,white,8", 0.8000},
    {"heavy,tissue,black,30", 0.2001}, {"heavy,tissue,white,30", 0.8001},
    {"dark,tissue,black,20", 0.10},    {"dark,tissue,white,20", 0.30}};

std::string with_sheet(std::vector<double> over_black) {
  auto rows = house;
  for (const double value : over_black) rows.push_back({"loss 1,target,black,", value});
  for (const double value : {0.640, 0.641, 0.639}) rows.push_back({"loss 1,target,white,", value});
  return spectra(rows);
}

nlohmann::json ranked(const std::string& file, const std::string& use) {
  const Typed answer = typed({"tissue", "--for", "loss 1", "--from", file, "--over", "white",
                              "--use", use, "--format", "json"});
  EXPECT_TRUE(answer.exit == done || answer.exit == no_answer) << answer.said;
  return answer.json();
}

TEST(Slips, ASlippedRepeatMovesNothingAndIsSaid) {
  const Scratch scratch;
  write_contents(scratch.file("sound.csv"), with_sheet({0.550, 0.551, 0.549}));
  write_contents(scratch.file("slipped.csv"), with_sheet({0.550, 0.551, 0.549, 0.40}));
  const auto sound = ranked(scratch.file("sound.csv"), "loss");
  const auto slipped = ranked(scratch.file("slipped.csv"), "loss");
  const double L = sound["sheet"]["by_light"]["D65"]["lab"][0],
               now = slipped["sheet"]["by_light"]["D65"]["lab"][0];
  EXPECT_NEAR(L, now, 1e-9) << "the mean is that of the sound repeats";
  EXPECT_EQ(sound["warnings"].dump().find("stands apart"), std::string::npos);
  EXPECT_NE(slipped["warnings"].dump().find("stands apart"), std::string::npos)
      << slipped["warnings"];
  const auto tone = typed({"tone", scratch.file("slipped.csv"), "--format", "json"}).json();
  bool named = false;
  for (const auto& one : tone["tones"]) named = named || !one["outliers"].empty();
  EXPECT_TRUE(named) << "tone names the same repeat";
}

TEST(Slips, ATearTakesTheLightestOfWhatNobodyCouldTellApart) {
  const Scratch scratch;
  write_contents(scratch.file("all.csv"), with_sheet({0.550, 0.551, 0.549}));
  const auto tear = ranked(scratch.file("all.csv"), "tear");
  const auto& all = tear["candidates"];
  ASSERT_GE(all.size(), 2u);
  EXPECT_GE(tear["told_apart_de00"].get<double>(), 0.3);
  for (std::size_t i = 1; i < all.size(); ++i) {
    EXPECT_LE(all[i - 1]["group"], all[i]["group"]);
    if (all[i - 1]["group"] == all[i]["group"])
      EXPECT_LE(all[i - 1]["weight_g_m2"], all[i]["weight_g_m2"]);
  }
  EXPECT_TRUE(all.front().contains("open_line_de00")) << "what shows in the open line";
  // In a loss the same two tissues, one ply, are one group, and the order is that of the score.
  const auto loss = ranked(scratch.file("all.csv"), "loss");
  int light = 0, heavy = 0;
  for (const auto& one : loss["candidates"]) {
    if (one["plies"] != 1) continue;
    if (one["tissue"] == "light") light = one["group"];
    if (one["tissue"] == "heavy") heavy = one["group"];
  }
  EXPECT_EQ(light, heavy);
  for (std::size_t i = 1; i < loss["candidates"].size(); ++i)
    EXPECT_LE(loss["candidates"][i - 1]["score"], loss["candidates"][i]["score"]);
}

/// The sheet was read over two backings; of one of them there is no reading, and it is named.
TEST(Slips, ABackingThatIsNotAmongTheFilesIsNamed) {
  const Scratch scratch;
  auto rows = house;
  rows.push_back({"loss 1,target,black,", 0.55});
  rows.push_back({"loss 1,target,mount board,", 0.64});
  write_contents(scratch.file("all.csv"), spectra(rows));
  const Typed answer = typed({"tissue", "--for", "loss 1", "--from", scratch.file("all.csv"),
                              "--over", "white", "--use", "loss"});
  const std::string all = answer.out + answer.said;
  EXPECT_NE(all.find("'mount board' is not among the files: give its reading"), std::string::npos)
      << all;
  EXPECT_EQ(all.find("only: two known backings"), std::string::npos) << all;
  // With the reading it is not said.
  rows.push_back({"mount board,backing,,", 0.85});
  write_contents(scratch.file("all.csv"), spectra(rows));
  const Typed known = typed({"tissue", "--for", "loss 1", "--from", scratch.file("all.csv"),
                             "--over", "white", "--use", "loss"});
  EXPECT_TRUE(known.exit == done || known.exit == no_answer) << known.said;
  EXPECT_EQ((known.out + known.said).find("not among the files"), std::string::npos) << known.out;
}

}  // namespace
}  // namespace mendtone::cli::slip_test
