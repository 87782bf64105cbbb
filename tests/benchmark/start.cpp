// What a verb without a picture costs before it does anything: the program, and the same program
// with the libraries of pictures linked into it, each printing its help.
#include "benchmark/run_program.hpp"

namespace {

void ours(benchmark::State& state) {
  mendtone::programs::run_program(state, {MENDTONE_PROGRAM, "--help"});
}
void with_libraries(benchmark::State& state) {
  mendtone::programs::run_program(state, {MENDTONE_WITH_PICTURE_LIBRARIES, "--help"});
}

}  // namespace

BENCHMARK(ours)->Name("start/mendtone")->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(with_libraries)
    ->Name("start/with_picture_libraries")
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond);
