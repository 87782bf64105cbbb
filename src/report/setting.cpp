#include "report/setting.hpp"

#include <algorithm>

#include "mendtone/report/sentences.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

/// A size of letters, and how far lines lie apart.
struct Type {
  double size, leading;
};
constexpr Type body{10.3, 13.4}, small{8.4, 10.6}, caption{8, 10};

constexpr Type type_of(Set set) {
  return set == Set::small ? small : body;
}

struct Word {
  std::string text;
  Face face;
  double width;
};

/// Cuts a word that is wider than the line into pieces that are not.
void add_word(std::vector<Word>& words, std::string text, Face face, double size_pt, double most,
              const TextMeasure& measure) {
  double width = measure.width_pt(text, face, size_pt);
  while (width > most && characters(text) > 1) {
    std::size_t cut = text.size();
    double cut_width = width;
    while (cut > 1 && cut_width > most) {
      do --cut;
      while (cut > 0 && (static_cast<unsigned char>(text[cut]) & 0xC0) == 0x80);
      cut_width = measure.width_pt(std::string_view(text).substr(0, cut), face, size_pt);
    }
    if (cut == 0) break;
    words.push_back({text.substr(0, cut), face, cut_width});
    text.erase(0, cut);
    width = measure.width_pt(text, face, size_pt);
  }
  words.push_back({std::move(text), face, width});
}

std::vector<Word> words_of(const std::vector<Run>& runs, double size_pt, double most,
                           const TextMeasure& measure) {
  std::vector<Word> words;
  for (const Run& run : runs) {
    std::string word;
    for (const char c : run.text + " ") {
      if (c != ' ' && c != '\n' && c != '\t') {
        word += c;
      } else if (!word.empty()) {
        add_word(words, std::move(word), run.face, size_pt, most, measure);
        word.clear();
      }
    }
  }
  return words;
}

/// Puts a set line's runs on their baseline.
void place(std::vector<Item>& items, const SetLine& line, double x, double baseline, double size_pt,
           Ink ink = black) {
  for (const auto& [offset, run] : line.runs)
    items.emplace_back(
        Text{{x + offset, baseline}, run.text, run.face, size_pt, Anchor::start, ink, false});
}

/// Lines as slabs; the first two and the last two stay together.
std::vector<Slab> set_lines(const std::vector<SetLine>& lines, double indent, const Type& type) {
  std::vector<Slab> slabs;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    Slab slab;
    slab.height = type.leading;
    slab.keep_with_next = i + 1 < lines.size() && (i == 0 || i + 2 == lines.size());
    place(slab.items, lines[i], indent, type.leading * 0.76, type.size);
    slabs.push_back(std::move(slab));
  }
  return slabs;
}

/// Wraps slabs in one part of the document's structure.
void tag(std::vector<Slab>& slabs, const char* role) {
  if (slabs.empty()) return;
  auto& first = slabs.front().items;
  first.insert(first.begin(), Tag{true, role, {}});
  slabs.back().items.emplace_back(Tag{false, role, {}});
}

struct Setter {
  double width;
  const TextMeasure& measure;
  std::vector<Slab> slabs;

  void append(std::vector<Slab> more, double gap_before) {
    if (more.empty()) return;
    more.front().gap_before = gap_before;
    for (Slab& slab : more) slabs.push_back(std::move(slab));
  }

  void operator()(const Heading& heading) {
    const double size = heading.level <= 2 ? 14.5 : 12;
    const double leading = size * 1.25;
    Slab slab;
    for (const SetLine& line : broken({{heading.text, Face::serif_bold}}, size, width, measure)) {
      place(slab.items, line, 0, slab.height + leading * 0.76, size);
      slab.height += leading;
    }
    slab.height += 3;
    const std::string role = "H" + std::to_string(std::clamp(heading.level, 1, 6));
    slab.items.insert(slab.items.begin(), Tag{true, role, {}});
    slab.items.emplace_back(Tag{false, role, {}});
    slab.gap_before = heading.level <= 2 ? 16 : 12;
    slab.keep_with_next = true;
    slab.heading_level = heading.level;
    slab.heading = heading.text;
    slabs.push_back(std::move(slab));
  }

  void operator()(const Paragraph& p) {
    const Type type = type_of(p.set);
    auto lines = set_lines(
        broken({{p.lead, Face::serif_bold}, {p.text, Face::serif}}, type.size, width, measure), 0,
        type);
    tag(lines, "P");
    append(std::move(lines), p.set == Set::small ? 2.5 : 5);
  }

  void list(const std::vector<std::string>& items, double indent, const Type& type) {
    std::vector<Slab> all;
    for (const std::string& text : items) {
      auto set = set_lines(broken({{text, Face::serif}}, type.size, width - indent - 12, measure),
                           indent + 12, type);
      if (set.empty()) continue;
      set.front().items.insert(set.front().items.begin(), Text{{indent + 2, type.leading * 0.76},
                                                               "\u2022",
                                                               Face::serif,
                                                               type.size,
                                                               Anchor::start,
                                                               black,
                                                               false});
      set.front().gap_before = type.size > 9 ? 2.5 : 1.5;
      tag(set, "LI");
      for (Slab& slab : set) all.push_back(std::move(slab));
    }
    tag(all, "L");
    for (Slab& slab : all) slabs.push_back(std::move(slab));
  }

  void operator()(const Bullets& bullets) { list(bullets.items, 0, type_of(bullets.set)); }

  void operator()(const Facts& facts) {
    constexpr double value_x = 92, size = 9.2, leading = 12;
    double gap = 6;
    for (const auto& line : facts.lines) {
      Slab slab;
      place(slab.items, {{{0, {line[0], Face::sans_bold}}}}, 0, leading * 0.76, size);
      for (const SetLine& set : broken({{line[1], Face::sans}}, size, width - value_x, measure)) {
        place(slab.items, set, value_x, slab.height + leading * 0.76, size);
        slab.height += leading;
      }
      slab.height = std::max(slab.height, leading) + 1;
      slab.gap_before = gap;
      gap = 0;
      std::vector<Slab> one{std::move(slab)};
      tag(one, "P");
      slabs.push_back(std::move(one.front()));
    }
  }

  void operator()(const Boxed& box) {
    const std::size_t first = slabs.size();
    Slab head;
    head.height = 17;
    head.keep_with_next = true;
    head.gap_before = 16;
    head.items.emplace_back(Tag{true, "H2", {}});
    place(head.items, {{{0, {box.heading, Face::serif_bold}}}}, 12, 12, 12);
    head.items.emplace_back(Tag{false, "H2", {}});
    slabs.push_back(std::move(head));
    list(box.items, 12, body);
    // A rule at the left, drawn slab by slab so that it runs on over a page break.
    for (std::size_t i = first; i < slabs.size(); ++i) {
      const double above = i == first ? 0 : slabs[i].gap_before;
      Path rule;
      rule.lines = {{{{1.5, -above}, {1.5, slabs[i].height}}, false}};
      rule.stroke = black;
      rule.stroke_pt = 3;
      slabs[i].items.emplace_back(std::move(rule));
    }
  }

  void operator()(const Table& table) { append(set_table(table, width, measure), 10); }
  void operator()(const TwoTables& two) { append(set_tables(two, width, measure), 10); }

  void operator()(const Figure& figure) {
    double gap = 10;
    for (const FigureRow& row : figure.rows) {
      Slab slab;
      slab.items.emplace_back(Tag{true, "Figure", row.alt});
      slab.items.insert(slab.items.end(), row.drawing.items.begin(), row.drawing.items.end());
      slab.items.emplace_back(Tag{false, "Figure", {}});
      slab.height = row.drawing.height;
      slab.gap_before = gap;
      gap = 0;
      slabs.push_back(std::move(slab));
    }
    if (figure.caption.empty()) return;
    slabs.back().keep_with_next = true;
    Slab slab;
    slab.height = 4;
    slab.items.emplace_back(Tag{true, "P", {}});
    for (const SetLine& line :
         broken({{figure.caption, Face::sans_italic}}, caption.size, width, measure)) {
      place(slab.items, line, 0, slab.height + caption.leading * 0.76, caption.size, dark);
      slab.height += caption.leading;
    }
    slab.items.emplace_back(Tag{false, "P", {}});
    slab.height += 3;
    slabs.push_back(std::move(slab));
  }

  void operator()(const Signature& signature) {
    Slab slab;
    slab.gap_before = 30;
    slab.height = 14;
    Drawing lines;
    Pen pen(lines);
    pen.line({0, 0}, {290, 0}, 0.4, black);
    pen.line({320, 0}, {width, 0}, 0.4, black);
    pen.text({0, 10}, "Signed");
    pen.text({320, 10}, "Date");
    if (!signature.record_head.empty()) {
      pen.text({0, 22}, say(Sentence::record_head), 7.4, Anchor::start, Face::sans, dark);
      pen.text({0, 31}, signature.record_head, 7.4, Anchor::start, Face::sans, dark);
      slab.height = 34;
    }
    slab.items = std::move(lines.items);
    std::vector<Slab> one{std::move(slab)};
    tag(one, "P");
    slabs.push_back(std::move(one.front()));
  }

  void operator()(const NewPage& page) {
    Slab slab;
    slab.opens_page = true;
    slab.unless_free = page.unless_free;
    slabs.push_back(std::move(slab));
  }
};

}  // namespace

std::vector<SetLine> broken(const std::vector<Run>& runs, double size_pt, double width,
                            const TextMeasure& measure) {
  std::vector<SetLine> lines;
  double x = 0;
  for (Word& word : words_of(runs, size_pt, width, measure)) {
    const double blank = measure.width_pt(" ", word.face, size_pt);
    if (lines.empty() || x + blank + word.width > width) {
      lines.emplace_back();
      x = 0;
    } else {
      x += blank;
    }
    auto& line = lines.back().runs;
    // Words of one face become one run, so that copied text keeps its blanks.
    if (!line.empty() && line.back().second.face == word.face)
      line.back().second.text += " " + word.text;
    else
      line.push_back({x, {word.text, word.face}});
    x += word.width;
  }
  // A blank where a line was broken, so that copied and spoken words do not run together.
  for (std::size_t i = 0; i + 1 < lines.size(); ++i) lines[i].runs.back().second.text += " ";
  return lines;
}

void shift(std::vector<Item>& items, double dx, double dy) {
  const auto move = [&](Point& p) { p = {p.x + dx, p.y + dy}; };
  for (Item& item : items) {
    if (auto* path = std::get_if<Path>(&item))
      for (Polyline& line : path->lines)
        for (Point& p : line.points) move(p);
    if (auto* text = std::get_if<Text>(&item)) move(text->at);
    if (auto* image = std::get_if<Image>(&item)) move(image->at);
  }
}

double widest_word(const std::string& text, Face face, double size_pt, const TextMeasure& measure) {
  double widest = 0;
  for (const Word& word : words_of({{text, face}}, size_pt, 1e9, measure))
    widest = std::max(widest, word.width);
  return widest;
}

std::vector<Slab> set_block(const Block& block, double width, const TextMeasure& measure) {
  Setter setter{width, measure, {}};
  std::visit(setter, block);
  return std::move(setter.slabs);
}

}  // namespace mendtone::report
