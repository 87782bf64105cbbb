#include "mendtone/report/story.hpp"

#include "report/story_parts.hpp"
#include "report/words.hpp"

namespace mendtone::report {

void section(Blocks& blocks, int level, const std::string& heading, Blocks inside) {
  if (inside.empty()) return;
  blocks.emplace_back(Heading{level, heading});
  for (Block& block : inside) blocks.emplace_back(std::move(block));
}

Story tell(const ReportContent& content, Detail first_page) {
  Story story;
  story.title = content.title.empty() ? "Colour report" : content.title;
  story.subtitle = content.object_id;
  story.running_head = joined({content.object_id, story.title}, "  \u00b7  ");
  story.running_foot =
      joined({content.date, content.program_version, content.data_notice}, "  \u00b7  ");
  story.blocks = front_page(content, first_page);
  // A page of its own for the annex, unless a good part of one is free.
  constexpr double good_part = 0.3;
  const auto add_part = [&](Blocks part, double unless_free, const char* heading) {
    if (part.empty()) return;
    story.blocks.emplace_back(NewPage{unless_free});
    if (heading) story.blocks.emplace_back(Heading{2, heading});
    for (Block& block : part) story.blocks.emplace_back(std::move(block));
  };
  add_part(done_in_full(content), 1, nullptr);
  add_part(annex(content), good_part, "Annex");
  return story;
}

}  // namespace mendtone::report
