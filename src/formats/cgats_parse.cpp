#include <algorithm>

#include "formats/cgats.hpp"
#include "formats/text.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::formats {
namespace {

bool is_blank(char c) {
  return c == ' ' || c == '\t';
}

/// A word in its place. Narrow numbers: a large file is millions of words.
CgatsToken token(std::string_view text, std::size_t line, std::size_t column) {
  return {text, static_cast<std::uint32_t>(line), static_cast<std::uint32_t>(column)};
}

struct TokenLine {
  std::vector<CgatsToken> tokens;
  bool open_quote = false;
};

/// The words of one line up to a comment; a quote counts only where a word begins.
TokenLine tokens_of(const Line& line) {
  TokenLine result;
  const std::string_view text = line.text;
  for (std::size_t i = 0; i < text.size();) {
    if (is_blank(text[i])) {
      ++i;
      continue;
    }
    if (text[i] == '#') break;
    const std::size_t from = i;
    if (text[i] == '"') {
      std::size_t end = text.find('"', from + 1);
      result.open_quote = end == std::string_view::npos;
      if (result.open_quote) end = text.size();
      result.tokens.push_back(token(text.substr(from + 1, end - from - 1), line.number, from + 1));
      i = std::min(end + 1, text.size());
      continue;
    }
    while (i < text.size() && !is_blank(text[i])) ++i;
    result.tokens.push_back(token(text.substr(from, i - from), line.number, from + 1));
  }
  return result;
}

/// The cells between tabs, for rows that leave cells blank or names unquoted.
std::vector<CgatsToken> tab_cells(const Line& line) {
  std::vector<CgatsToken> cells;
  std::string_view rest = line.text;
  std::size_t column = 1;
  for (bool more = true; more;) {
    std::size_t end = 0;
    bool inside = false;
    while (end < rest.size() && (inside || rest[end] != '\t')) inside ^= rest[end++] == '"';
    std::string_view cell = trim(rest.substr(0, end));
    if (cell.size() >= 2 && cell.front() == '"' && cell.back() == '"')
      cell = cell.substr(1, cell.size() - 2);
    cells.push_back(token(cell, line.number, column));
    more = end < rest.size();
    if (more) rest.remove_prefix(end + 1);
    column += end + 1;
  }
  return cells;
}

std::string upper(std::string_view text) {
  std::string result(text);
  for (char& c : result)
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  return result;
}

constexpr std::size_t most_header_lines = 100000, most_fields = 20000;

class Parser {
 public:
  Parser(std::string_view text, std::string_view file) : rest_(text), file_(file) {}

  Result<CgatsFile> parse() {
    Line line;
    while (take(line)) {
      const TokenLine words = tokens_of(line);
      if (words.tokens.empty()) continue;
      if (same_word(words.tokens[0].text, "BEGIN_DATA_FORMAT")) {
        MENDTONE_TRY(format(words, 1));
      } else if (same_word(words.tokens[0].text, "BEGIN_DATA")) {
        MENDTONE_TRY(data(line, words));
      } else {
        header(line, words);
      }
    }
    if (header_lines_ > most_header_lines)
      return bad_input(
          "expected at most " + std::to_string(most_header_lines) + " lines of header, found more",
          std::string(file_));
    if (result_.tables.empty())
      return bad_input("expected BEGIN_DATA … END_DATA, found no table", std::string(file_));
    return std::move(result_);
  }

 private:
  bool take(Line& line) {
    if (rest_.empty()) return false;
    line = {take_line(rest_), ++number_};
    return true;
  }

  void header(const Line& line, const TokenLine& words) {
    if (++header_lines_ > most_header_lines) return;  // refused at the end
    const CgatsToken& first = words.tokens[0];
    std::string key = upper(first.text);
    while (!key.empty() && key.back() == ':') key.pop_back();
    if (key == "KEYWORD" || is_one_of(key, {"END_DATA", "END_DATA_FORMAT"})) return;
    if (words.tokens.size() == 1) {
      if (table_.kind.empty()) table_.kind = key;
      return;
    }
    if (words.open_quote)
      result_.warnings.push_back({"a quote is opened and not closed; read to the end of the line",
                                  place(file_, line.number)});
    std::string value(words.tokens[1].text);
    for (std::size_t i = 2; i < words.tokens.size(); ++i)
      value += " " + std::string(words.tokens[i].text);
    auto& values = table_.header[key];
    if (!values.empty() && values.back().text != value && !may_repeat(key))
      result_.warnings.push_back(
          {"the header states " + key + " more than once; the last counts: " + quoted(value),
           place(file_, line.number)});
    values.push_back({std::move(value), line.number});
  }

  /// Keys that carry 'NAME, value' and so stand once for each name, and free text.
  static bool may_repeat(std::string_view key) {
    return is_one_of(key, {"WEIGHTING_FUNCTION", "COMPUTATIONAL_PARAMETER", "DESCRIPTOR", "REMARK",
                           "PROCESSCOLOR_ID", "MATERIAL", "COMMENT", "PRINT_CONDITIONS"});
  }

  Result<void> format(TokenLine words, std::size_t from) {
    const std::size_t opened = number_;
    table_.fields.clear();
    Line line;
    for (;;) {
      for (std::size_t i = from; i < words.tokens.size(); ++i) {
        if (same_word(words.tokens[i].text, "END_DATA_FORMAT")) return check_field_count();
        if (same_word(words.tokens[i].text, "BEGIN_DATA"))
          return bad_input("expected END_DATA_FORMAT, found BEGIN_DATA",
                           place(file_, words.tokens[i].line, words.tokens[i].column));
        if (table_.fields.size() == most_fields)
          return bad_input("expected at most " + std::to_string(most_fields) +
                               " fields in a table, found more",
                           place(file_, words.tokens[i].line, words.tokens[i].column));
        table_.fields.push_back(words.tokens[i]);
      }
      from = 0;
      if (!take(line))
        return bad_input("expected END_DATA_FORMAT, found the end of the file",
                         place(file_, opened));
      words = tokens_of(line);
    }
  }

  Result<void> check_field_count() {
    check_count("NUMBER_OF_FIELDS", table_.fields.size(), "fields");
    return {};
  }

  void check_count(std::string_view key, std::size_t found, std::string_view what) {
    const std::string stated = table_.last(key);
    const auto number = number_in(stated, '.');
    if (stated.empty() || (number && *number == static_cast<double>(found))) return;
    result_.warnings.push_back({std::string(key) + " says " + stated + ", found " +
                                    std::to_string(found) + " " + std::string(what),
                                place(file_, number_)});
  }

  /// The rows, however their cells are parted: by blanks on one line, by tabs with blank cells, or
  /// a row running on over several lines.
  Result<void> data(const Line& opening, TokenLine words) {
    table_.line = opening.number;
    if (table_.fields.empty()) {
      // A second table may use the first one's fields.
      if (result_.tables.empty())
        return bad_input("expected BEGIN_DATA_FORMAT before BEGIN_DATA",
                         place(file_, opening.number));
      table_.fields = result_.tables.back().fields;
    }
    words.tokens.erase(words.tokens.begin());
    Line line = opening;
    running_.clear();
    bool closed = false;
    for (bool first = true;; first = false) {
      if (!words.tokens.empty() && same_word(words.tokens.back().text, "END_DATA")) {
        words.tokens.pop_back();
        closed = true;
      }
      if (!words.tokens.empty()) MENDTONE_TRY(data_line(line, std::move(words), first || closed));
      if (closed || !take(line)) break;
      words = tokens_of(line);
    }
    return close_table(closed);
  }

  Result<void> data_line(const Line& line, TokenLine words, bool shared_line) {
    const std::size_t n = table_.fields.size();
    words_ += words.tokens.size();
    if (words_ > most_values || rows_ > most_readings)
      return too_much_for_a_file(place(file_, line.number));
    ++rows_;
    words.tokens.shrink_to_fit();
    if (words.open_quote)
      return bad_input("expected a closing quote, found the end of the line",
                       place(file_, line.number, words.tokens.back().column));
    if (running_.empty() && words.tokens.size() == n) {
      table_.rows.push_back(std::move(words.tokens));
      return {};
    }
    if (running_.empty() && !shared_line && line.text.find('\t') != std::string_view::npos) {
      auto cells = tab_cells(line);
      while (cells.size() > n && cells.back().text.empty()) cells.pop_back();
      if (cells.size() == n) {
        table_.rows.push_back(std::move(cells));
        return {};
      }
    }
    running_.insert(running_.end(), words.tokens.begin(), words.tokens.end());
    if (running_.size() == n) {
      table_.rows.push_back(std::move(running_));
      running_.clear();
    } else if (running_.size() > n) {
      return bad_input("expected " + std::to_string(n) + " values, one for each field, found " +
                           std::to_string(running_.size()) + " in the row that begins at line " +
                           std::to_string(running_.front().line),
                       place(file_, line.number, running_[n].column));
    }
    return {};
  }

  Result<void> close_table(bool closed) {
    if (!running_.empty())
      return bad_input("expected " + std::to_string(table_.fields.size()) +
                           " values, one for each field, found " + std::to_string(running_.size()) +
                           (closed ? " before END_DATA" : " before the end of the file"),
                       place(file_, running_.front().line, running_.front().column));
    const auto sets = number_in(table_.last("NUMBER_OF_SETS"), '.');
    if (!closed && (!sets || *sets != static_cast<double>(table_.rows.size())))
      return bad_input("expected END_DATA" +
                           (sets ? " after " + shortest(*sets) + " rows" : std::string()) +
                           ", found the end of the file after " +
                           std::to_string(table_.rows.size()) + ": the file is cut off",
                       place(file_, number_));
    check_count("NUMBER_OF_SETS", table_.rows.size(), "rows");
    result_.tables.push_back(std::move(table_));
    table_ = {};
    return {};
  }

  std::string_view rest_, file_;
  std::size_t number_ = 0, header_lines_ = 0, words_ = 0, rows_ = 0;
  CgatsTable table_;
  CgatsFile result_;
  std::vector<CgatsToken> running_;
};

}  // namespace

std::string CgatsTable::last(std::string_view key) const {
  const auto at = header.find(std::string(key));
  return at == header.end() ? std::string() : at->second.back().text;
}

Result<CgatsFile> parse_cgats(std::string_view text, std::string_view file) {
  return Parser(text, file).parse();
}

}  // namespace mendtone::formats
