#pragma once
#include <OpenImageIO/imageio.h>
#include <lcms2.h>

#include <filesystem>
#include <string>
#include <vector>

#include "mendtone/base/random.hpp"

// Small invented pictures for tests, written with the library itself and not with our writer.
namespace pictures {

/// A folder of its own, gone at the end.
struct Folder {
  std::string path;
  Folder() {
    std::string name = (std::filesystem::temp_directory_path() / "mendtone-XXXXXX").string();
    path = mkdtemp(name.data());
  }
  ~Folder() { std::filesystem::remove_all(path); }
  std::string operator/(const std::string& name) const { return path + "/" + name; }
  std::size_t files() const {
    std::size_t count = 0;
    for (const auto& entry : std::filesystem::directory_iterator(path)) {
      (void)entry;
      ++count;
    }
    return count;
  }
};

inline std::string saved(cmsHPROFILE profile) {
  cmsUInt32Number size = 0;
  cmsSaveProfileToMem(profile, nullptr, &size);
  std::string bytes(size, '\0');
  cmsSaveProfileToMem(profile, bytes.data(), &size);
  cmsCloseProfile(profile);
  return bytes;
}

inline std::string srgb() {
  return saved(cmsCreate_sRGBProfile());
}

/// D65 primaries wider than sRGB's, gamma 2.2: a photographer's working space. Version 2 or 4.
inline std::string wide(double version) {
  const cmsCIExyY white{0.3127, 0.3290, 1};
  const cmsCIExyYTRIPLE primaries{{0.64, 0.33, 1}, {0.21, 0.71, 1}, {0.15, 0.06, 1}};
  cmsToneCurve* gamma = cmsBuildGamma(nullptr, 563.0 / 256);
  cmsToneCurve* curves[3] = {gamma, gamma, gamma};
  cmsHPROFILE profile = cmsCreateRGBProfile(&white, &primaries, curves);
  cmsSetProfileVersion(profile, version);
  cmsFreeToneCurve(gamma);
  return saved(profile);
}

inline std::string grey() {
  cmsToneCurve* gamma = cmsBuildGamma(nullptr, 2.2);
  cmsHPROFILE profile = cmsCreateGrayProfile(cmsD50_xyY(), gamma);
  cmsFreeToneCurve(gamma);
  return saved(profile);
}

/// A scanner's profile that holds a table of CIELAB, 33 points each way: sRGB's own colours under
/// the given tag (AToB1 colorimetric, AToB0 perceptual).
inline std::string table(cmsTagSignature tag) {
  cmsHPROFILE from = cmsCreate_sRGBProfile(), lab = cmsCreateLab4Profile(nullptr);
  cmsHTRANSFORM colours = cmsCreateTransform(from, TYPE_RGB_16, lab, TYPE_Lab_16,
                                             INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOCACHE);
  cmsPipeline* pipeline = cmsPipelineAlloc(nullptr, 3, 3);
  cmsStage* clut = cmsStageAllocCLut16bit(nullptr, 33, 3, 3, nullptr);
  cmsStageSampleCLut16bit(
      clut,
      [](const cmsUInt16Number* in, cmsUInt16Number* out, void* transform) {
        cmsDoTransform(transform, in, out, 1);
        return static_cast<cmsInt32Number>(1);
      },
      colours, 0);
  // A table stands between curves, here straight ones.
  cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, nullptr));
  cmsPipelineInsertStage(pipeline, cmsAT_END, clut);
  cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, nullptr));
  cmsHPROFILE profile = cmsCreateProfilePlaceholder(nullptr);
  cmsSetProfileVersion(profile, 4.3);
  cmsSetDeviceClass(profile, cmsSigInputClass);
  cmsSetColorSpace(profile, cmsSigRgbData);
  cmsSetPCS(profile, cmsSigLabData);
  cmsWriteTag(profile, cmsSigMediaWhitePointTag, cmsD50_XYZ());
  cmsWriteTag(profile, tag, pipeline);
  cmsPipelineFree(pipeline);
  cmsDeleteTransform(colours);
  cmsCloseProfile(from);
  cmsCloseProfile(lab);
  return saved(profile);
}

/// Random 16-bit codes.
inline std::vector<std::uint16_t> noise(std::size_t values, std::uint64_t seed) {
  mendtone::CounterRandom random(seed);
  std::vector<std::uint16_t> codes(values);
  for (auto& code : codes) code = static_cast<std::uint16_t>(random.below(65536));
  return codes;
}

inline OIIO::ImageSpec spec_of(int width, int height, int channels, OIIO::TypeDesc type,
                               const std::string& icc) {
  OIIO::ImageSpec spec(width, height, channels, type);
  if (!icc.empty())
    spec.attribute("ICCProfile",
                   OIIO::TypeDesc(OIIO::TypeDesc::UINT8, static_cast<int>(icc.size())), icc.data());
  return spec;
}

template <class T>
bool write(const std::string& path, const OIIO::ImageSpec& spec, const std::vector<T>& data) {
  auto out = OIIO::ImageOutput::create(path);
  if (!out || !out->open(path, spec)) return false;
  const bool tiled = spec.tile_width > 0;
  const OIIO::TypeDesc type = OIIO::BaseTypeFromC<T>::value;
  return (tiled ? out->write_image(type, data.data())
                : out->write_scanlines(0, spec.height, 0, type, data.data())) &&
         out->close();
}

}  // namespace pictures
