#include "app/wash/stocks.hpp"

#include <algorithm>
#include <map>
#include <optional>

#include "app/inputs/columns.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

using Row = std::map<std::string, std::string>;

const std::vector<std::string> columns{"colorant", "stock",   "g_per_ml",    "ml_per_drop",
                                       "drops",    "drops_g", "density_g_ml"};

std::vector<std::string> cells_of(std::string_view line, char between) {
  std::vector<std::string> cells(1);
  for (char c : line) {
    if (c == between)
      cells.emplace_back();
    else
      cells.back() += c;
  }
  for (std::string& cell : cells) cell = trimmed(cell, " \t\r\"");
  return cells;
}

/// A number above 0, or nothing where the cell is blank.
Result<std::optional<double>> positive(const Row& row, const std::string& column, char decimal,
                                       const std::string& where) {
  const auto found = row.find(column);
  if (found == row.end() || found->second.empty()) return std::optional<double>();
  const bool point = found->second.find('.') != std::string::npos;
  const auto number = parse_number(found->second, point ? '.' : decimal);
  if (!number || !(*number > 0))
    return bad_input(
        "expected a number above 0 in column " + column + ", found '" + found->second + "'", where);
  return number;
}

Result<Stock> stock_of(const Row& row, char decimal, LoadUnit unit, const std::string& where,
                       std::vector<std::string>& warnings) {
  Stock stock;
  stock.colorant = row.count("colorant") ? row.at("colorant") : "";
  if (stock.colorant.empty()) return bad_input("the column colorant is blank", where);
  stock.name = row.count("stock") && !row.at("stock").empty() ? row.at("stock") : stock.colorant;
  std::map<std::string, std::optional<double>> value;
  for (const char* column : {"g_per_ml", "ml_per_drop", "drops", "drops_g", "density_g_ml"}) {
    auto number = positive(row, column, decimal, where);
    if (!number) return number.error();
    value[column] = *number;
  }
  if (unit == LoadUnit::ml_m2) {
    stock.strength_per_ml = 1;
  } else {
    if (!value["g_per_ml"])
      return bad_input("the strength g_per_ml is blank: weigh 1 ml dried on foil", where);
    stock.strength_per_ml = *value["g_per_ml"];
  }
  if (value["drops"] && value["drops_g"]) {
    if (!value["density_g_ml"])
      warnings.push_back(where + ": the density of '" + stock.name + "' was taken as 1 g/ml");
    stock.ml_per_drop = *value["drops_g"] / *value["drops"] / value["density_g_ml"].value_or(1);
  } else {
    stock.ml_per_drop = value["ml_per_drop"];
    if (stock.ml_per_drop)
      warnings.push_back(where + ": the drop of '" + stock.name +
                         "' is not from a weighing; droppers differ by 10-15 % (common practice, "
                         "no source): weigh 20 drops");
  }
  return stock;
}

}  // namespace

Result<StockFile> read_stocks(std::string_view text, const std::string& name, LoadUnit unit) {
  StockFile file;
  std::vector<std::string> heading;
  char between = ',';
  std::size_t line_number = 0;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    const std::string line = trimmed(text.substr(0, end), " \t\r\"");
    text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
    ++line_number;
    if (line.empty() || line.front() == '#') continue;
    if (heading.empty()) {
      between = line.find(';') != std::string::npos ? ';' : ',';
      heading = cells_of(line, between);
      bool named = false;
      for (const std::string& column : heading) named = named || column == "colorant";
      if (named)
        if (auto known = check_columns(heading, columns, "a stock file",
                                       name + ", line " + std::to_string(line_number));
            !known)
          return known.error();
      if (!named)
        return bad_input("expected a stock file with a column colorant, found '" + line + "'",
                         name + ", line " + std::to_string(line_number));
      continue;
    }
    const std::string where = name + ", line " + std::to_string(line_number);
    const std::vector<std::string> cells = cells_of(line, between);
    if (cells.size() != heading.size())
      return bad_input("expected " + std::to_string(heading.size()) + " cells, found " +
                           std::to_string(cells.size()),
                       where);
    Row row;
    for (std::size_t i = 0; i < cells.size(); ++i) row[heading[i]] = cells[i];
    auto stock = stock_of(row, between == ';' ? ',' : '.', unit, where, file.warnings);
    if (!stock) return stock.error();
    for (const Stock& other : file.stocks)
      if (other.colorant == stock->colorant)
        return bad_input("a second stock of '" + other.colorant + "'", where);
    file.stocks.push_back(*std::move(stock));
  }
  if (file.stocks.empty()) return bad_input("no stock was found", name);
  return file;
}

}  // namespace mendtone::app
