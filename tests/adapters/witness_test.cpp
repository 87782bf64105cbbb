#include <gtest/gtest.h>

#include <cstdlib>
#include <cstring>

#include "adapters/pictures.hpp"
#include "adapters/scratch.hpp"
#include "mendtone/adapters/photograph.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/imaging/change.hpp"

// Another image library as an independent witness: libvips 8.14, Debian's libvips-tools, run as a
// program. It reads TIFF by itself, its CIEDE2000 is its own; LittleCMS it has in common with us.
namespace mendtone::witness_test {
namespace {

constexpr int width = 96, height = 64;
constexpr std::size_t pixels = static_cast<std::size_t>(width) * height;

class Witness : public testing::Test {
 protected:
  pictures::Folder folder;

  void vips(const std::string& arguments) const {
    const std::string command = "cd '" + folder.path + "' && vips " + arguments;
    ASSERT_EQ(std::system(command.c_str()), 0) << "is libvips-tools installed? " << command;
  }

  template <class T>
  std::vector<T> numbers(const std::string& name, std::size_t count) const {
    const std::string bytes = contents(folder / name);
    EXPECT_EQ(bytes.size(), count * sizeof(T)) << name;
    std::vector<T> values(count);
    std::memcpy(values.data(), bytes.data(), std::min(bytes.size(), count * sizeof(T)));
    return values;
  }
};

struct Keep final : ChangeSink {
  std::vector<float> de00;
  Result<void> take(const ChangeRows& rows) override {
    de00.insert(de00.end(), rows.de00.begin(), rows.de00.end());
    return {};
  }
};

/// Aged paper to dark ink across the picture, with noise in all channels: what a sheet looks like.
std::vector<std::uint16_t> sheet(std::uint64_t seed, double later) {
  CounterRandom random(seed);
  std::vector<std::uint16_t> codes;
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x)
      for (const double base : {57000.0, 53000.0, 46000.0 + later}) {
        const double code = base * (1 - 0.9 * x / width) + 600 * random.normal();
        codes.push_back(static_cast<std::uint16_t>(std::clamp(code, 0.0, 65535.0)));
      }
  return codes;
}

/// LittleCMS as libvips 8.14 calls it: 16 bits in and out, free to plan the whole as one table of
/// grid points (which it does), and the codes, those of ICC version 4, read with the scales of
/// version 2: 0.4 % more L*, 0.5 more a* and b*. Found from its numbers, which this repeats
/// exactly.
std::vector<Lab> as_libvips_asks(const std::vector<std::uint16_t>& codes) {
  const std::string icc = pictures::srgb();
  cmsHPROFILE from = cmsOpenProfileFromMem(icc.data(), static_cast<cmsUInt32Number>(icc.size())),
              lab = cmsCreateLab4Profile(nullptr);
  cmsHTRANSFORM transform = cmsCreateTransform(from, TYPE_RGB_16, lab, TYPE_Lab_16,
                                               INTENT_ABSOLUTE_COLORIMETRIC, cmsFLAGS_NOCACHE);
  std::vector<std::uint16_t> coded(codes.size());
  cmsDoTransform(transform, codes.data(), coded.data(),
                 static_cast<cmsUInt32Number>(codes.size() / 3));
  cmsDeleteTransform(transform);
  cmsCloseProfile(lab);
  cmsCloseProfile(from);
  std::vector<Lab> all;
  for (std::size_t i = 0; i < coded.size(); i += 3)
    all.push_back({coded[i] / 652.8, coded[i + 1] / 256.0 - 128, coded[i + 2] / 256.0 - 128});
  return all;
}

/// Mean hue and hue difference in libvips 8.14 are not Sharma's where the two hues lie on both
/// sides of 0 degrees (seen from its numbers: up to 15 DeltaE00 off between far colours);
/// everywhere else they are the same formula.
bool hues_straddle_zero(const Lab& one, const Lab& two) {
  const double turn = 180 / 3.14159265358979;
  const auto hue = [turn](const Lab& lab) {
    const double h = std::atan2(lab.b, lab.a) * turn;
    return h < 0 ? h + 360 : h;
  };
  return std::abs(hue(one) - hue(two)) > 175;
}

// What remains between the two libraries, and why. 1: the scales of `as_libvips_asks`, undone here
// for the third figure. 2: libvips lets LittleCMS interpolate in a table of grid points, which
// shows in dark tones; here curves and matrix are followed exactly. 3: hues on both sides of 0
// degrees. Asked as libvips asks, LittleCMS gives libvips's numbers; asked exactly, ours
// (photograph_test.cpp); and given one Lab, both formulas are one.
TEST_F(Witness, LabAndDifferenceOfEveryPixelAgree) {
  const auto spec = pictures::spec_of(width, height, 3, OIIO::TypeUInt16, pictures::srgb());
  const auto one = sheet(1, 0), two = sheet(2, 1500);
  ASSERT_TRUE(pictures::write(folder / "a.tif", spec, one));
  ASSERT_TRUE(pictures::write(folder / "b.tif", spec, two));
  vips("icc_import a.tif a.v --embedded --intent absolute --pcs lab");
  vips("icc_import b.tif b.v --embedded --intent absolute --pcs lab");
  vips("dE00 a.v b.v d.v");
  for (const char* name : {"a", "b", "d"})
    vips(std::string("rawsave ") + name + ".v " + name + ".raw");
  const auto theirs = numbers<float>("a.raw", 3 * pixels),
             theirs_after = numbers<float>("b.raw", 3 * pixels),
             their_de = numbers<float>("d.raw", pixels);

  auto before = Photograph::open(folder / "a.tif"), after = Photograph::open(folder / "b.tif");
  ASSERT_TRUE(before && after);
  CodedRows rows;
  LabPixels lab;
  ASSERT_TRUE((*before)->read(0, height, rows));
  to_lab((*before)->transform(), rows, lab);
  Keep keep;
  ChangeOptions options;
  options.regions = {whole_picture((*before)->size())};
  ASSERT_TRUE(compare_photographs(**before, **after, options, &keep));

  const auto asked = as_libvips_asks(one);
  double worst_asked = 0, worst_lab = 0, worst_rescaled = 0, mean_rescaled = 0, worst_de = 0,
         mean_de = 0, worst_formula = 0;
  std::size_t compared = 0;
  for (std::size_t i = 0; i < pixels; ++i) {
    const Lab their_lab{theirs[3 * i], theirs[3 * i + 1], theirs[3 * i + 2]},
        their_after{theirs_after[3 * i], theirs_after[3 * i + 1], theirs_after[3 * i + 2]};
    worst_asked = std::max(worst_asked, de00(their_lab, asked[i]));
    const Lab rescaled{their_lab.L * 652.8 / 655.35, (their_lab.a + 128) * 256 / 257 - 128,
                       (their_lab.b + 128) * 256 / 257 - 128},
        our_lab{lab.L[i], lab.a[i], lab.b[i]};
    worst_lab = std::max(worst_lab, de00(their_lab, our_lab));
    const double left = de00(rescaled, our_lab);
    worst_rescaled = std::max(worst_rescaled, left);
    mean_rescaled += left / static_cast<double>(pixels);
    if (hues_straddle_zero(their_lab, their_after)) continue;
    ++compared;
    worst_formula = std::max(worst_formula, std::abs(their_de[i] - de00(their_lab, their_after)));
    const double apart = std::abs(their_de[i] - keep.de00[i]);
    worst_de = std::max(worst_de, apart);
    mean_de += apart;
  }
  mean_de /= static_cast<double>(compared);
  std::printf(
      "libvips: Lab %.4f DeltaE00 from LittleCMS asked alike, %.4f from ours at most, with "
      "its scales undone %.4f, on average %.4f; "
      "CIEDE2000 of its own Lab within %.5f; the difference of a pixel within %.4f, on "
      "average %.4f; %zu of %zu pixels left out\n",
      worst_asked, worst_lab, worst_rescaled, mean_rescaled, worst_formula, worst_de, mean_de,
      pixels - compared, pixels);
  EXPECT_LT(worst_asked, 0.001);
  EXPECT_LT(worst_rescaled, 0.5);
  EXPECT_LT(mean_rescaled, 0.1);
  EXPECT_LT(worst_formula, 0.001);
  EXPECT_GT(compared, pixels * 9 / 10);
  EXPECT_LT(mean_de, 0.05);
}

// All orientations that EXIF knows, pixel for pixel as libvips sets them upright.
TEST_F(Witness, TurnedPicturesAreSetUprightAlike) {
  const auto codes = pictures::noise(3 * pixels, 5);
  for (int orientation = 1; orientation <= 8; ++orientation)
    for (const bool is_float : {false, true}) {
      if (is_float && orientation != 7) continue;
      auto spec = pictures::spec_of(width, height, 3, is_float ? OIIO::TypeFloat : OIIO::TypeUInt16,
                                    pictures::srgb());
      spec.attribute("Orientation", orientation);
      const std::string name = std::to_string(orientation) + (is_float ? "f" : "i");
      if (is_float) {
        std::vector<float> floats(codes.begin(), codes.end());
        for (float& value : floats) value /= 65536;
        ASSERT_TRUE(pictures::write(folder / (name + ".tif"), spec, floats));
      } else {
        ASSERT_TRUE(pictures::write(folder / (name + ".tif"), spec, codes));
      }
      vips("autorot " + name + ".tif " + name + ".v");
      vips("rawsave " + name + ".v " + name + ".raw");
      auto photograph = Photograph::open(folder / (name + ".tif"));
      ASSERT_TRUE(photograph) << photograph.error().text();
      const ImageSize size = (*photograph)->size();
      EXPECT_EQ(size.width, orientation < 5 ? width : height);
      CodedRows rows;
      // Last rows first: they may be asked for in any order.
      for (const auto& [y0, y1] : {std::pair{size.height / 2, size.height}, {0, size.height}})
        ASSERT_TRUE((*photograph)->read(y0, y1, rows));
      if (is_float)
        EXPECT_EQ(rows.f32, numbers<float>(name + ".raw", 3 * pixels)) << name;
      else
        EXPECT_EQ(rows.u16, numbers<std::uint16_t>(name + ".raw", 3 * pixels)) << name;
    }
}

}  // namespace
}  // namespace mendtone::witness_test
