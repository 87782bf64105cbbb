#pragma once
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "mendtone/report/story.hpp"

// The three parts of a report, and how their blocks are gathered.
namespace mendtone::report {

using Blocks = std::vector<Block>;

template <class T>
bool add(Blocks& blocks, std::optional<T> block) {
  if (block) blocks.emplace_back(*std::move(block));
  return block.has_value();
}

/// A heading and what belongs to it, unless there is nothing.
void section(Blocks& blocks, int level, const std::string& heading, Blocks inside);

/// What object, by whom and when, what was done to each loss and how near it came, what else
/// changed, what is not known, and where to sign. `detail`: less where a page does not hold it.
Blocks front_page(const ReportContent& content, Detail detail);

/// What was done, each fill with its wash, its trials and the cautions that concern it.
Blocks done_in_full(const ReportContent& content);

/// Readings, spectra, rankings, recipes, series, maps, methods: each once, set small.
Blocks annex(const ReportContent& content);

}  // namespace mendtone::report
