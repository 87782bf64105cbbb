#include "mendtone/spectral/places.hpp"

namespace mendtone {
namespace {

constexpr std::string_view sheet_opens = ", sheet '";

bool is_sheet(std::string_view file) {
  return file.ends_with("'") && file.find(sheet_opens) != std::string_view::npos;
}

/// A, B … Z, AA …
std::string column_letters(std::size_t column) {
  std::string letters;
  for (; column > 0; column = (column - 1) / 26)
    letters.insert(letters.begin(), static_cast<char>('A' + (column - 1) % 26));
  return letters;
}

std::string cell_in_sheet(std::size_t line, std::size_t column) {
  const std::string row = line > 0 ? std::to_string(line) : std::string();
  if (column == 0) return line > 0 ? "row " + row : row;
  return (line > 0 ? "cell " : "column ") + column_letters(column) + row;
}

}  // namespace

std::string sheet_in(std::string_view file, std::string_view sheet) {
  return std::string(file) + std::string(sheet_opens) + std::string(sheet) + "'";
}

std::string spot_in(std::string_view file, std::size_t line, std::size_t column) {
  if (is_sheet(file)) return cell_in_sheet(line, column);
  std::string text;
  if (line > 0) text = "line " + std::to_string(line);
  if (column > 0) text += (text.empty() ? "column " : ", column ") + std::to_string(column);
  return text;
}

std::string place_in(std::string_view file, std::size_t line, std::size_t column) {
  const std::string spot = spot_in(file, line, column);
  return std::string(file) + (spot.empty() ? "" : ", ") + spot;
}

}  // namespace mendtone
