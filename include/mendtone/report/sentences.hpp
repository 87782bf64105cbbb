#pragma once
#include <initializer_list>
#include <span>
#include <string>
#include <string_view>

// Every sentence that the report says of itself stands whole in one list, so that it can be read,
// corrected and, later, translated there. What was entered by hand is never part of it.
namespace mendtone::report {

enum class Sentence {
#define MENDTONE_SENTENCE(name, text) name,
#include "mendtone/report/sentences.list"
#undef MENDTONE_SENTENCE
};

/// What stands at a named place of a sentence.
struct Place {
  std::string_view name;
  std::string text;
};

/// The sentence with all its places filled; one that is not given stays in its braces.
std::string say(Sentence sentence, std::initializer_list<Place> places = {});

/// The sentence as it stands in the list, places in braces.
std::string_view words_of(Sentence sentence);
std::span<const Sentence> all_sentences();

}  // namespace mendtone::report
