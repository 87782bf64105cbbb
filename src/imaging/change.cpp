#include "mendtone/imaging/change.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <condition_variable>
#include <mutex>
#include <numeric>
#include <optional>
#include <thread>

#include "imaging/sliding_rows.hpp"
#include "imaging/warp.hpp"
#include "mendtone/colour/de00_planar.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone {
namespace {

constexpr std::size_t most_window_pixels = 12'000'000;

/// DeltaE00 in bins of 0.002; integers, so that the order of adding does not matter.
class Histogram {
 public:
  void add(float de00) {
    const auto bin = static_cast<std::size_t>(de00 * (1 / width));
    ++bins_[std::min(bin, bins_.size() - 1)];
    max_ = std::max(max_, de00);
  }
  void add(const Histogram& other) {
    for (std::size_t i = 0; i < bins_.size(); ++i) bins_[i] += other.bins_[i];
    max_ = std::max(max_, other.max_);
  }
  double max() const { return max_; }
  double percentile(double share, std::size_t total) const {
    const double target = share * static_cast<double>(total);
    double below = 0;
    for (std::size_t i = 0; i + 1 < bins_.size(); ++i) {
      const auto here = static_cast<double>(bins_[i]);
      if (here > 0 && below + here >= target)
        return std::min(max(), (static_cast<double>(i) + (target - below) / here) * width);
      below += here;
    }
    return max_;
  }

 private:
  static constexpr float width = 0.002f;
  std::vector<std::uint32_t> bins_ = std::vector<std::uint32_t>(20001);
  float max_ = 0;
};

struct Sums {
  double de00 = 0, dL = 0, da = 0, db = 0;
  std::size_t pixels = 0, not_covered = 0, above = 0;

  void add(const Sums& o) {
    de00 += o.de00;
    dL += o.dL;
    da += o.da;
    db += o.db;
    pixels += o.pixels;
    not_covered += o.not_covered;
    above += o.above;
  }
};

/// Eight sums side by side, so that the order of adding is the same on every processor.
double sum(const float* values, std::size_t count) {
  constexpr std::size_t lanes = 8;
  std::array<double, lanes> part{};
  std::size_t i = 0;
  for (; i + lanes <= count; i += lanes)
    for (std::size_t lane = 0; lane < lanes; ++lane)
      part[lane] += static_cast<double>(values[i + lane]);
  for (; i < count; ++i) part[i % lanes] += static_cast<double>(values[i]);
  return std::accumulate(part.begin(), part.end(), 0.0);
}

/// What one thread reuses from band to band.
struct Bench {
  CodedRows before, after;
  LabPixels one, two;
  std::vector<std::uint8_t> covered;
  ChangeRows out;
  std::vector<Histogram> histograms;
};

void brighten(LabPixels& lab, std::size_t count, double gain) {
  lab_to_relative_xyz(lab.L.data(), lab.a.data(), lab.b.data(), count);
  const auto g = static_cast<float>(gain);
  for (auto* plane : {&lab.L, &lab.a, &lab.b})
    for (std::size_t i = 0; i < count; ++i) (*plane)[i] *= g;
  relative_xyz_to_lab(lab.L.data(), lab.a.data(), lab.b.data(), count);
}

void differences(const LabPixels& one, const LabPixels& two, std::size_t count, float* de,
                 float* dL, float* da, float* db) {
  for (std::size_t i = 0; i < count; ++i) {
    dL[i] = two.L[i] - one.L[i];
    da[i] = two.a[i] - one.a[i];
    db[i] = two.b[i] - one.b[i];
  }
  de00_planar({{one.L.data(), count}, {one.a.data(), count}, {one.b.data(), count}},
              {{two.L.data(), count}, {two.a.data(), count}, {two.b.data(), count}}, {de, count});
}

/// The whole comparison: bands are read one at a time, worked on by all threads, and handed on in
/// order.
class Comparison {
 public:
  Comparison(RowReader& before, RowReader& after, const ChangeOptions& options, ChangeSink* sink)
      : before_(before), after_(after), after_rows_(after), options_(options), sink_(sink) {
    size_ = before.size();
    straight_ = options.after_from_before.identity() && before.size() == after.size();
    // Some 200 000 pixels a band: they stay in the cache, and waiting is short.
    // Whole groups of 32 rows, as they are usually packed in files.
    const int groups = std::max(1, 200'000 / std::max(1, 32 * size_.width));
    band_rows_ = std::clamp(32 * groups, 1, size_.height);
    bands_ = (size_.height + band_rows_ - 1) / band_rows_;
    sums_.resize(static_cast<std::size_t>(bands_) * options.regions.size());
    histograms_.resize(options.regions.size());
  }

  Result<std::vector<ChangeFigures>> run() {
    const int threads = std::clamp(options_.threads, 1, bands_);
    std::vector<std::thread> others;
    for (int i = 1; i < threads; ++i) others.emplace_back([this] { work(); });
    work();
    for (auto& thread : others) thread.join();
    if (error_) return *error_;
    return figures();
  }

 private:
  void work() {
    Bench bench;
    bench.histograms.resize(options_.regions.size());
    while (const auto band = fetch(bench)) {
      if (straight_)
        compare_straight(bench);
      else
        compare_warped(bench);
      count(bench, *band);
      if (!hand_on(bench, *band)) break;
    }
    const std::lock_guard lock(mutex_);
    for (std::size_t r = 0; r < histograms_.size(); ++r) histograms_[r].add(bench.histograms[r]);
  }

  /// Reads the next band; nothing at the end or after an error.
  std::optional<int> fetch(Bench& bench) {
    std::unique_lock first(reading_before_);
    if (next_ >= bands_ || stopped()) return {};
    const int band = next_++, y0 = band * band_rows_, y1 = std::min(size_.height, y0 + band_rows_);
    bench.out.width = size_.width;
    bench.out.y0 = y0;
    bench.out.y1 = y1;
    if (auto read = before_.read(y0, y1, bench.before); !read) return stop(read.error());
    // Hand over hand: the next band's before is read beside this one's after, and both in order.
    const std::lock_guard second(reading_after_);
    first.unlock();
    if (straight_) {
      if (auto read = after_.read(y0, y1, bench.after); !read) return stop(read.error());
      return band;
    }
    const ImageSize after = after_.size();
    const RowRange rows = rows_needed(options_.after_from_before, size_.width, y0, y1, after);
    bench.after.y0 = bench.after.y1 = 0;
    if (rows.empty()) return band;
    if (static_cast<std::size_t>(rows.y1 - rows.y0) * static_cast<std::size_t>(after.width) >
        most_window_pixels)
      return stop(
          bad_input("the after photograph is turned too far against the before one; turn "
                    "it upright first"));
    if (auto read = after_rows_.fetch(rows.y0, rows.y1, bench.after); !read)
      return stop(read.error());
    return band;
  }

  std::size_t band_pixels(const Bench& bench) const {
    return static_cast<std::size_t>(bench.out.y1 - bench.out.y0) *
           static_cast<std::size_t>(size_.width);
  }

  void resize(Bench& bench) const {
    const std::size_t n = band_pixels(bench);
    bench.out.de00.resize(n);
    bench.out.dL.resize(n);
    bench.out.da.resize(n);
    bench.out.db.resize(n);
  }

  void compare_straight(Bench& bench) const {
    resize(bench);
    constexpr std::size_t run = 4096;
    bench.one.resize(run);
    bench.two.resize(run);
    const CodedSpan before = bench.before.span(), after = bench.after.span();
    for (std::size_t i = 0; i < before.count; i += run) {
      const std::size_t n = std::min(run, before.count - i);
      before_.transform().to_lab(before.part(i, n), bench.one.L.data(), bench.one.a.data(),
                                 bench.one.b.data());
      after_.transform().to_lab(after.part(i, n), bench.two.L.data(), bench.two.a.data(),
                                bench.two.b.data());
      if (options_.after_gain != 1) brighten(bench.two, n, options_.after_gain);
      differences(bench.one, bench.two, n, &bench.out.de00[i], &bench.out.dL[i], &bench.out.da[i],
                  &bench.out.db[i]);
    }
  }

  void compare_warped(Bench& bench) const {
    resize(bench);
    constexpr int columns = 512;
    const std::size_t most =
        static_cast<std::size_t>(columns) * static_cast<std::size_t>(bench.out.y1 - bench.out.y0);
    bench.one.resize(columns);
    bench.two.resize(most);
    bench.covered.resize(most);
    LabPixels row_two;
    row_two.resize(columns);
    Warp warp(options_.after_from_before, after_.transform(), after_.size());
    for (int x0 = 0; x0 < size_.width; x0 += columns) {
      const int x1 = std::min(size_.width, x0 + columns);
      const auto n = static_cast<std::size_t>(x1 - x0);
      warp.block(bench.after, x0, x1, bench.out.y0, bench.out.y1, bench.two.L.data(),
                 bench.two.a.data(), bench.two.b.data(), bench.covered.data());
      if (options_.after_gain != 1) brighten(bench.two, most, options_.after_gain);
      for (int y = bench.out.y0; y < bench.out.y1; ++y) {
        before_.transform().to_lab(bench.before.row(y).part(static_cast<std::size_t>(x0), n),
                                   bench.one.L.data(), bench.one.a.data(), bench.one.b.data());
        const std::size_t from = static_cast<std::size_t>(y - bench.out.y0) * n;
        std::copy_n(&bench.two.L[from], n, row_two.L.data());
        std::copy_n(&bench.two.a[from], n, row_two.a.data());
        std::copy_n(&bench.two.b[from], n, row_two.b.data());
        const std::size_t to =
            static_cast<std::size_t>(y - bench.out.y0) * static_cast<std::size_t>(size_.width) +
            static_cast<std::size_t>(x0);
        differences(bench.one, row_two, n, &bench.out.de00[to], &bench.out.dL[to],
                    &bench.out.da[to], &bench.out.db[to]);
        for (std::size_t i = 0; i < n; ++i)
          if (!bench.covered[from + i]) {
            bench.out.de00[to + i] = ChangeRows::not_covered;
            bench.out.dL[to + i] = bench.out.da[to + i] = bench.out.db[to + i] = 0;
          }
      }
    }
  }

  void count(Bench& bench, int band) {
    const auto tolerance = static_cast<float>(options_.tolerance_de00);
    for (std::size_t r = 0; r < options_.regions.size(); ++r) {
      Sums& sums = sums_[static_cast<std::size_t>(band) * options_.regions.size() + r];
      Histogram& histogram = bench.histograms[r];
      for (int y = bench.out.y0; y < bench.out.y1; ++y)
        for (const Span& span : options_.regions[r].at(y)) {
          const std::size_t row =
              static_cast<std::size_t>(y - bench.out.y0) * static_cast<std::size_t>(size_.width);
          const std::size_t first = row + static_cast<std::size_t>(span.x0),
                            count = static_cast<std::size_t>(span.x1 - span.x0);
          const float* const de = &bench.out.de00[first];
          std::size_t pixels = 0;
          for (std::size_t i = 0; i < count; ++i) {
            if (de[i] < 0) continue;  // not covered
            histogram.add(de[i]);
            ++pixels;
            sums.above += de[i] > tolerance;
          }
          sums.pixels += pixels;
          sums.not_covered += count - pixels;
          // What is not covered stands as -1, and its parts as 0.
          sums.de00 += sum(de, count) + static_cast<double>(count - pixels);
          sums.dL += sum(&bench.out.dL[first], count);
          sums.da += sum(&bench.out.da[first], count);
          sums.db += sum(&bench.out.db[first], count);
        }
    }
  }

  bool hand_on(const Bench& bench, int band) {
    std::unique_lock lock(mutex_);
    turn_changed_.wait(lock, [&] { return turn_ == band || error_; });
    if (error_) return false;
    if (sink_)
      if (auto taken = sink_->take(bench.out); !taken) {
        error_ = taken.error();
        turn_changed_.notify_all();
        return false;
      }
    ++turn_;
    turn_changed_.notify_all();
    return true;
  }

  std::vector<ChangeFigures> figures() const {
    std::vector<ChangeFigures> all;
    const std::size_t regions = options_.regions.size();
    for (std::size_t r = 0; r < regions; ++r) {
      Sums total;
      for (std::size_t band = 0; band < static_cast<std::size_t>(bands_); ++band)
        total.add(sums_[band * regions + r]);
      ChangeFigures f;
      f.region = options_.regions[r].name;
      f.pixels = total.pixels;
      f.not_covered = total.not_covered;
      if (f.pixels > 0) {
        const auto n = static_cast<double>(f.pixels);
        f.mean_de00 = total.de00 / n;
        f.mean_dL = total.dL / n;
        f.mean_da = total.da / n;
        f.mean_db = total.db / n;
        f.share_above = static_cast<double>(total.above) / n;
        f.median_de00 = histograms_[r].percentile(0.50, f.pixels);
        f.p90_de00 = histograms_[r].percentile(0.90, f.pixels);
        f.p95_de00 = histograms_[r].percentile(0.95, f.pixels);
        f.p99_de00 = histograms_[r].percentile(0.99, f.pixels);
        f.max_de00 = histograms_[r].max();
      }
      all.push_back(std::move(f));
    }
    return all;
  }

  bool stopped() {
    const std::lock_guard lock(mutex_);
    return error_.has_value();
  }
  std::nullopt_t stop(const Error& error) {
    const std::lock_guard lock(mutex_);
    if (!error_) error_ = error;
    turn_changed_.notify_all();
    return std::nullopt;
  }

  RowReader &before_, &after_;
  SlidingRows after_rows_;
  const ChangeOptions& options_;
  ChangeSink* sink_;
  ImageSize size_;
  bool straight_ = false;
  int band_rows_ = 1, bands_ = 0;
  std::mutex reading_before_, reading_after_;
  int next_ = 0;  // guarded by reading_before_
  std::mutex mutex_;
  std::condition_variable turn_changed_;
  int turn_ = 0;  // guarded by mutex_, as are the next three
  std::optional<Error> error_;
  std::vector<Histogram> histograms_;
  std::vector<Sums> sums_;  // each band writes its own part
};

struct MeanLight {
  double X = 0, Y = 0, Z = 0;
  void add(float x, float y, float z) {
    X += x;
    Y += y;
    Z += z;
  }
};

Lab lab_of(const MeanLight& m, double n, double gain) {
  const double g = gain / n;
  return xyz_to_lab({m.X * g * image_white.X, m.Y * g * image_white.Y, m.Z * g * image_white.Z},
                    image_white);
}

}  // namespace

Result<std::vector<ChangeFigures>> compare_photographs(RowReader& before, RowReader& after,
                                                       const ChangeOptions& options,
                                                       ChangeSink* sink) {
  return Comparison(before, after, options, sink).run();
}

Result<Drift> drift_in(RowReader& before, RowReader& after, const PlaneMap& map,
                       const Region& unchanged) {
  SlidingRows after_rows(after);
  Warp warp(map, after.transform(), after.size());
  CodedRows rows_b, rows_a;
  LabPixels one, two;
  std::vector<std::uint8_t> covered;
  MeanLight mean_b, mean_a;
  Drift drift;
  const int width = before.size().width;
  for (int y = unchanged.y0; y < unchanged.y1(); ++y) {
    if (unchanged.at(y).empty()) continue;
    const RowRange need = rows_needed(map, width, y, y + 1, after.size());
    if (need.empty()) continue;
    MENDTONE_TRY(before.read(y, y + 1, rows_b));
    MENDTONE_TRY(after_rows.fetch(need.y0, need.y1, rows_a));
    for (const Span& span : unchanged.at(y)) {
      const auto n = static_cast<std::size_t>(span.x1 - span.x0);
      one.resize(n);
      two.resize(n);
      covered.resize(n);
      before.transform().to_lab(rows_b.row(y).part(static_cast<std::size_t>(span.x0), n),
                                one.L.data(), one.a.data(), one.b.data());
      warp.block(rows_a, span.x0, span.x1, y, y + 1, two.L.data(), two.a.data(), two.b.data(),
                 covered.data());
      lab_to_relative_xyz(one.L.data(), one.a.data(), one.b.data(), n);
      lab_to_relative_xyz(two.L.data(), two.a.data(), two.b.data(), n);
      for (std::size_t i = 0; i < n; ++i) {
        if (!covered[i]) continue;
        mean_b.add(one.L[i], one.a[i], one.b[i]);
        mean_a.add(two.L[i], two.a[i], two.b[i]);
        ++drift.pixels;
      }
    }
  }
  if (drift.pixels == 0)
    return bad_input("the unchanged area '" + unchanged.name + "' is not in both photographs");
  if (!(mean_a.Y > 0) || !(mean_b.Y > 0))
    return bad_input("the unchanged area '" + unchanged.name + "' is black in one photograph");
  drift.gain = mean_b.Y / mean_a.Y;
  const auto n = static_cast<double>(drift.pixels);
  drift.remaining_de00 = de00(lab_of(mean_b, n, 1), lab_of(mean_a, n, drift.gain));
  return drift;
}

}  // namespace mendtone
