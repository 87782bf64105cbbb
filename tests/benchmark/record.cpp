#include <benchmark/benchmark.h>

#include <filesystem>

#include "adapters/record_samples.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/report/report.hpp"

// A laboratory's years: 100,000 readings, 500 tissues of which each was read 12 times, 200 sheets.

namespace {

using namespace mendtone;
using namespace mendtone::record;

constexpr int sheets = 200, tissues = 500, repeats_of_tissue = 12, readings = 100000;

void fill(Store& store) {
  const auto filled = store.together([&]() -> Result<void> {
    for (int i = 0; i < sheets; ++i) {
      record::Sheet sheet = chart();
      sheet.name = "sheet " + std::to_string(i);
      (void)add(store, sheet, entry());
    }
    for (int i = 0; i < tissues; ++i) {
      Tissue tissue;
      tissue.name = "leftover " + std::to_string(i);
      tissue.left_cm2 = i % 5 == 0 ? 0 : 100 + i;
      (void)add(store, tissue, entry());
    }
    for (int i = 0; i < readings; ++i) {
      KeptReading reading = margin(i);
      if (i < tissues * repeats_of_tissue) {
        reading.tissue = i % tissues + 1;
        reading.reading.role = Role::tissue;
        reading.reading.name = "leftover " + std::to_string(i % tissues);
      } else {
        // Ten spots of each sheet, before and after, in many repeats.
        const int of_sheet = i / sheets;
        reading.sheet = i % sheets + 1;
        reading.reading.name = "spot " + std::to_string(of_sheet % 10);
        reading.stage = of_sheet / 10 % 2 == 0 ? "before" : "after";
      }
      if (auto kept = add(store, reading, entry()); !kept) return kept.error();
    }
    return {};
  });
  if (!filled) std::abort();
}

/// Made once; lies in the temporary folder until the next run makes it anew.
const std::string& big_record() {
  static const std::string path = [] {
    const std::string name =
        (std::filesystem::temp_directory_path() / "mendtone-benchmark.record").string();
    for (const char* tail : {"", "-wal", "-shm"}) std::filesystem::remove(name + tail);
    auto store = open_record(name, Opening::create_if_missing);
    if (!store) std::abort();
    fill(**store);
    return name;
  }();
  return path;
}

void open_it(benchmark::State& state) {
  const std::string& path = big_record();
  for (auto _ : state) {
    auto store = open_record(path, Opening::must_exist);
    benchmark::DoNotOptimize(*(*store)->count("sheet"));
  }
}
BENCHMARK(open_it)->Name("record/open")->Unit(benchmark::kMillisecond);

/// All that the ranking of the drawer reads: every reading of every leftover.
void read_drawer(benchmark::State& state) {
  const std::string& path = big_record();
  std::size_t found = 0;
  for (auto _ : state) {
    auto file = app::load({{"drawer"}, {}}, path);
    if (!file) std::abort();
    found = file->readings.size();
  }
  state.counters["readings"] = static_cast<double>(found);
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(found));
}
BENCHMARK(read_drawer)->Name("record/drawer")->Unit(benchmark::kMillisecond);

/// A report of one sheet: gathered, computed, set as HTML, PDF, CSV and JSON, and written.
void write_report(benchmark::State& state) {
  app::ReportRequest request;
  request.record = big_record();
  request.sheet = "sheet 7";
  request.folder = (std::filesystem::temp_directory_path() / "mendtone-benchmark-report").string();
  std::size_t readings_shown = 0;
  for (auto _ : state) {
    const auto written = app::report(request);
    if (!written) std::abort();
    readings_shown = written->readings;
  }
  std::filesystem::remove_all(request.folder);
  state.counters["tones"] = static_cast<double>(readings_shown);
}
BENCHMARK(write_report)->Name("record/report")->Unit(benchmark::kMillisecond);

/// One sheet with all of its parts, as the report and the page ask for it.
void read_sheet(benchmark::State& state) {
  auto store = open_record(big_record(), Opening::must_exist);
  std::size_t found = 0;
  for (auto _ : state) {
    auto whole = whole_sheet(**store, 7);
    if (!whole) std::abort();
    found = whole->readings.size();
  }
  state.counters["readings"] = static_cast<double>(found);
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(found));
}
BENCHMARK(read_sheet)->Name("record/sheet")->Unit(benchmark::kMillisecond);

}  // namespace
