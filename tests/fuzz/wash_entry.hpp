#pragma once
#include "app/wash/palette_json.hpp"
#include "app/wash/stocks.hpp"
#include "app/wash/wash_json.hpp"
#include "fuzz/demand.hpp"

namespace mendtone::fuzz {

/// Any bytes at all as a palette, as the answer of a wash, and as a file of stocks: refused with a
/// reason, or what was read is written and read again to the same.
inline int feed_wash(std::string_view bytes) {
  using namespace app;
  const auto stocks = read_stocks(bytes, "f", LoadUnit::g_m2);
  if (!stocks) demand(!stocks.error().message.empty(), "a refusal says why");
  const auto json = json_from(bytes, "f");
  if (!json) return 0;
  const auto palette = palette_in(*json);
  if (palette) {
    Json written = document("colorant");
    put_palette(written, *palette);
    const auto again = palette_in(json_from(written.dump(), "again").value());
    demand(static_cast<bool>(again), "a palette that was read is written and read again");
    Json second = document("colorant");
    put_palette(second, *again);
    demand(second == written, "a palette comes back as it was");
  } else {
    demand(!palette.error().message.empty(), "a refusal says why");
  }
  const auto state = state_in(json_member(*json, "problem"));
  if (!state) return 0;
  const Json problem = state_json(*state);
  const auto again = state_in(json_from(problem.dump(), "again").value());
  demand(again && state_json(*again) == problem, "a wash comes back as it was");
  (void)trials_in(json_member(*json, "trials"), *state);
  (void)loads_in(*json, *state, 1);
  return 0;
}

}  // namespace mendtone::fuzz
