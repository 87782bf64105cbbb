#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>

#include "base/clones.hpp"
#include "mendtone/formats/read.hpp"

namespace mendtone::memory_test {
namespace {

#ifdef MENDTONE_UNDER_SANITIZER
constexpr bool memory_tells = false;
#else
constexpr bool memory_tells = true;
#endif

constexpr std::size_t file_bytes = std::size_t{64} << 20;

void put_number(std::string& text, int ten_thousandths) {
  char digits[16];
  std::snprintf(digits, sizeof digits, ",0.%04d", ten_thousandths);
  text += digits;
}

/// Rows of 36 bands, each with a name of its own; invented.
std::string readings_csv() {
  std::string text = "name,scale";
  text.reserve(file_bytes);
  for (int nm = 380; nm <= 730; nm += 10) text += ',' + std::to_string(nm);
  text += '\n';
  for (int row = 0; text.size() + 400 < file_bytes; ++row) {
    text += "sheet " + std::to_string(row) + ",fraction";
    for (int band = 0; band < 36; ++band) put_number(text, 2000 + (row * 7 + band * 31) % 6000);
    text += '\n';
  }
  return text;
}

/// The same as CGATS.17.
std::string readings_cgats() {
  std::string text = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_NAME";
  text.reserve(file_bytes);
  for (int nm = 380; nm <= 730; nm += 10) text += " SPECTRAL_NM" + std::to_string(nm);
  text += "\nEND_DATA_FORMAT\nBEGIN_DATA\n";
  for (int row = 0; text.size() + 400 < file_bytes; ++row) {
    text += "\"sheet " + std::to_string(row) + "\"";
    for (int band = 0; band < 36; ++band) {
      put_number(text, 2000 + (row * 7 + band * 31) % 6000);
      text[text.size() - 7] = ' ';
    }
    text += '\n';
  }
  return text + "END_DATA\n";
}

struct Outcome {
  int peak_mb = 0;
  std::size_t readings = 0;
  bool refused = false;
};

/// Reads a text in a process of its own, which says what the most was that it held.
Outcome read_in_child(std::string (*make)()) {
  int ends[2];
  EXPECT_EQ(::pipe(ends), 0);
  const pid_t child = ::fork();
  if (child == 0) {
    Outcome outcome;
    const std::string text = make();
    const auto file = read_readings(text, "large");
    outcome.refused = !file;
    if (file) outcome.readings = file->readings.size();
    rusage used{};
    ::getrusage(RUSAGE_SELF, &used);
    outcome.peak_mb = static_cast<int>(used.ru_maxrss / 1024);
    const bool told = ::write(ends[1], &outcome, sizeof outcome) == sizeof outcome;
    ::_exit(told ? 0 : 1);
  }
  Outcome outcome;
  EXPECT_EQ(::read(ends[0], &outcome, sizeof outcome), static_cast<ssize_t>(sizeof outcome));
  int status = 0;
  ::waitpid(child, &status, 0);
  EXPECT_EQ(status, 0);
  ::close(ends[0]);
  ::close(ends[1]);
  return outcome;
}

// 64 MB is the most that the page takes at once; the text itself is part of what is counted.
TEST(Memory, ReadingsOf64MbTakeLessThan600Mb) {
  for (const auto make : {readings_csv, readings_cgats}) {
    const Outcome outcome = read_in_child(make);
    EXPECT_GT(outcome.readings, 240000u);
    if (memory_tells) EXPECT_LT(outcome.peak_mb, 600);
    std::printf("%zu readings, %d MB\n", outcome.readings, outcome.peak_mb);
  }
}

std::string filled(std::string text, std::string_view part) {
  text.reserve(file_bytes);
  while (text.size() + part.size() < file_bytes) text += part;
  return text;
}

// Files that hold nothing but what takes most room for its length.
TEST(Memory, NoFileOf64MbTakesMoreThan600Mb) {
  using Make = std::string (*)();
  for (const Make make :
       {Make([] { return filled("name", ","); }),
        Make([] { return filled("name,L*,a*,b*,light,observer\n", "x,50,1,1,D65,10\n"); }),
        Make([] { return filled("<CxF>", "<a b=\"\"/>"); }),
        Make([] { return filled("CGATS.17\n", "A b\n"); }), Make([] {
          return filled("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID\nEND_DATA_FORMAT\nBEGIN_DATA\n",
                        "1\n");
        }),
        Make([] { return filled("##TITLE=x\n##XYDATA=(X++(Y..Y))\n", "1\n"); }),
        Make([] { return filled("##TITLE=x\n", "##A=1\n"); })}) {
    const Outcome outcome = read_in_child(make);
    EXPECT_TRUE(outcome.refused);
    if (memory_tells) EXPECT_LT(outcome.peak_mb, 600);
    std::printf("%d MB\n", outcome.peak_mb);
  }
}

}  // namespace
}  // namespace mendtone::memory_test
