#pragma once
#include <cstddef>
#include <iterator>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/formats/read.hpp"

namespace mendtone::formats {

/// The wavelengths of a reading in its file's order. Readings that have the same ones share a list,
/// see `RawFile::add`; what changes one makes a list of its own.
class FileBands {
 public:
  FileBands() = default;
  FileBands(std::vector<double> nm)
      : nm_(nm.empty() ? nullptr : std::make_shared<std::vector<double>>(std::move(nm))) {}

  std::size_t size() const { return nm_ ? nm_->size() : 0; }
  bool empty() const { return size() == 0; }
  double front() const { return nm_->front(); }
  double back() const { return nm_->back(); }
  double operator[](std::size_t i) const { return (*nm_)[i]; }
  void push_back(double nm) { own().push_back(nm); }
  void clear() { nm_.reset(); }

  const std::vector<double>& list() const {
    static const std::vector<double> none;
    return nm_ ? *nm_ : none;
  }
  std::vector<double>& own() {
    if (!nm_)
      nm_ = std::make_shared<std::vector<double>>();
    else if (nm_.use_count() > 1)
      nm_ = std::make_shared<std::vector<double>>(*nm_);
    return *nm_;
  }
  /// Both have one list in memory.
  bool shares(const FileBands& other) const { return nm_ == other.nm_; }

 private:
  std::shared_ptr<std::vector<double>> nm_;
};

/// A reading as its file has it: wavelengths in the file's order, values in the file's scale.
struct RawReading {
  Reading reading;                    ///< without `spectrum`
  FileBands nm;                       ///< as many as there are values
  std::vector<double> value;          ///< empty: none stated
  std::optional<Scale> stated;        ///< by the row, the heading or the format
  bool emission = false;              ///< said to be a lamp's or a display's light: no reading
  bool has_holes = false;             ///< bands that the file leaves blank are missing
  std::string what;                   ///< what the file calls it, for 'no reading'; may be empty
  std::optional<double> x, y, cct_K;  ///< of a lamp: stated chromaticity (CIE 1931), temperature
};

/// The same files carry readings of sheets and lamps; one kind is asked for, the other is named in
/// `not_readings`.
enum class Wanted { readings, lamps };
/// The readings of one table, in blocks: it grows without copying what is there, and gives each
/// block's memory back as soon as it has been taken out. A file of 64 MB is a quarter of a million
/// readings.
class RawTable {
 public:
  template <class Table, class Item>
  class Walk {
   public:
    using iterator_category = std::forward_iterator_tag;
    using value_type = RawReading;
    using difference_type = std::ptrdiff_t;
    using pointer = Item*;
    using reference = Item&;
    Walk(Table* table, std::size_t at) : table_(table), at_(at) {}
    Item& operator*() const { return (*table_)[at_]; }
    Walk& operator++() {
      ++at_;
      return *this;
    }
    bool operator==(const Walk& other) const { return at_ == other.at_; }
    bool operator!=(const Walk& other) const { return at_ != other.at_; }

   private:
    Table* table_;
    std::size_t at_;
  };

  void push_back(RawReading raw) {
    if (size_ % block == 0) blocks_.emplace_back();
    blocks_.back().push_back(std::move(raw));
    ++size_;
  }
  std::size_t size() const { return size_; }
  bool empty() const { return size_ == 0; }
  RawReading& operator[](std::size_t i) { return blocks_[i / block][i % block]; }
  const RawReading& operator[](std::size_t i) const { return blocks_[i / block][i % block]; }
  auto begin() { return Walk<RawTable, RawReading>(this, 0); }
  auto end() { return Walk<RawTable, RawReading>(this, size_); }
  auto begin() const { return Walk<const RawTable, const RawReading>(this, 0); }
  auto end() const { return Walk<const RawTable, const RawReading>(this, size_); }

  /// Takes the readings out one after another; the first refusal ends it.
  template <class Use>
  Result<void> take_each(Use use) {
    for (auto& one : blocks_) {
      for (RawReading& raw : one)
        if (auto done = use(raw); !done) return done;
      std::vector<RawReading>().swap(one);
    }
    blocks_.clear();
    size_ = 0;
    return {};
  }

 private:
  static constexpr std::size_t block = 2048;
  std::vector<std::vector<RawReading>> blocks_;
  std::size_t size_ = 0;
};

/// What one file may hold, so that no file takes more than some hundreds of MB of memory.
constexpr std::size_t most_readings = 400000;
constexpr std::size_t most_values = 14000000;
/// Says both limits.
Error too_much_for_a_file(const std::string& where);

/// How a format tells fractions from percent where nothing is stated.
enum class ScaleRule {
  by_range,            ///< CSV: above 2 is percent, up to 1.2 is fraction, between is refused
  fraction_unless_big  ///< the others: fraction unless a value above 2 (CxF3: 3) stands there
};

/// What a reader gathers; `tables` share one scale rule each.
struct RawFile {
  std::vector<RawTable> tables;
  std::vector<Warning> warnings;
  std::vector<std::string> not_readings;  ///< what else was found, for 'no reading in FILE'
  ScaleRule rule = ScaleRule::fraction_unless_big;
  double percent_above = 2;      ///< a highest value above this is taken for percent
  bool refuse_bare_lab = false;  ///< L*a*b* without light and observer: refused, or left out

  std::size_t readings = 0, values = 0;  ///< in all tables
  FileBands newest;                      ///< what the reading that was put in last has

  void warn(std::string text, std::string where) {
    warnings.push_back({std::move(text), std::move(where)});
  }
  /// Puts a reading into the last table. Refuses one that is too many for a file.
  Result<void> add(RawReading raw);
};

/// The reading's wavelengths made to rise; a wavelength that stands twice is refused.
Result<void> make_rise(std::vector<double>& nm, std::vector<double>& value, const Source& source);
/// Bands outside 300-850 nm, where no light shines and no observer sees, taken off; false: none.
bool trim_to_sight(std::vector<double>& nm, std::vector<double>& value);
/// Bands denser than two a nm averaged within each nm; false where they are not.
bool thin_out(std::vector<double>& nm, std::vector<double>& value);

/// Orders wavelengths, settles the scale, keeps what lies in the visible. Refuses a file in which
/// no reading is left: 'no reading in FILE: found …'.
Result<ReadFile> finish(RawFile raw, std::string_view file, const ReadOptions& options);

/// 'no reading in FILE: found …'.
Error no_reading(std::string_view file, const std::vector<std::string>& found);

// One a format; `text` is UTF-8 without a byte order mark.
Result<RawFile> read_csv(std::string_view text, std::string_view file, const ReadOptions& options);
Result<RawFile> read_cgats(std::string_view text, std::string_view file,
                           Wanted wanted = Wanted::readings);
Result<RawFile> read_cxf(std::string_view text, std::string_view file,
                         Wanted wanted = Wanted::readings);
Result<RawFile> read_jcamp(std::string_view text, std::string_view file,
                           Wanted wanted = Wanted::readings);
/// IES TM-27-14: one spectral distribution, of a lamp or of a sheet.
Result<RawFile> read_tm27(std::string_view text, std::string_view file,
                          Wanted wanted = Wanted::readings);

}  // namespace mendtone::formats
