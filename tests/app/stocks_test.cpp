#include "app/wash/stocks.hpp"

#include <gtest/gtest.h>

// A stock file as a spreadsheet writes it, and as the record makes one of its own stocks.
namespace mendtone::app::stocks_test {

std::string refusal(const std::string& text) {
  const auto read = read_stocks(text, "stocks.csv", LoadUnit::g_m2);
  EXPECT_FALSE(read);
  return read ? "" : read.error().text();
}

TEST(Stocks, NamesMayHoldCommasQuotesAndLetters) {
  const auto read = read_stocks(
      "\xEF\xBB\xBF"
      "colorant,stock,g_per_ml,ml_per_drop,drops,drops_g,density_g_ml\r\n"
      "# weighed in March\r\n"
      "\"ocre, \"\"jaune\"\"\",\"a, <1>\",0.03,,20,0.98,1\r\n"
      "\r\n"
      "\u9ED2,,0.01,0.05,,,\r\n",
      "stocks.csv", LoadUnit::g_m2);
  ASSERT_TRUE(read) << read.error().text();
  ASSERT_EQ(read->stocks.size(), 2u);
  EXPECT_EQ(read->stocks[0].colorant, "ocre, \"jaune\"");
  EXPECT_EQ(read->stocks[0].name, "a, <1>");
  EXPECT_DOUBLE_EQ(*read->stocks[0].ml_per_drop, 0.98 / 20);
  EXPECT_EQ(read->stocks[1].name, "\u9ED2") << "a stock without a name is called as its colorant";
}

TEST(Stocks, SemicolonsGoWithDecimalCommas) {
  const auto read = read_stocks("colorant;g_per_ml;drops;drops_g\nred, dark;0,028;20;0,99\n",
                                "stocks.csv", LoadUnit::g_m2);
  ASSERT_TRUE(read) << read.error().text();
  EXPECT_EQ(read->stocks[0].colorant, "red, dark");
  EXPECT_DOUBLE_EQ(read->stocks[0].strength_per_ml, 0.028);
  ASSERT_EQ(read->warnings.size(), 1u) << "its density was taken as 1";
}

TEST(Stocks, WhatCannotBeIsRefusedWithItsPlace) {
  const std::string head = "colorant,stock,g_per_ml\n";
  EXPECT_NE(refusal("colorant,stock,g_per_m\n")
                .find("line 1, column 3: a stock file has no column 'g_per_m'; is it 'g_per_ml'?"),
            std::string::npos);
  EXPECT_NE(refusal("name,g_per_ml\nochre,0.03\n").find("line 1"), std::string::npos);
  EXPECT_NE(refusal(head + "ochre,a\n").find("line 2: expected 3 cells, found 2"),
            std::string::npos);
  EXPECT_NE(refusal(head + "\"ochre,a,0.03\n").find("closing quote"), std::string::npos);
  EXPECT_NE(refusal(head + "ochre,a,none\n").find("line 2"), std::string::npos);
  EXPECT_NE(refusal(head + "ochre,a,0.03\nochre,b,0.02\n").find("line 3"), std::string::npos);
  EXPECT_NE(refusal(head).find("no stock"), std::string::npos);
  EXPECT_NE(refusal("").find("no stock"), std::string::npos);
}

}  // namespace mendtone::app::stocks_test
