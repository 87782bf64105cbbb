#include "mendtone/adapters/spreadsheet.hpp"

#include <benchmark/benchmark.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>
#include <xlsxwriter.h>

#include <cstdlib>
#include <filesystem>
#include <orcus/orcus_xlsx.hpp>
#include <orcus/spreadsheet/import_interface.hpp>

#include "mendtone/adapters/files.hpp"
#include "mendtone/base/random.hpp"

// A sheet of 100,000 readings with a name, a role and 36 bands, of another library's making: read
// as readings by mendtone, and walked by liborcus's own reader of such files, which keeps nothing.

namespace {

using namespace mendtone;
namespace ss = orcus::spreadsheet;

constexpr int sheet_rows = 100000, sheet_bands = 36;

const std::string& workbook_bytes() {
  static const std::string bytes = [] {
    const std::string path =
        (std::filesystem::temp_directory_path() / "mendtone-benchmark.xlsx").string();
    lxw_workbook_options options{};
    options.constant_memory = true;
    lxw_workbook* book = workbook_new_opt(path.c_str(), &options);
    lxw_worksheet* sheet = workbook_add_worksheet(book, "Readings");
    worksheet_write_string(sheet, 0, 0, "name", nullptr);
    worksheet_write_string(sheet, 0, 1, "role", nullptr);
    for (int k = 0; k < sheet_bands; ++k)
      worksheet_write_number(sheet, 0, static_cast<lxw_col_t>(2 + k), 380 + 10 * k, nullptr);
    CounterRandom random(1894);
    for (int i = 0; i < sheet_rows; ++i) {
      const auto row = static_cast<lxw_row_t>(i + 1);
      worksheet_write_string(sheet, row, 0, ("spot " + std::to_string(i)).c_str(), nullptr);
      worksheet_write_string(sheet, row, 1, "target", nullptr);
      for (int k = 0; k < sheet_bands; ++k)
        worksheet_write_number(sheet, row, static_cast<lxw_col_t>(2 + k),
                               0.2 + 0.7 * random.uniform(), nullptr);
    }
    if (workbook_close(book) != LXW_NO_ERROR) std::abort();
    auto all = read_file(path);
    if (!all) std::abort();
    std::filesystem::remove(path);
    return *all;
  }();
  return bytes;
}

/// Takes everything and keeps nothing.
class NoSheet : public ss::iface::import_sheet {
 public:
  void set_auto(ss::row_t, ss::col_t, std::string_view) override { ++cells; }
  void set_string(ss::row_t, ss::col_t, ss::string_id_t) override { ++cells; }
  void set_value(ss::row_t, ss::col_t, double) override { ++cells; }
  void set_bool(ss::row_t, ss::col_t, bool) override { ++cells; }
  void set_date_time(ss::row_t, ss::col_t, int, int, int, int, int, double) override { ++cells; }
  void set_format(ss::row_t, ss::col_t, std::size_t) override {}
  void set_format(ss::row_t, ss::col_t, ss::row_t, ss::col_t, std::size_t) override {}
  void fill_down_cells(ss::row_t, ss::col_t, ss::row_t) override {}
  ss::range_size_t get_sheet_size() const override { return {1048576, 16384}; }
  std::size_t cells = 0;
};

/// Cells are named A1, B1 … AL100001.
class PlainNames : public ss::iface::import_reference_resolver {
 public:
  ss::src_address_t resolve_address(std::string_view name) override {
    ss::src_address_t at{0, 0, 0};
    for (const char c : name)
      if (c >= 'A' && c <= 'Z')
        at.column = at.column * 26 + (c - 'A' + 1);
      else
        at.row = at.row * 10 + (c - '0');
    --at.column, --at.row;
    return at;
  }
  ss::src_range_t resolve_range(std::string_view name) override {
    const std::size_t colon = name.find(':');
    const auto first = resolve_address(name.substr(0, colon));
    return {first, colon == name.npos ? first : resolve_address(name.substr(colon + 1))};
  }
};

class NoDocument : public ss::iface::import_factory {
 public:
  ss::iface::import_reference_resolver* get_reference_resolver(ss::formula_ref_context_t) override {
    return &names;
  }
  ss::iface::import_sheet* append_sheet(ss::sheet_t, std::string_view) override { return &sheet; }
  ss::iface::import_sheet* get_sheet(std::string_view) override { return &sheet; }
  ss::iface::import_sheet* get_sheet(ss::sheet_t) override { return &sheet; }
  void finalize() override {}
  NoSheet sheet;
  PlainNames names;
};

/// Does `work` in a process of its own and notes the most memory that it, or what it started, took.
template <class Work>
void in_own_process(benchmark::State& state, Work work) {
  const std::string& bytes = workbook_bytes();
  double most_mb = 0;
  for (auto _ : state) {
    const pid_t child = ::fork();
    if (child == 0) ::_exit(work(bytes) ? 0 : 1);
    int status = 0;
    rusage used{};
    if (::wait4(child, &status, 0, &used) != child || status != 0) {
      state.SkipWithError("the file was not read");
      break;
    }
    most_mb = std::max(most_mb, static_cast<double>(used.ru_maxrss) / 1024);
  }
  state.SetItemsProcessed(state.iterations() * sheet_rows);
  state.counters["peak_mb"] = most_mb;  // of one process, the workbook's own bytes within
}

void library_alone(benchmark::State& state) {
  in_own_process(state, [](const std::string& bytes) {
    NoDocument document;
    orcus::orcus_xlsx(&document).read_stream(bytes);
    return document.sheet.cells >= static_cast<std::size_t>(sheet_rows) * sheet_bands;
  });
}
BENCHMARK(library_alone)
    ->Name("spreadsheet/liborcus")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void as_readings(benchmark::State& state) {
  in_own_process(state, [](const std::string& bytes) {
    const auto book = read_workbook(bytes, "book.xlsx");
    if (!book) return false;
    const auto file = read_readings(*book, "book.xlsx");
    return file && file->readings.size() == sheet_rows;
  });
}
BENCHMARK(as_readings)->Name("spreadsheet/mendtone")->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
