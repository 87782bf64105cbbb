#include <charconv>
#include <map>

#include "sheets/parts.hpp"
#include "sheets/read.hpp"

// ECMA-376 part 1, 18.2 (workbook), 18.3 (worksheets), 18.4 (shared strings). The library's parser
// is used, its filter for whole documents not: that one leaves out cells whose text stands in line.
namespace mendtone::sheets {
namespace {

std::int64_t whole(std::string_view text) {
  std::int64_t value = -1;
  const auto end = text.data() + text.size();
  const auto read = std::from_chars(text.data(), end, value);
  return read.ec == std::errc() && read.ptr == end ? value : -1;
}

struct Named {
  std::string name, id;
};

/// The sheets in the workbook's order.
struct WorkbookReader {
  std::vector<Named> sheets;
  void start(std::string_view element, const Attributes& a) {
    if (element == "sheet") sheets.push_back({std::string(a.at("name")), std::string(a.at("id"))});
  }
  void end(std::string_view) {}
  void text(std::string_view) {}
};

/// Where the sheets' parts are.
struct RelationsReader {
  std::map<std::string, std::string> target;
  void start(std::string_view element, const Attributes& a) {
    if (element != "Relationship") return;
    std::string path(a.at("Target"));
    path = !path.empty() && path.front() == '/' ? path.substr(1) : "xl/" + path;
    target[std::string(a.at("Id"))] = path;
    if (a.at("Type").ends_with("/sharedStrings")) target["shared strings"] = path;
  }
  void end(std::string_view) {}
  void text(std::string_view) {}
};

/// Text in <t>, but for the phonetic hints in <rPh>.
class TextOf {
 public:
  void start(std::string_view element) {
    if (element == "rPh") ++hints_;
    inside_ = element == "t" && hints_ == 0;
  }
  void end(std::string_view element) {
    if (element == "rPh") --hints_;
    inside_ = false;
  }
  void add(std::string_view text, std::string& to) const {
    if (inside_) to += text;
  }

 private:
  int hints_ = 0;
  bool inside_ = false;
};

struct SharedReader {
  std::vector<std::string> texts;
  TextOf inner;
  void start(std::string_view element, const Attributes&) {
    if (element == "si") texts.emplace_back();
    inner.start(element);
  }
  void end(std::string_view element) { inner.end(element); }
  void text(std::string_view text) {
    if (!texts.empty()) inner.add(text, texts.back());
  }
};

class SheetReader {
 public:
  SheetReader(const std::vector<std::string>& shared, Rows& rows) : shared_(shared), rows_(rows) {}

  void start(std::string_view element, const Attributes& a) {
    if (element == "row") {
      const std::int64_t stated = whole(a.at("r"));
      row_ = stated > 0 ? stated - 1 : row_ + 1;
      column_ = -1;
    } else if (element == "c") {
      place(a.at("r"));
      type_ = a.at("t");
      value_.clear();
    } else if (element == "v") {
      in_value_ = true;
    }
    inner_.start(element);
  }

  void end(std::string_view element) {
    if (element == "v") in_value_ = false;
    if (element == "c") rows_.put(row_, column_, cell());
    inner_.end(element);
  }

  void text(std::string_view text) {
    if (in_value_)
      value_ += text;
    else
      inner_.add(text, value_);
  }

 private:
  /// 'AB12'; where no name is stated, the next column.
  void place(std::string_view name) {
    std::size_t letters = 0;
    std::int64_t column = 0;
    while (letters < name.size() && letters < 4 && name[letters] >= 'A' && name[letters] <= 'Z')
      column = column * 26 + (name[letters++] - 'A' + 1);
    if (letters == 0) {
      ++column_;
      return;
    }
    column_ = column - 1;
    const std::int64_t row = whole(name.substr(letters));
    if (row < 1) throw std::runtime_error("a cell's name is damaged");
    row_ = row - 1;
  }

  std::string_view cell() const {
    if (type_ == "s") {
      const std::int64_t at = whole(value_);
      if (at < 0 || at >= static_cast<std::int64_t>(shared_.size()))
        throw std::runtime_error("a cell refers to a text that is not there");
      return shared_[static_cast<std::size_t>(at)];
    }
    if (type_ == "b") return value_ == "1" ? "TRUE" : "FALSE";
    return value_;
  }

  const std::vector<std::string>& shared_;
  Rows& rows_;
  TextOf inner_;
  std::int64_t row_ = -1, column_ = -1;
  std::string type_, value_;
  bool in_value_ = false;
};

}  // namespace

void read_xlsx(std::string_view bytes, Rows& rows) {
  const Parts parts(bytes);
  WorkbookReader workbook;
  walk(parts.part("xl/workbook.xml"), workbook);
  RelationsReader relations;
  walk(parts.part("xl/_rels/workbook.xml.rels"), relations);
  SharedReader shared;
  walk(parts.part(relations.target["shared strings"]), shared);
  for (const Named& sheet : workbook.sheets) {
    rows.begin_sheet(sheet.name);
    SheetReader reader(shared.texts, rows);
    walk(parts.part(relations.target[sheet.id]), reader);
  }
}

}  // namespace mendtone::sheets
