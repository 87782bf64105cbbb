#pragma once
#include "app/wash/plan.hpp"
#include "app/wash/stocks.hpp"
#include "fuzz/demand.hpp"
#include "mendtone/results/palette.hpp"
#include "mendtone/results/walk.hpp"
#include "mendtone/results/wash.hpp"

namespace mendtone::fuzz {

/// Any bytes at all as a document: refused with a reason, or what was read is written and read again
/// to the same bytes.
template <class T>
std::optional<T> feed_document(std::string_view bytes) {
  auto read = results::read<T>(bytes, "f");
  if (!read) {
    demand(!read.error().message.empty(), "a refusal says why");
    return std::nullopt;
  }
  const std::string written = results::to_json(*read);
  const auto again = results::read<T>(written, "again");
  demand(static_cast<bool>(again), "what was read is written and read again");
  demand(results::to_json(*again) == written, "it comes back as it was");
  return *std::move(read);
}

/// As a palette, as the answer of a wash, and as a file of stocks.
inline int feed_wash(std::string_view bytes) {
  const auto stocks = app::read_stocks(bytes, "f", LoadUnit::g_m2);
  if (!stocks) demand(!stocks.error().message.empty(), "a refusal says why");
  (void)feed_document<results::PaletteDocument>(bytes);
  if (const auto wash = feed_document<results::WashAnswer>(bytes))
    if (const auto state = app::state_of(wash->problem); !state)
      demand(!state.error().message.empty(), "a refusal says why");
  return 0;
}

}  // namespace mendtone::fuzz
