#include "formats/json_gate.hpp"

#include <gtest/gtest.h>

namespace mendtone::json_gate_test {
namespace {

using Json = nlohmann::ordered_json;

std::string repeated(std::string_view part, std::size_t times) {
  std::string text;
  for (std::size_t i = 0; i < times; ++i) text += part;
  return text;
}

std::string refusal_of(std::string_view text, std::string_view name = "kept.json",
                       const JsonLimits& limits = {}) {
  const auto json = json_from(text, name, limits);
  return json ? "it was taken" : json.error().text();
}

// The forms of RFC 8259, sections 4 to 7, with one example each of our own.
TEST(JsonGate, TakesEveryFormOfJson) {
  const auto json = json_from(
      " {\"a\": [1, -2.5e-3, true, false, null, \"\\u00e9\\n\"], \"b\": {}, \"c\": []}\n", "x");
  ASSERT_TRUE(json) << json.error().text();
  EXPECT_EQ(json->dump(), "{\"a\":[1,-0.0025,true,false,null,\"\xC3\xA9\\n\"],\"b\":{},\"c\":[]}");
  EXPECT_EQ(json_from("7", "x").value(), 7);
  EXPECT_EQ(json_from<nlohmann::json>("{\"b\":1,\"a\":{\"c\":[2]}}", "x").value().dump(),
            "{\"a\":{\"c\":[2]},\"b\":1}");
}

TEST(JsonGate, GivesWhatTheLibraryItselfGives) {
  for (std::string_view text :
       {"[]", "{}", "[[1,[2,[3]]],{\"a\":{\"b\":[{}]}}]", "[0.1,1e308,5e-324,18446744073709551615]",
        "\"\\ud83d\\ude00\"", "[[],[[]],[[[]]]]"}) {
    const auto json = json_from(text, "x");
    ASSERT_TRUE(json) << text << ": " << json.error().text();
    EXPECT_EQ(*json, Json::parse(text)) << text;
  }
}

TEST(JsonGate, IsSixtyFourLevelsDeepAndNoMore) {
  EXPECT_TRUE(json_from(repeated("[", 64) + repeated("]", 64), "x"));
  EXPECT_EQ(refusal_of(repeated("[", 65) + repeated("]", 65)),
            "kept.json, line 1, column 65: this JSON is nested more than 64 levels deep");
  EXPECT_EQ(refusal_of("{\n" + repeated("\"a\":{", 100000)),
            "kept.json, line 2, column 320: this JSON is nested more than 64 levels deep");
  // Brackets within a text are no levels.
  EXPECT_TRUE(json_from("\"" + repeated("[\\\"{", 1000) + "\"", "x"));
}

TEST(JsonGate, SaysWhereAndWhatWasExpectedAndFound) {
  EXPECT_EQ(refusal_of("{\"a\": 1,\n \"b\" 2}"),
            "kept.json, line 2, column 6: this is not JSON: expected ':', found '2'");
  EXPECT_EQ(
      refusal_of("[1, 2"),
      "kept.json, line 1, column 6: this is not JSON: expected ']', found the end of the text");
  EXPECT_EQ(refusal_of("{\"p\": {\"q\": [{\"r\": 1, \"r\": 2}]}}"),
            "kept.json, /p/q/0: expected each name once in a JSON object, found 'r' twice");
  EXPECT_EQ(refusal_of("[1e999]"),
            "kept.json, line 1, column 6: expected a number below 1.8e308, found '1e999'");
  for (std::string_view text : {"", "[", "{", "\"", "{\"a\"", "nul", "[1,]", "{,}", "[1] 2", "01",
                                "NaN", "[\"\xFF\"]", "\"\\ud800\"", "]", "}{", "'a'", "\xEF\xBB"})
    EXPECT_FALSE(json_from(text, "x")) << text;
  EXPECT_FALSE(json_from(std::string_view("[\0]", 3), "x"));
  EXPECT_EQ(json_from("[", "").error().where, "line 1, column 2");
}

TEST(JsonGate, LimitsAreCheckedBeforeAnythingIsBuilt) {
  JsonLimits small;
  small.bytes = 10;
  EXPECT_EQ(refusal_of("[1,2,3,4,5]", "x", small),
            "x: this JSON is 11 bytes long; at most 10 are taken");
  JsonLimits lean;
  lean.memory = 1 << 20;
  EXPECT_TRUE(json_from("[" + repeated("0,", 60000) + "0]", "x", lean));
  EXPECT_NE(refusal_of("[" + repeated("[],", 60000) + "0]", "x", lean).find("more than 1 MB"),
            std::string::npos);
  std::string names = "{";
  for (int i = 0; i < 1000; ++i) names += "\"n" + std::to_string(i) + "\":0,";
  EXPECT_TRUE(json_from(names.substr(0, names.size() - 1) + "}", "x"));
  EXPECT_NE(refusal_of(names + "\"one more\":0}").find("more than 1000 names"), std::string::npos);
}

TEST(JsonGate, ValuesAreAskedWithoutThrowing) {
  const Json json = Json::parse(
      "{\"n\":1.5,\"w\":3,\"t\":\"x\",\"y\":true,\"l\":[1],\"big\":18446744073709551615}");
  EXPECT_EQ(json_number(json_member(json, "n")), 1.5);
  EXPECT_EQ(json_number(json_member(json, "t")), std::nullopt);
  EXPECT_EQ(json_whole(json_member(json, "w")), 3);
  EXPECT_EQ(json_whole(json_member(json, "w"), 4, 9), std::nullopt);
  EXPECT_EQ(json_whole(json_member(json, "n")), std::nullopt);
  EXPECT_EQ(json_whole(json_member(json, "big")), std::nullopt);
  EXPECT_EQ(json_text(json_member(json, "t")), "x");
  EXPECT_EQ(json_text(json_member(json, "l")), std::nullopt);
  EXPECT_TRUE(json_true(json_member(json, "y")));
  EXPECT_FALSE(json_true(json_member(json, "n")));
  EXPECT_TRUE(json_member(json, "not there").is_null());
  EXPECT_TRUE(json_member(json_member(json, "l"), "a").is_null());
}

}  // namespace
}  // namespace mendtone::json_gate_test
