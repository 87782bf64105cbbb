#include "mendtone/match/tissue_rank.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "match/drawer.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::tissue_rank_test {
namespace {

using namespace invented;

const std::vector<const char*> five_lights{"D65", "LED-B1", "LED-B2", "LED-B3", "A"};

Drawer filled(const std::vector<Ply>& plies) {
  Drawer drawer(bands(), 4);
  for (const Ply& one : plies) drawer.add(one);
  return drawer;
}

std::vector<RankPlace> all_places(const Sheet& bare) {
  return {place(Use::loss, Side::back, bare), place(Use::loss, Side::front, bare),
          place(Use::tear, Side::back, bare), place(Use::tear, Side::front, bare),
          place(Use::lining, Side::back, bare)};
}

class TissueRankOf : public testing::TestWithParam<LayerModel> {};
INSTANTIATE_TEST_SUITE_P(Layers, TissueRankOf,
                         testing::Values(LayerModel::two_fluxes, LayerModel::many_fluxes_45_0,
                                         LayerModel::many_fluxes_sphere));

// The fast path against the public formulas, one after the other.
TEST_P(TissueRankOf, AgreesWithThePlainFormulas) {
  const Sheet bare = sheet(GetParam());
  const RankProblem asked = problem(bare, all_places(bare), five_lights);
  const Drawer drawer = filled(invented::drawer(40, 1, GetParam()));
  const auto ranked = *rank(drawer, asked);
  ASSERT_EQ(ranked.size(), 40u * 4 * 5);
  for (const Ranked& one : ranked) {
    const RankedColours seen_colours = *colours(drawer, asked, one);
    double worst = 0;
    for (std::size_t l = 0; l < five_lights.size(); ++l)
      worst = std::max(worst, de00(asked.lights[l].aim, seen_colours.by_light[l]));
    EXPECT_NEAR(one.de00, de00(asked.lights[0].aim, seen_colours.by_light[0]), 1e-9);
    EXPECT_NEAR(one.worst_de00, worst, 1e-9);
    double score = 0.5 * one.de00 + 0.5 * one.worst_de00;
    if (asked.places[one.place].use == Use::loss) {
      ASSERT_TRUE(one.overlap_de00 && seen_colours.margin);
      EXPECT_NEAR(*one.overlap_de00, de00(asked.lights[0].sheet, *seen_colours.margin), 1e-9);
      score += 0.1 * *one.overlap_de00;
    } else {
      EXPECT_FALSE(one.overlap_de00);
    }
    ASSERT_TRUE(one.light_sheet_de00 && seen_colours.light_sheet);
    EXPECT_NEAR(*one.light_sheet_de00, de00(asked.light_sheet->sheet, *seen_colours.light_sheet),
                1e-9);
    EXPECT_NEAR(one.score, score + 0.05 * *one.light_sheet_de00, 1e-9);
  }
  EXPECT_TRUE(std::is_sorted(ranked.begin(), ranked.end(),
                             [](const auto& a, const auto& b) { return a.score < b.score; }));
}

TEST_P(TissueRankOf, ASheetMadeOfKnownPliesFindsThemFirst) {
  const auto plies = invented::drawer(60, 1, GetParam());
  for (const auto& [tissue, count] : {std::pair{7, 2}, {23, 3}, {51, 1}}) {
    Sheet bare;
    bare.grid = bands();
    bare.body = stacked(plies[static_cast<std::size_t>(tissue)], count);
    bare.opaque.assign(36, false);
    for (const Slab& slab : bare.body) bare.seen.push_back(over(slab, 0.78));
    const auto ranked =
        *rank(filled(plies), problem(bare, {place(Use::loss, Side::back, bare)}, five_lights));
    EXPECT_EQ(ranked.front().tissue, static_cast<std::uint32_t>(tissue));
    EXPECT_EQ(ranked.front().plies, count);
    EXPECT_LT(ranked.front().worst_de00, 1e-9);
    EXPECT_LT(*ranked.front().light_sheet_de00, 1e-9);
  }
}

// One material: which face is called front does not matter to what is laid on it.
TEST(TissueRank, TissueOnItsOwnSheetIsTheSameOnEitherSide) {
  const Ply paper = ply(30, 40, 8, 90);
  Sheet bare;
  bare.grid = bands();
  bare.body = stacked(paper, 1);
  bare.opaque.assign(36, false);
  for (const Slab& slab : bare.body) bare.seen.push_back(over(slab, 0.78));
  const auto ranked =
      *rank(filled({paper}),
            problem(bare, {place(Use::tear, Side::back, bare), place(Use::tear, Side::front, bare)},
                    five_lights));
  for (int plies = 1; plies <= 4; ++plies) {
    std::vector<Ranked> both;
    for (const Ranked& one : ranked)
      if (one.plies == plies) both.push_back(one);
    ASSERT_EQ(both.size(), 2u);
    if (plies == 1) {
      EXPECT_NEAR(both[0].de00, both[1].de00, 1e-9);
      EXPECT_NEAR(*both[0].light_sheet_de00, *both[1].light_sheet_de00, 1e-9);
    }
  }
}

TEST(TissueRank, MorePliesLetLessLightThrough) {
  const Sheet bare = sheet();
  const RankProblem asked = problem(bare, {place(Use::loss, Side::back, bare)}, {"D65"});
  const Drawer drawer = filled({ply(12, 35, 0.3, 200)});
  std::vector<double> L(5);
  for (const Ranked& one : *rank(drawer, asked))
    L[one.plies] = colours(drawer, asked, one)->light_sheet->L;
  EXPECT_GT(L[1], L[2]);
  EXPECT_GT(L[2], L[3]);
  EXPECT_GT(L[3], L[4]);
  // 12 g/m2 of clean tissue lets 0.70 through, the aged sheet 0.14: some 40 L* on a light sheet.
  EXPECT_NEAR(L[1], 87, 2);
}

TEST(TissueRank, ATissueReadOnceStandsForItsOwnPliesInALossOnly) {
  const Sheet bare = sheet();
  const RankProblem asked = problem(bare, all_places(bare), five_lights);
  Drawer drawer(bands(), 4);
  drawer.add_as_read(bare.seen, 2);
  const auto ranked = *rank(drawer, asked);
  ASSERT_EQ(ranked.size(), 2u);  // the loss from the back and from the front
  for (const Ranked& one : ranked) {
    EXPECT_EQ(one.plies, 2);
    EXPECT_LT(one.worst_de00, 1e-12);
    EXPECT_FALSE(one.overlap_de00);
    EXPECT_FALSE(one.light_sheet_de00);
    EXPECT_NEAR(one.score, 0.1 * 5 + 0.05 * 20, 1e-9);
  }
}

TEST(TissueRank, ASheetReadOnceIsRankedWithoutMarginAndLightSheet) {
  Sheet bare = sheet();
  bare.body.clear();
  bare.opaque.clear();
  const RankProblem asked = problem(bare, {place(Use::loss, Side::back, bare)}, {"D65"});
  for (const Ranked& one : *rank(filled(invented::drawer(5)), asked))
    EXPECT_NEAR(one.score, one.de00, 1e-12);
  const auto refused = setting_for(Use::tear, Side::back, bare, board());
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().message.find("over two backings"), std::string::npos);
  EXPECT_TRUE(setting_for(Use::tear, Side::front, bare, board()));
}

TEST(TissueRank, FaultsAreNamedTogether) {
  const Sheet bare = sheet();
  RankProblem asked = problem(bare, {}, {"D65"});
  asked.most_plies = 9;
  EXPECT_EQ(faults(asked, filled(invented::drawer(1))).size(), 2u);
}

// What data can get wrong is refused, in every build.
TEST(TissueRank, RefusesWhatDoesNotFit) {
  const Drawer drawer = filled(invented::drawer(3));
  const Sheet bare = invented::sheet();
  RankProblem asked = problem(bare, {place(Use::loss, Side::back, bare)}, {"D65", "A"});
  ASSERT_TRUE(rank(drawer, asked));
  RankProblem dark = asked;
  dark.lights.clear();
  const auto refused = rank(drawer, dark);
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().message.find("no light is given"), std::string::npos);
  EXPECT_FALSE(rank(drawer, {}));
  RankProblem thin = asked;
  thin.places[0].setting.below.resize(31);
  EXPECT_FALSE(rank(drawer, thin));
  EXPECT_FALSE(colours(drawer, thin, {}));
  RankProblem thin_margin = asked;
  ASSERT_TRUE(thin_margin.places[0].margin);
  thin_margin.places[0].margin->above.resize(31);
  EXPECT_FALSE(rank(drawer, thin_margin));
  RankProblem few = asked;
  few.lights[1].weights.wx.resize(31);
  EXPECT_FALSE(rank(drawer, few));
  Ranked nowhere;
  nowhere.tissue = 3;
  EXPECT_FALSE(colours(drawer, asked, nowhere));
  nowhere = {};
  nowhere.place = 1;
  EXPECT_FALSE(colours(drawer, asked, nowhere));
  EXPECT_FALSE(setting_for(Use::loss, Side::unstated, bare, board()));
  EXPECT_FALSE(setting_for(Use::loss, Side::back, bare, std::vector<double>(31, 0.8)));
  const Setting here = asked.places[0].setting;
  EXPECT_FALSE(seen(here, std::vector<Slab>(31)));
  EXPECT_FALSE(shone_through(here, std::vector<Slab>(31)));
  Setting unknown = here;
  unknown.light_sheet_unknown = "read over one backing";
  EXPECT_FALSE(shone_through(unknown, std::vector<Slab>(36)));
}

}  // namespace
}  // namespace mendtone::tissue_rank_test
