#include "fuzz/replay.hpp"

#include "fuzz/wash_entry.hpp"

namespace mendtone::replay_test {
namespace {

TEST(Replay, PalettesWashesAndStocks) {
  fuzz::replay(MENDTONE_SOURCE_DIR "/tests/fuzz/corpus/wash", fuzz::feed_wash);
}

}  // namespace
}  // namespace mendtone::replay_test
