#include "mendtone/match/cautions.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <set>

#include "mendtone/base/reference_data.hpp"
#include "mendtone/base/text_rows.hpp"
#include "mendtone/match/colorant_facts.hpp"

namespace mendtone::cautions_test {
namespace {

std::string file_text(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// The part of "a=b=c" at that place; empty where there is none.
std::string part_at(const std::string& text, std::size_t place) {
  std::size_t from = 0;
  for (; place > 0 && from != std::string::npos; --place) {
    from = text.find('=', from);
    if (from != std::string::npos) ++from;
  }
  return from == std::string::npos ? "" : text.substr(from, text.find('=', from) - from);
}

struct Row {
  std::string title;
  CautionCase about;
  std::vector<std::string> expected, not_expected, barred;
};

Row row_of(const std::vector<std::string>& cells) {
  Row row;
  row.title = cells[0] + ", " + cells[4] + " " + cells[5];
  CautionCase& about = row.about;
  about.media = cells[1];
  about.stamps = cells[2];
  about.sizing = cells[3];
  about.acts = parted_words(cells[4], '+');
  about.use = *use_from(cells[5]);
  for (const std::string& mark : parted_words(cells[6], '+')) about.marks.insert(mark);
  about.liquid = cells[7];
  about.adhesive = cells[8];
  for (const std::string& one : parted_words(cells[9], ';'))
    about.colorants.push_back({part_at(one, 0), part_at(one, 1), part_at(one, 2)});
  for (const std::string& one : parted_words(cells[10], ';'))
    about.tested.push_back({part_at(one, 0), part_at(one, 1), part_at(one, 2)});
  for (const std::string& one : parted_words(cells[11], ';'))
    about.lifted.push_back({part_at(one, 0), part_at(one, 1)});
  row.expected = parted_words(cells[12]);
  row.not_expected = parted_words(cells[13]);
  if (cells[14] != "-") row.barred = parted_words(cells[14]);
  return row;
}

std::vector<Row> rows_of_cases() {
  std::vector<Row> rows;
  for (const auto& cells :
       text_rows(file_text(std::string(MENDTONE_SOURCE_DIR) + "/tests/match/caution-cases.csv")))
    rows.push_back(row_of(cells));
  return rows;
}

std::set<std::string> names_of(const std::vector<Caution>& all, bool bars_alone) {
  std::set<std::string> names;
  for (const Caution& one : all)
    if (!bars_alone || (one.bars && one.lifted_because.empty())) names.insert(one.name);
  return names;
}

// The sources stand in reference-data/cautions.csv, line by line.
TEST(Cautions, SixtyCasesSayWhatTheyMustAndNothingElseBarsThem) {
  const std::vector<Row> rows = rows_of_cases();
  ASSERT_EQ(rows.size(), 60u);
  for (const Row& row : rows) {
    const std::vector<Caution> found = cautions_for(row.about);
    const std::set<std::string> names = names_of(found, false);
    for (const std::string& name : row.expected)
      EXPECT_TRUE(names.count(name)) << row.title << ": '" << name << "' is not said";
    for (const std::string& name : row.not_expected)
      EXPECT_FALSE(names.count(name)) << row.title << ": '" << name << "' is said";
    EXPECT_EQ(names_of(found, true), std::set<std::string>(row.barred.begin(), row.barred.end()))
        << row.title;
  }
}

// A name that no line and no code can give would make 'not_expected' true of anything.
TEST(Cautions, EveryNameOfTheCasesIsSaidInSomeCase) {
  std::set<std::string> said, lines;
  for (const Row& row : rows_of_cases()) said.merge(names_of(cautions_for(row.about), false));
  for (const auto& cells : text_rows(*reference_table("cautions.csv"))) lines.insert(cells[0]);
  for (const Row& row : rows_of_cases())
    for (const auto& names : {row.expected, row.not_expected, row.barred})
      for (const std::string& name : names)
        EXPECT_TRUE(said.count(name) || lines.count(name)) << name;
}

TEST(Cautions, EveryLineHasKnownWordsAndASource) {
  std::set<std::string> kinds{"not stated", "unknown"}, names;
  for (const auto& cells : text_rows(*reference_table("treatment-words.csv"))) {
    kinds.insert(cells[1]);
    EXPECT_FALSE(cells[3].empty()) << cells[1];
  }
  const std::set<std::string> acts{"tone", "attach", "film", "wash", "record"};
  for (const auto& cells : text_rows(*reference_table("cautions.csv"))) {
    EXPECT_TRUE(names.insert(cells[0]).second) << cells[0];
    for (const std::string& act : parted_words(cells[1])) EXPECT_TRUE(acts.count(act)) << cells[0];
    for (const std::string& use : parted_words(cells[2])) EXPECT_TRUE(use_from(use)) << cells[0];
    for (const std::size_t column : {3u, 4u, 5u, 6u})
      for (const std::string& kind : parted_words(cells[column]))
        EXPECT_TRUE(kinds.count(kind)) << cells[0] << ": " << kind;
    EXPECT_FALSE(cells[9].empty()) << cells[0];
    EXPECT_FALSE(cells[10].empty()) << cells[0];
  }
}

TEST(Cautions, BarsStandFirstAndSayHowAReasonLiftsThem) {
  CautionCase about;
  about.acts = {"attach"};
  about.media = "iron-gall ink";
  about.adhesive = "wheat-starch paste";
  const std::vector<Caution> barred = cautions_for(about);
  ASSERT_FALSE(barred.empty());
  EXPECT_TRUE(barred.front().bars);
  const std::string words = text_of(barred.front());
  EXPECT_EQ(words.rfind("Barred: no ordinary wet paste beside iron-gall ink.", 0), 0u) << words;
  EXPECT_NE(words.find("iron(II) test paper"), std::string::npos);
  EXPECT_NE(words.find("'wet paste beside iron-gall ink' as allowed"), std::string::npos);
  EXPECT_NE(words.find("[published: "), std::string::npos);
  about.lifted = {{"Wet paste beside iron-gall ink", "the ink is far away"}};
  const std::vector<Caution> lifted = cautions_for(about);
  const auto found =
      std::find_if(lifted.begin(), lifted.end(), [](const Caution& c) { return c.bars; });
  ASSERT_NE(found, lifted.end());
  EXPECT_NE(text_of(*found).find("allowed by you (the ink is far away)"), std::string::npos);
}

// The names of ISO/Colour Index pigments are written in many ways; the list has one.
TEST(ColorantFacts, AreFoundWhateverTheCaseBlanksAndForm) {
  for (const char* written : {"PY35", "py35", "PY 35", "PY35:1", "py 35:1", "Pigment Yellow 35",
                              "pigment yellow 35:1", "CI PY35"}) {
    const auto fact = colorant_fact(written);
    ASSERT_TRUE(fact) << written;
    EXPECT_EQ(fact->group, "toxic") << written;
    EXPECT_EQ(fault_of_colour_index(written), "") << written;
  }
  EXPECT_EQ(colour_index_names("py42, Pigment Red 101 + PBk 11"),
            (std::vector<std::string>{"PY42", "PR101", "PBk11"}));
  EXPECT_EQ(colour_index_names("CI 77491"), std::vector<std::string>{"77491"});
  EXPECT_FALSE(colorant_fact("PY351"));
  EXPECT_FALSE(colorant_fact(""));
  for (const char* wrong : {"ochre", "PY", "PX9", "PY35:", "PY 35 ochre", ""})
    EXPECT_NE(fault_of_colour_index(wrong), "") << wrong;
}

TEST(ColorantFacts, UmberAndSiennaAreToldApartByTheirOwnNames) {
  EXPECT_NE(colorant_fact("PBr7", "Raw Umber")->fact.find("silver"), std::string::npos);
  EXPECT_EQ(colorant_fact("PBr7", "burnt sienna")->fact.find("silver"), std::string::npos);
  EXPECT_NE(colorant_fact("PBr7", "earth no. 3")->fact.find("ask the maker"), std::string::npos);
}

TEST(ColorantFacts, NoLineSaysTwoThingsOfFadingAndBoundCopperIsNotVerdigris) {
  for (const ColorantFact& fact : colorant_facts())
    EXPECT_FALSE(fact.fact.find("good") != std::string::npos &&
                 fact.fact.find("fad") != std::string::npos)
        << fact.colour_index;
  EXPECT_NE(colorant_fact("PB15:3")->fact.find("insoluble"), std::string::npos);
  EXPECT_EQ(colorant_fact("PG20")->group, "toxic");
  for (const char* wanted : {"PBk6", "PBk8", "PBr6", "PG18", "PG22", "PG23", "PW21", "PV23", "NBr8",
                             "PY40", "PY41", "PB36", "PR103", "PV14", "NY24"})
    EXPECT_TRUE(colorant_fact(wanted)) << wanted;
  EXPECT_EQ(known_of_colorant("", "fluorescent pink").size(), 1u);
  EXPECT_EQ(known_of_colorant("", "black tea").size(), 1u);
  EXPECT_TRUE(known_of_colorant("", "steatite").empty());
}

}  // namespace
}  // namespace mendtone::cautions_test
