#include "mendtone/record/kinds.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "mendtone/record/unreadable.hpp"

namespace mendtone::record::kinds_test {
namespace {

KeptReading full_reading() {
  KeptReading kept;
  Reading& r = kept.reading;
  r.name = "margin \"top\"; left";
  r.repeat = "2";
  r.role = Role::swatch;
  r.quantity = Quantity::transmittance;
  r.backing = "white tile";
  r.plies = 3;
  r.side = Side::back;
  r.state = State::pasted;
  r.geometry = "45/0";
  r.condition = Condition::m2;
  r.instrument = "bench head 3";
  r.aperture_mm = 4.5;
  r.lot = "L7";
  r.stock = "ochre 2";
  r.series = "monday's";
  r.bleeds = false;
  r.grammage_g_m2 = 12.25;
  r.loads = {{"ochre, dark", 0.1}, {"carbon=\"black\"", 1.0 / 3}};
  r.load_unit = LoadUnit::g_m2;
  r.spectrum = Spectrum{WavelengthGrid::equal_steps(380, 10, 3), {0.1, 1.0 / 3, 2e-17}};
  r.lab = BoundLab{86.1, 1.9, 14.2, "D65", 10};
  r.source = {"readings.csv", 12, 4};
  kept.file = 1;
  kept.sheet = 2;
  kept.spot = 3;
  kept.loss = 4;
  kept.tissue = 5;
  kept.trial = 6;
  kept.bath = 7;
  kept.instrument = 8;
  kept.offcut = 9;
  kept.light_dose_lx_h = 2.5e5;
  kept.stage = "after";
  kept.operator_name = "A. Conservator";
  kept.taken = "1998-03-02T10:00:00Z";
  return kept;
}

/// Every cell of a reading that says all it can say is filled, and comes back as it was.
TEST(Kinds, AReadingComesBackWhole) {
  const Row row = to_row(full_reading());
  for (std::size_t i = 0; i < row.cells.size(); ++i)
    EXPECT_FALSE(std::holds_alternative<std::monostate>(row.cells[i]))
        << find_kind("reading")->columns[i].name;
  KeptReading back;
  ASSERT_TRUE(from_row(row, back));
  EXPECT_EQ(to_row(back).cells, row.cells);
  EXPECT_EQ(back.reading.spectrum->value, full_reading().reading.spectrum->value);
  EXPECT_EQ(back.reading.spectrum->grid, full_reading().reading.spectrum->grid);
  EXPECT_EQ(back.reading.loads, full_reading().reading.loads);
  EXPECT_EQ(back.reading.quantity, Quantity::transmittance);
}

TEST(Kinds, UnequalStepsComeBackBitForBit) {
  KeptReading kept;
  kept.reading.name = "a";
  const auto grid = WavelengthGrid::from_nm({380.1, 390.25, 400.3333333333333});
  kept.reading.spectrum = Spectrum{*grid, {0.1, 0.2, 0.3}};
  KeptReading back;
  ASSERT_TRUE(from_row(to_row(kept), back));
  EXPECT_EQ(back.reading.spectrum->grid, *grid);
}

TEST(Kinds, NothingStaysNothing) {
  KeptReading kept;
  kept.reading.name = "a";
  KeptReading back;
  ASSERT_TRUE(from_row(to_row(kept), back));
  EXPECT_FALSE(back.reading.spectrum);
  EXPECT_FALSE(back.reading.lab);
  EXPECT_FALSE(back.reading.plies);
  EXPECT_TRUE(back.reading.loads.empty());
}

TEST(Kinds, OutlinesWithHolesComeBack) {
  Spot spot;
  spot.sheet = 1;
  spot.name = "margin";
  spot.outline = {{{0.5, 1}, {10, 1}, {10, 9.25}}, {{2, 2}, {3, 2}, {3, 3}}};
  Spot back;
  ASSERT_TRUE(from_row(to_row(spot), back));
  EXPECT_EQ(back.outline, spot.outline);
}

TEST(Kinds, LinksNameKindsThatExist) {
  std::set<std::string> names;
  for (const Kind& kind : kinds()) {
    EXPECT_TRUE(names.insert(kind.name).second) << kind.name;
    std::set<std::string> columns;
    for (const Column& column : kind.columns) {
      EXPECT_TRUE(columns.insert(column.name).second) << kind.name << '.' << column.name;
      if (!column.links_to.empty()) {
        EXPECT_NE(find_kind(column.links_to), nullptr) << column.name;
      }
    }
    if (kind.unique_within != "-" && !kind.unique_within.empty()) {
      EXPECT_LT(kind.position(kind.unique_within), kind.columns.size()) << kind.name;
    }
  }
}

TEST(Kinds, EveryFaultIsNamedAtOnce) {
  Loss loss;
  loss.nature = "hole";
  const auto checked = validate(to_row(loss));
  ASSERT_FALSE(checked);
  for (const char* word : {"sheet", "name", "nature", "loss, tear", "hole"})
    EXPECT_NE(checked.error().message.find(word), std::string::npos) << word;
}

TEST(Kinds, WhatNoProgramOfOursWritesIsRefused) {
  Row row = to_row(full_reading());
  const Kind& kind = *find_kind("reading");
  row.cells[kind.position("factor")] = Cell{std::string("[0.1,0.2]")};
  KeptReading back;
  const auto read = from_row(row, back);
  ASSERT_FALSE(read);
  EXPECT_EQ(read.error().where, "reading.factor");
}

/// What one bad cell of an otherwise sound row is refused with; empty: it was taken.
template <class T>
std::string refusal_with(const T& sound, const char* column, const Cell& cell) {
  Row row = to_row(sound);
  EXPECT_TRUE(validate(row)) << validate(row).error().text();
  row.cells[find_kind(row.kind)->position(column)] = cell;
  const auto checked = validate(row);
  return checked ? std::string() : checked.error().text();
}

TEST(Kinds, NothingIsKeptThatCannotBeReadBack) {
  Stock stock;
  stock.name = "ochre 2";
  stock.dry_g_ml = {{"ochre", 0.012}};
  EXPECT_EQ(refusal_with(stock, "dry_g_ml", Cell{std::string("{\"a\":\"x\"}")}),
            "stock.dry_g_ml: expected {colorant: number}, found '{\"a\":\"x\"}'");
  std::string deep = "{\"a\":";
  for (int i = 0; i < 100000; ++i) deep += '[';
  for (const std::string& cell :
       {deep, deep + std::string(100000, ']') + "}", std::string("[0.1]"), std::string("{"),
        std::string("{\"a\":1,\"a\":2}"), std::string("{\"a\":1e999}"), std::string("null")})
    EXPECT_NE(refusal_with(stock, "dry_g_ml", Cell{cell}), "") << cell.substr(0, 20);
  Spot spot;
  spot.sheet = 1;
  spot.name = "margin";
  for (const char* cell : {"[1,2]", "[[1,2]]", "[[[1]]]", "[[[1,\"2\"]]]", "{}", "[[[1,2,3]]]"})
    EXPECT_NE(refusal_with(spot, "outline", Cell{std::string(cell)}), "") << cell;
  const KeptReading reading = full_reading();
  EXPECT_EQ(refusal_with(reading, "wavelengths_nm", Cell{std::string("700:10:380")}),
            "reading.wavelengths_nm: expected wavelengths as first:step:last, or a rising list, "
            "found '700:10:380'");
  EXPECT_NE(refusal_with(reading, "factor", Cell{std::string("[0.1,0.2]")}), "");
  EXPECT_NE(refusal_with(reading, "plies", Cell{std::int64_t{-1}}), "");
  EXPECT_NE(refusal_with(reading, "role", Cell{std::string("hero")}), "");
  EXPECT_NE(refusal_with(reading, "lab_observer_deg", Cell{std::int64_t{1} << 40}), "");
  EXPECT_NE(refusal_with(reading, "lab_light", Cell{}), "");
  EXPECT_NE(refusal_with(reading, "aperture_mm", Cell{std::nan("")}), "");
  Mean mean;
  mean.reading = reading.reading;
  mean.of = {1, 2};
  EXPECT_NE(refusal_with(mean, "of", Cell{std::string("[1,two]")}), "");
}

TEST(Kinds, EveryKindIsReadBack) {
  for (const Kind& kind : kinds())
    EXPECT_TRUE(read_back({kind.name, std::vector<Cell>(kind.columns.size())})) << kind.name;
  EXPECT_FALSE(read_back({"ghost", {}}));
}

TEST(Kinds, CellsFromText) {
  const Column number{"left_cm2", CellType::number, "", "", {}, false, CellForm::plain};
  EXPECT_EQ(*parse_cell("12.5", number), Cell{12.5});
  EXPECT_EQ(*parse_cell("", number), Cell{});
  EXPECT_FALSE(parse_cell("12,5 cm", number));
  const Column whole{"plies", CellType::whole, "", "", {}, false, CellForm::plain};
  EXPECT_EQ(*parse_cell("3", whole), Cell{std::int64_t{3}});
  EXPECT_FALSE(parse_cell("3.5", whole));
}

}  // namespace
}  // namespace mendtone::record::kinds_test
