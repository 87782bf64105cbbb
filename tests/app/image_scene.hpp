#pragma once
#include <gtest/gtest.h>
#include <stdlib.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>
#include <string>

#include "mendtone/adapters/icc.hpp"
#include "mendtone/adapters/photograph.hpp"
#include "mendtone/adapters/picture_file.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/lab.hpp"

// Small invented photographs for the tests of the image verbs, 10 pixels a mm.
namespace mendtone::test {

constexpr ImageSize scene_size{240, 180};
constexpr double scene_px_per_mm = 10;

/// A folder of its own for one test, removed afterwards.
class ImageFolder : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string name = (std::filesystem::temp_directory_path() / "mendtone-XXXXXX").string();
    folder_ = ::mkdtemp(name.data());
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  std::string file(const std::string& name) const { return folder_ + "/" + name; }
  bool exists(const std::string& name) const { return std::filesystem::exists(file(name)); }
  std::size_t files() const {
    const std::filesystem::directory_iterator all(folder_);
    return static_cast<std::size_t>(std::distance(begin(all), end(all)));
  }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(file(name), std::ios::binary) << text;
  }
  std::string read(const std::string& name) const {
    std::ostringstream bytes;
    bytes << std::ifstream(file(name), std::ios::binary).rdbuf();
    return bytes.str();
  }

  /// A photograph whose pixels are `lab(x, y)`, D50/2 degrees, with noise; sRGB, 16 bits.
  std::string photograph(const std::string& name, const std::function<Lab(int, int)>& lab,
                         double noise = 0.3, ImageSize size = scene_size) const {
    const auto profile = open_profile(srgb_profile(), 3);
    Picture picture(size, {0, 0, 0});
    CounterRandom random(std::hash<std::string>{}(name) | 1);
    for (int y = 0; y < size.height; ++y)
      for (int x = 0; x < size.width; ++x) {
        const Lab colour = lab(x, y);
        const auto L = static_cast<float>(colour.L + noise * random.normal()),
                   a = static_cast<float>(colour.a + noise * random.normal()),
                   b = static_cast<float>(colour.b + noise * random.normal());
        profile->transform->from_lab(&L, &a, &b, 1, picture.at(x, y));
      }
    EXPECT_TRUE(write_picture(file(name), picture, {srgb_profile(), scene_px_per_mm, {}}));
    return file(name);
  }

  /// All of a picture, in Lab.
  static LabPixels colours_of(const std::string& path) {
    auto photograph = Photograph::open(path);
    EXPECT_TRUE(photograph) << photograph.error().text();
    CodedRows rows;
    LabPixels lab;
    EXPECT_TRUE((*photograph)->read(0, (*photograph)->size().height, rows));
    to_lab((*photograph)->transform(), rows, lab);
    return lab;
  }

 private:
  std::string folder_;
};

/// Aged paper with a loss (a dark mount board shows through) of 40 x 30 pixels at 100, 70.
inline constexpr const char* scene_loss = "loss 1=rect:100,70,40,30";
inline bool in_loss(int x, int y) {
  return x >= 100 && x < 140 && y >= 70 && y < 100;
}
inline Lab sheet_colour(int x, int y) {
  if (in_loss(x, y)) return {60, 0.5, 4};
  // Ruled ink, a tenth of the sheet.
  if (x % 40 < 4) return {30, 1, 3};
  return {86, 2, 14};
}

}  // namespace mendtone::test
