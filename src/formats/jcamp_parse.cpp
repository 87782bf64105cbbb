#include "formats/jcamp.hpp"

namespace mendtone::formats {
namespace {

std::string_view without_comment(std::string_view line) {
  return line.substr(0, line.find("$$"));
}

bool is_table(std::string_view label) {
  return is_one_of(label, {"xydata", "xypoints", "peaktable", "peakassignments", "datatable",
                           "radata", "xydataold"});
}

constexpr std::size_t most_lines = 4000000, most_records = 1000000;

class Parser {
 public:
  Parser(std::string_view text, std::string_view file) : rest_(text), file_(file) {}

  Result<std::vector<JcampBlock>> parse() {
    for (std::size_t number = 1; !rest_.empty(); ++number) {
      if (number > most_lines || records_ > most_records)
        return bad_input("expected at most " + std::to_string(most_lines) + " lines and " +
                             std::to_string(most_records) + " labelled records, found more",
                         place(file_, number));
      const std::string_view line = take_line(rest_);
      const std::string_view plain = trim(without_comment(line));
      if (plain.starts_with("##"))
        record(plain.substr(2), number);
      else if (!plain.empty())
        more(plain, number);
    }
    if (blocks_.empty())
      return bad_input("expected ##TITLE= and data, found neither", std::string(file_));
    return std::move(blocks_);
  }

 private:
  JcampBlock& block() { return blocks_[open_.empty() ? blocks_.size() - 1 : open_.back()]; }

  void record(std::string_view text, std::size_t line) {
    ++records_;
    const std::size_t equals = text.find('=');
    const std::string label = squeezed(text.substr(0, equals));
    const std::string_view value =
        equals == std::string_view::npos ? "" : trim(text.substr(equals + 1));
    in_table_ = false;
    last_ = nullptr;
    if (label == "title" || blocks_.empty()) {
      blocks_.emplace_back();
      blocks_.back().line = line;
      open_.push_back(blocks_.size() - 1);
      page_.clear();
    }
    if (label == "end") {
      if (!open_.empty()) open_.pop_back();
      return;
    }
    if (is_table(label)) {
      records_ += page_.size();  // of which each table gets a copy
      block().tables.push_back({label, std::string(value), line, {}, page_});
      in_table_ = true;
      return;
    }
    if (label.empty()) return;
    if (label == "page") page_.clear();
    if (label == "page" || !page_.empty()) page_[label] = {std::string(value), line};
    const auto [at, is_new] = block().records.emplace(label, JcampValue{std::string(value), line});
    if (is_new) last_ = &at->second;
  }

  /// A line without a label goes on with what stands before it.
  void more(std::string_view text, std::size_t line) {
    if (blocks_.empty()) return;
    if (in_table_)
      block().tables.back().lines.push_back({text, line});
    else if (last_)
      last_->text += "\n" + std::string(text);
  }

  std::string_view rest_, file_;
  std::vector<JcampBlock> blocks_;
  std::vector<std::size_t> open_;
  std::map<std::string, JcampValue> page_;
  JcampValue* last_ = nullptr;
  std::size_t records_ = 0;
  bool in_table_ = false;
};

}  // namespace

std::string JcampBlock::text(const std::string& label) const {
  const auto at = records.find(label);
  return at == records.end() ? std::string() : std::string(trim(at->second.text));
}

std::optional<double> JcampBlock::number(const std::string& label) const {
  const std::string value = text(label);
  return number_in(value, value.find(',') != std::string::npos ? ',' : '.');
}

Result<std::vector<JcampBlock>> parse_jcamp(std::string_view text, std::string_view file) {
  return Parser(text, file).parse();
}

}  // namespace mendtone::formats
