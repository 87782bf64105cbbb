#include "mendtone/report/sentences.hpp"

namespace mendtone::report {
namespace {

constexpr std::string_view texts[] = {
#define MENDTONE_SENTENCE(name, text) text,
#include "mendtone/report/sentences.list"
#undef MENDTONE_SENTENCE
};

constexpr Sentence sentences[] = {
#define MENDTONE_SENTENCE(name, text) Sentence::name,
#include "mendtone/report/sentences.list"
#undef MENDTONE_SENTENCE
};

const std::string* text_at(std::string_view name, std::initializer_list<Place> places) {
  for (const Place& place : places)
    if (place.name == name) return &place.text;
  return nullptr;
}

}  // namespace

std::string_view words_of(Sentence sentence) {
  return texts[static_cast<std::size_t>(sentence)];
}

std::span<const Sentence> all_sentences() {
  return sentences;
}

std::string say(Sentence sentence, std::initializer_list<Place> places) {
  std::string said;
  std::string_view left = words_of(sentence);
  while (true) {
    const std::size_t open = left.find('{');
    said += left.substr(0, open);
    if (open == std::string_view::npos) break;
    const std::size_t close = left.find('}', open);
    const std::string* text = text_at(left.substr(open + 1, close - open - 1), places);
    // A place that was not given shows itself, and a test finds it.
    said += text ? *text : std::string(left.substr(open, close + 1 - open));
    left.remove_prefix(close + 1);
  }
  return said;
}

}  // namespace mendtone::report
