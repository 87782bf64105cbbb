#include "fuzz/replay.hpp"

#include "fuzz/record_entry.hpp"

namespace mendtone::replay_test {
namespace {

TEST(Replay, RowsAsAnyProgramMayHaveLeftThem) {
  fuzz::replay(MENDTONE_SOURCE_DIR "/tests/fuzz/corpus/record", fuzz::feed_record);
}

}  // namespace
}  // namespace mendtone::replay_test
