#include <gtest/gtest.h>
#include <signal.h>
#include <sys/stat.h>
#include <unistd.h>

#include <atomic>
#include <thread>

#include "adapters/pictures.hpp"
#include "adapters/scratch.hpp"
#include "formats/made_pictures.hpp"
#include "mendtone/adapters/mask_file.hpp"
#include "mendtone/adapters/photograph.hpp"
#include "mendtone/adapters/picture_file.hpp"

// The helper that reads pictures: what it does to itself costs one picture.
namespace mendtone::picture_helper_test {
namespace {

constexpr int width = 64, height = 48;

std::string photograph(const Scratch& scratch, const std::string& name) {
  const std::string path = scratch.file(name);
  EXPECT_TRUE(
      pictures::write(path, pictures::spec_of(width, height, 3, OIIO::TypeUInt16, pictures::srgb()),
                      pictures::noise(std::size_t{width} * height * 3, 9)));
  return path;
}

/// Processes whose parent this one is.
std::vector<pid_t> children_of(pid_t parent) {
  std::vector<pid_t> found;
  for (const auto& entry : std::filesystem::directory_iterator("/proc")) {
    if (entry.path().filename().string().find_first_not_of("0123456789") != std::string::npos)
      continue;
    const std::string stat = contents(entry.path() / "stat");
    const std::size_t name_end = stat.rfind(") ");
    if (name_end == std::string::npos || stat[name_end + 2] == 'Z') continue;
    if (std::stoi(stat.substr(name_end + 4)) == parent) found.push_back(std::stoi(stat));
  }
  return found;
}

/// The process that decodes the picture that was opened last, and the helper that made it.
pid_t helper() {
  const auto found = children_of(::getpid());
  EXPECT_EQ(found.size(), 1u);
  return found.empty() ? 0 : found.front();
}
pid_t newest_of(pid_t parent) {
  const auto found = children_of(parent);
  return found.empty() ? 0 : *std::max_element(found.begin(), found.end());
}

std::string reading(Photograph& photograph) {
  CodedRows rows;
  const auto read = photograph.read(0, photograph.size().height, rows);
  return read ? "read" : read.error().text();
}

TEST(PictureHelper, AProcessThatDiesCostsOnePicture) {
  const Scratch scratch;
  auto first = Photograph::open(photograph(scratch, "first.tif"));
  auto second = Photograph::open(photograph(scratch, "second.tif"));
  ASSERT_TRUE(first && second);
  for (const auto& [signal, words] : {std::pair{SIGSEGV, "signal 11"},
                                      {SIGPROF, "more than a minute of processor time"},
                                      {SIGKILL, "ended from outside"}}) {
    auto hurt = Photograph::open(scratch.file("second.tif"));
    ASSERT_TRUE(hurt);
    ASSERT_EQ(::kill(newest_of(helper()), signal), 0);
    const std::string said = reading(**hurt);
    EXPECT_NE(said.find(words), std::string::npos) << said;
    EXPECT_NE(said.find("second.tif"), std::string::npos) << said;
  }
  EXPECT_EQ(reading(**first), "read");
  EXPECT_EQ(reading(**second), "read");
}

TEST(PictureHelper, AHelperThatWasEndedIsStartedAnew) {
  const Scratch scratch;
  const std::string path = photograph(scratch, "a.tif");
  ASSERT_TRUE(Photograph::open(path));
  const pid_t before = helper();
  ASSERT_EQ(::kill(before, SIGKILL), 0);
  auto again = Photograph::open(path);
  ASSERT_TRUE(again) << again.error().text();
  EXPECT_EQ(reading(**again), "read");
  EXPECT_NE(helper(), before);
}

TEST(PictureHelper, ManyThreadsReadAtOnceAndNothingStays) {
  const Scratch scratch;
  const std::string path = photograph(scratch, "a.tif");
  std::vector<std::thread> threads;
  std::atomic<int> sound{0};
  for (int t = 0; t < 8; ++t)
    threads.emplace_back([&] {
      for (int i = 0; i < 4; ++i) {
        auto one = Photograph::open(path);
        sound += one && reading(**one) == "read" ? 1 : 0;
      }
    });
  for (std::thread& thread : threads) thread.join();
  EXPECT_EQ(sound, 32);
  // Each ends when its picture is closed.
  for (int tries = 0; tries < 200 && newest_of(helper()) != 0; ++tries)
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  EXPECT_EQ(newest_of(helper()), 0);
}

// What ended a server, or took its memory, each under the name of a picture.
TEST(PictureHelper, WhatIsNoPictureReachesNoLibrary) {
  const Scratch scratch;
  const auto refused = [&](const std::string& name, const std::string& bytes,
                           const std::string& words) {
    const std::string path = scratch.file(name);
    write_contents(path, bytes);
    const auto as_mask = mask_size(path);
    const auto as_photograph = Photograph::open(path);
    const auto as_outline = mask_outline(path);
    for (const std::string& said : {as_mask ? "taken" : as_mask.error().text(),
                                    as_photograph ? "taken" : as_photograph.error().text(),
                                    as_outline ? "taken" : as_outline.error().text()})
      EXPECT_NE(said.find(words), std::string::npos) << name << ": " << said;
  };
  refused("icon.png", made::icon(), "expected a TIFF, PNG, JPEG or OpenEXR picture");
  refused("sgi.png", made::sgi(), "expected a TIFF, PNG, JPEG or OpenEXR picture");
  refused("dds.png", made::dds(), "expected a TIFF, PNG, JPEG or OpenEXR picture");
  refused("m.null?RES=640x480&x=.png", "", "found an empty file");
  refused("plain.png", made::png(20000, 20000), "at most 200 megapixels");
  refused("interlaced.png", made::png(10000, 6001, true, false), "60 of a progressive JPEG");
  refused("progressive.jpg", made::jpeg(20000, 20000, 0xc2), "at most 200 megapixels");
  const auto invented = mask_size(scratch.file("n.null?RES=640x480&x=.png"));
  ASSERT_FALSE(invented);
  EXPECT_EQ(invented.error().code, ErrorCode::outside_world);
}

TEST(PictureHelper, ANameIsOnlyAName) {
  const Scratch scratch;
  for (const char* name : {"is it foxed?.png", "a&b=c.png", "100%.png", "no ending", "wrong.jpg"}) {
    write_contents(scratch.file(name), made::png(30, 20));
    const auto size = mask_size(scratch.file(name));
    ASSERT_TRUE(size) << size.error().text();
    EXPECT_EQ(*size, (ImageSize{30, 20}));
  }
}

TEST(PictureHelper, APipeIsNotWaitedFor) {
  const Scratch scratch;
  ASSERT_EQ(::mkfifo(scratch.file("a.png").c_str(), 0600), 0);
  const auto size = mask_size(scratch.file("a.png"));
  ASSERT_FALSE(size);
  EXPECT_NE(size.error().text().find("a pipe"), std::string::npos) << size.error().text();
}

// PNG and JPEG can only be read from the top; whoever asks backwards gets the same rows.
TEST(PictureHelper, EveryFormatGivesItsRowsInAnyOrder) {
  const Scratch scratch;
  const std::string icc = pictures::srgb();
  const auto codes = pictures::noise(std::size_t{width} * height * 3, 3);
  const std::vector<std::uint8_t> bytes(codes.begin(), codes.end());
  const auto as = [&](OIIO::TypeDesc type) {
    return pictures::spec_of(width, height, 3, type, icc);
  };
  ASSERT_TRUE(pictures::write(scratch.file("a.png"), as(OIIO::TypeUInt16), codes));
  ASSERT_TRUE(pictures::write(scratch.file("a.jpg"), as(OIIO::TypeUInt8), bytes));
  ASSERT_TRUE(pictures::write(scratch.file("a.tif"), as(OIIO::TypeUInt16), codes));
  for (const char* name : {"a.png", "a.jpg", "a.tif"}) {
    auto opened = Photograph::open(scratch.file(name));
    ASSERT_TRUE(opened) << opened.error().text();
    CodedRows whole, some;
    ASSERT_TRUE((*opened)->read(0, height, whole));
    for (const int y : {40, 7, 8, 0, 30}) {
      ASSERT_TRUE((*opened)->read(y, y + 3, some));
      EXPECT_TRUE(std::equal(some.u16.begin(), some.u16.end(), whole.row(y).u16)) << name << y;
    }
  }
}

}  // namespace
}  // namespace mendtone::picture_helper_test
