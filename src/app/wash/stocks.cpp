#include "app/wash/stocks.hpp"

#include <algorithm>
#include <map>
#include <optional>

#include "app/inputs/columns.hpp"
#include "app/inputs/text.hpp"
#include "formats/csv_cells.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

using Row = std::map<std::string, std::string>;

const std::vector<std::string> columns{"colorant", "stock",   "g_per_ml",    "ml_per_drop",
                                       "drops",    "drops_g", "density_g_ml"};

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

/// Semicolons where the heading has one; decimal commas then.
char separator_of(std::string_view text) {
  while (!text.empty()) {
    const std::string_view line = text.substr(0, text.find('\n'));
    text.remove_prefix(std::min(line.size() + 1, text.size()));
    if (!line.starts_with('#') && !trimmed(line, " \t\r").empty())
      return line.find(';') != std::string_view::npos ? ';' : ',';
  }
  return ',';
}

Result<void> check_heading(const std::vector<std::string>& heading, const std::string& where) {
  if (std::find(heading.begin(), heading.end(), "colorant") == heading.end())
    return bad_input(
        "expected a stock file with a column colorant, found '" + joined(heading, ", ") + "'",
        where);
  return check_columns(heading, columns, "a stock file", where);
}

}  // namespace

Result<StockFile> read_stocks(std::string_view text, const std::string& name, LoadUnit unit) {
  StockFile file;
  std::vector<std::string> heading;
  const char between = separator_of(text);
  formats::CsvRows rows(text, between);
  formats::CsvRow row;
  while (rows.next(row)) {
    const std::string where = name + ", line " + std::to_string(row.line);
    for (std::string& cell : row.cells) cell = trimmed(cell);
    if (heading.empty()) {
      heading = row.cells;
      MENDTONE_TRY(check_heading(heading, where));
      continue;
    }
    if (row.cells.size() != heading.size())
      return bad_input("expected " + std::to_string(heading.size()) + " cells, found " +
                           std::to_string(row.cells.size()),
                       where);
    Row cells;
    for (std::size_t i = 0; i < heading.size(); ++i) cells[heading[i]] = row.cells[i];
    auto stock = stock_of(cells, between == ';' ? ',' : '.', unit, where, file.warnings);
    if (!stock) return stock.error();
    for (const Stock& other : file.stocks)
      if (other.colorant == stock->colorant)
        return bad_input("a second stock of '" + other.colorant + "'", where);
    file.stocks.push_back(*std::move(stock));
  }
  MENDTONE_TRY(rows.sound(name));
  if (file.stocks.empty()) return bad_input("no stock was found", name);
  return file;
}

}  // namespace mendtone::app
