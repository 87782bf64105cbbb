#include "mendtone/adapters/icc.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

#include "adapters/icc.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/imaging/matrix_profile.hpp"

namespace mendtone {
namespace icc {

Context quiet_context() {
  Context context(cmsCreateContext(nullptr, nullptr));
  cmsSetLogErrorHandlerTHR(context.get(), [](cmsContext, cmsUInt32Number, const char*) {});
  return context;
}

}  // namespace icc

namespace {

using namespace icc;

std::uint32_t big_endian(std::string_view bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i)
    value = value << 8 | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

Error no_profile(const std::string& why) {
  return bad_input("the ICC profile cannot be used: " + why, "ICC profile");
}

/// Header and tag table, before any library reads them. Ref: icc1, clause 7
Result<void> check_layout(std::string_view bytes) {
  constexpr std::size_t header = 128;
  if (bytes.size() < header + 4)
    return no_profile("expected at least 132 bytes, found " + std::to_string(bytes.size()));
  if (bytes.substr(36, 4) != "acsp")
    return no_profile("this is no ICC profile (the mark 'acsp' is missing)");
  const std::size_t claimed = big_endian(bytes, 0);
  if (claimed > bytes.size())
    return no_profile("it is cut short: it claims " + std::to_string(claimed) + " bytes and has " +
                      std::to_string(bytes.size()));
  const int major = static_cast<unsigned char>(bytes[8]);
  if (major != 2 && major != 4)
    return no_profile("expected version 2 or 4, found version " + std::to_string(major));
  const std::size_t tags = big_endian(bytes, header);
  if (tags == 0 || tags > 100)
    return no_profile("its table of " + std::to_string(tags) + " entries cannot be right");
  if (header + 4 + 12 * tags > bytes.size()) return no_profile("its table of entries is cut short");
  for (std::size_t i = 0; i < tags; ++i) {
    const std::size_t entry = header + 4 + 12 * i;
    const std::size_t offset = big_endian(bytes, entry + 4), size = big_endian(bytes, entry + 8);
    if (offset > bytes.size() || size > bytes.size() - offset)
      return no_profile("entry '" + std::string(bytes.substr(entry, 4)) +
                        "' points outside the profile");
  }
  return {};
}

// Signatures are taken from the bytes: the library hands out whatever stands there as a value of
// an enumeration, which it need not be. Ref: icc1

Result<std::string> class_name(std::uint32_t signature) {
  switch (signature) {
    case cmsSigInputClass:
      return std::string("input");
    case cmsSigDisplayClass:
      return std::string("display");
    case cmsSigOutputClass:
      return std::string("output");
    case cmsSigColorSpaceClass:
      return std::string("colour space");
    case cmsSigLinkClass:
      return no_profile("it is a device link (from one device to another), which gives no colour");
    case cmsSigAbstractClass:
      return no_profile("it is an abstract profile, which edits colours");
    case cmsSigNamedColorClass:
      return no_profile("it is a list of named colours");
    default:
      return no_profile("its class is unknown");
  }
}

Result<void> check_channels(std::uint32_t space, int channels) {
  const char* found = space == cmsSigRgbData    ? "RGB"
                      : space == cmsSigGrayData ? "grey"
                      : space == cmsSigCmykData ? "CMYK"
                      : space == cmsSigLabData  ? "CIELAB"
                                                : "another kind of colour";
  const bool fits =
      (channels == 3 && space == cmsSigRgbData) || (channels == 1 && space == cmsSigGrayData);
  if (fits) return {};
  return no_profile(std::string("it contradicts the pixels: it describes ") + found +
                    ", the picture has " + std::to_string(channels) +
                    (channels == 1 ? " channel (grey)" : " channels (RGB)"));
}

std::string description_of(cmsHPROFILE profile) {
  std::array<char, 256> text{};
  cmsGetProfileInfoASCII(profile, cmsInfoDescription, "en", "US", text.data(), text.size() - 1);
  std::string description(text.data());
  for (char& c : description)
    if (static_cast<unsigned char>(c) < 32 || static_cast<unsigned char>(c) > 126) c = '?';
  return description.empty() ? "(no name)" : description;
}

/// The profile through LittleCMS itself: for tables, and the judge of the fast way.
class LibraryTransform final : public PixelTransform {
 public:
  LibraryTransform(Context context, Handle profile, int channels)
      : context_(std::move(context)), profile_(std::move(profile)), channels_(channels) {
    // Unbounded float, so that nothing is rounded to 16 bits on the way; no cache, so that
    // threads can share it.
    constexpr cmsUInt32Number flags = cmsFLAGS_NOCACHE | cmsFLAGS_NOOPTIMIZE;
    const cmsUInt32Number device = channels == 1 ? TYPE_GRAY_FLT : TYPE_RGB_FLT;
    const Handle lab(cmsCreateLab4ProfileTHR(context_.get(), nullptr));
    to_.reset(cmsCreateTransformTHR(context_.get(), profile_.get(), device, lab.get(), TYPE_Lab_FLT,
                                    INTENT_ABSOLUTE_COLORIMETRIC, flags));
    if (channels == 3 &&
        (cmsIsMatrixShaper(profile_.get()) ||
         cmsIsCLUT(profile_.get(), INTENT_RELATIVE_COLORIMETRIC, LCMS_USED_AS_OUTPUT)))
      from_.reset(cmsCreateTransformTHR(context_.get(), lab.get(), TYPE_Lab_FLT, profile_.get(),
                                        TYPE_RGB_FLT, INTENT_ABSOLUTE_COLORIMETRIC, flags));
  }

  bool planned() const { return to_ != nullptr; }
  bool writable() const override { return from_ != nullptr; }

  void to_lab(const CodedSpan& coded, float* L, float* a, float* b) const override {
    constexpr std::size_t run = 1024;
    const auto n = static_cast<std::size_t>(channels_);
    std::array<float, run * 3> in, out;
    for (std::size_t i = 0; i < coded.count; i += run) {
      const CodedSpan part = coded.part(i, std::min(run, coded.count - i));
      for (std::size_t k = 0; k < part.count * n; ++k)
        in[k] = part.u16 ? static_cast<float>(part.u16[k]) / 65535.0f : part.f32[k];
      cmsDoTransform(to_.get(), in.data(), out.data(), static_cast<cmsUInt32Number>(part.count));
      for (std::size_t k = 0; k < part.count; ++k) {
        L[i + k] = out[3 * k];
        a[i + k] = out[3 * k + 1];
        b[i + k] = out[3 * k + 2];
      }
    }
  }

  std::size_t from_lab(const float* L, const float* a, const float* b, std::size_t count,
                       std::uint16_t* coded) const override {
    std::size_t outside = 0;
    for (std::size_t i = 0; i < count; ++i) {
      const std::array<float, 3> lab{L[i], a[i], b[i]};
      std::array<float, 3> rgb{};
      cmsDoTransform(from_.get(), lab.data(), rgb.data(), 1);
      for (std::size_t c = 0; c < 3; ++c)
        coded[3 * i + c] =
            static_cast<std::uint16_t>(std::lround(std::clamp(rgb[c], 0.0f, 1.0f) * 65535));
      // Tables cut colours silently; the way back shows it.
      std::array<float, 3> back{};
      to_lab({coded + 3 * i, nullptr, 1, 3}, &back[0], &back[1], &back[2]);
      outside += de00({lab[0], lab[1], lab[2]}, {back[0], back[1], back[2]}) > 1 ? 1 : 0;
    }
    return outside;
  }

 private:
  Context context_;
  Handle profile_;
  int channels_;
  Transform to_, from_;
};

/// Curves and matrix as LittleCMS itself applies them, or nothing.
std::unique_ptr<PixelTransform> fast_way(cmsContext context, cmsHPROFILE profile, int channels) {
  static constexpr std::array rgb_curves{cmsSigRedTRCTag, cmsSigGreenTRCTag, cmsSigBlueTRCTag};
  MatrixProfile plan;
  plan.channels = channels;
  for (int c = 0; c < channels; ++c) {
    const auto* curve = static_cast<const cmsToneCurve*>(cmsReadTag(
        profile, channels == 1 ? cmsSigGrayTRCTag : rgb_curves[static_cast<std::size_t>(c)]));
    if (!curve) return nullptr;
    std::vector<float> table(65536);
    for (std::size_t i = 0; i < table.size(); ++i)
      table[i] = cmsEvalToneCurveFloat(curve, static_cast<float>(i) / 65535.0f);
    if (!(table.back() > 0)) return nullptr;
    plan.curves.push_back(std::move(table));
  }
  const Handle xyz(cmsCreateXYZProfileTHR(context));
  const Transform probe(cmsCreateTransformTHR(
      context, profile, channels == 1 ? TYPE_GRAY_FLT : TYPE_RGB_FLT, xyz.get(), TYPE_XYZ_FLT,
      INTENT_ABSOLUTE_COLORIMETRIC, cmsFLAGS_NOCACHE | cmsFLAGS_NOOPTIMIZE));
  if (!probe) return nullptr;
  for (std::size_t c = 0; c < static_cast<std::size_t>(channels); ++c) {
    std::array<float, 3> device{}, out{};
    device[c] = 1;
    cmsDoTransform(probe.get(), device.data(), out.data(), 1);
    const std::array<double, 3> white{0.9642, 1.0, 0.8249};
    for (std::size_t row = 0; row < 3; ++row)
      plan.matrix[3 * row + c] = out[row] / white[row] / plan.curves[c].back();
  }
  return matrix_transform(std::move(plan));
}

struct Probe {
  bool finite = true;
  Lab white, black;
  double worst_de00 = 0;  ///< between the two ways
};

/// Both ways over corners, greys and a fixed scatter of colours.
Probe compare(const PixelTransform& judge, const PixelTransform* fast, int channels) {
  CounterRandom random(1894);
  constexpr std::size_t count = 1024;
  const auto n = static_cast<std::size_t>(channels);
  std::vector<std::uint16_t> codes(count * n);
  for (std::size_t i = 0; i < count; ++i)
    for (std::size_t c = 0; c < n; ++c)
      codes[i * n + c] = i < 8    ? (i >> c & 1 || (n == 1 && i > 0) ? 65535 : 0)
                         : i < 64 ? static_cast<std::uint16_t>((i - 8) * 65535 / 55)
                                  : static_cast<std::uint16_t>(random.below(65536));
  LabPixels one, two;
  one.resize(count);
  judge.to_lab({codes.data(), nullptr, count, channels}, one.L.data(), one.a.data(), one.b.data());
  Probe probe;
  for (std::size_t i = 0; i < count; ++i)
    probe.finite = probe.finite && std::isfinite(one.L[i]) && std::isfinite(one.a[i]) &&
                   std::isfinite(one.b[i]);
  probe.black = {one.L[0], one.a[0], one.b[0]};
  probe.white = {one.L[7], one.a[7], one.b[7]};
  if (!fast || !probe.finite) return probe;
  two.resize(count);
  fast->to_lab({codes.data(), nullptr, count, channels}, two.L.data(), two.a.data(), two.b.data());
  for (std::size_t i = 0; i < count; ++i) {
    const double difference = de00({one.L[i], one.a[i], one.b[i]}, {two.L[i], two.a[i], two.b[i]});
    probe.worst_de00 = std::isfinite(difference) ? std::max(probe.worst_de00, difference) : 1e9;
  }
  return probe;
}

Result<void> check_colours(const Probe& probe) {
  if (!probe.finite) return no_profile("it gives colours that are not numbers");
  if (probe.white.L < probe.black.L + 20 || probe.white.L > 130 || probe.black.L < -20)
    return no_profile("its white and black cannot be (L* " + fixed(probe.white.L, 1) + " and " +
                      fixed(probe.black.L, 1) + ")");
  return {};
}

}  // namespace

Result<Profile> open_profile(std::string_view bytes, int channels) {
  MENDTONE_TRY(check_layout(bytes));
  Context context = quiet_context();
  Handle profile(cmsOpenProfileFromMemTHR(context.get(), bytes.data(),
                                          static_cast<cmsUInt32Number>(bytes.size())));
  if (!profile) return no_profile("it is malformed");
  auto kind = MENDTONE_TRY(class_name(big_endian(bytes, 12)));
  MENDTONE_TRY(check_channels(big_endian(bytes, 16), channels));
  const std::uint32_t pcs = big_endian(bytes, 20);
  if (pcs != cmsSigXYZData && pcs != cmsSigLabData)
    return no_profile("it leads to neither XYZ nor CIELAB");

  Profile result;
  result.facts.description = description_of(profile.get());
  result.facts.device_class = std::move(kind);
  result.facts.version = std::round(cmsGetProfileVersion(profile.get()) * 10) / 10;
  result.facts.channels = channels;
  const bool table = cmsIsCLUT(profile.get(), INTENT_ABSOLUTE_COLORIMETRIC, LCMS_USED_AS_INPUT);
  if (!table && cmsIsTag(profile.get(), cmsSigAToB0Tag) && !cmsIsTag(profile.get(), cmsSigAToB1Tag))
    result.facts.warnings.push_back(
        "the profile has a perceptual table only; its colours may have been made pleasing");
  auto fast = cmsIsTag(profile.get(), cmsSigAToB0Tag) || cmsIsTag(profile.get(), cmsSigAToB1Tag)
                  ? nullptr
                  : fast_way(context.get(), profile.get(), channels);
  auto judge = std::make_unique<LibraryTransform>(std::move(context), std::move(profile), channels);
  if (!judge->planned()) return no_profile("what it needs to give colours is missing or malformed");
  const Probe probe = compare(*judge, fast.get(), channels);
  MENDTONE_TRY(check_colours(probe));
  // A tenth of what is promised for a pixel.
  result.facts.matrix = fast && probe.worst_de00 < 0.001;
  if (result.facts.matrix)
    result.transform = std::move(fast);
  else
    result.transform = std::move(judge);
  result.bytes = std::string(bytes);
  return result;
}

namespace {

std::string saved(const Handle& profile) {
  cmsUInt32Number size = 0;
  cmsSaveProfileToMem(profile.get(), nullptr, &size);
  std::string bytes(size, '\0');
  cmsSaveProfileToMem(profile.get(), bytes.data(), &size);
  // The library stamps the hour; equal pictures should be equal bytes.
  std::fill_n(bytes.begin() + 24, 12, '\0');
  bytes[24] = '\x07', bytes[25] = '\xd0', bytes[27] = bytes[29] = '\1';  // 1 January 2000
  return bytes;
}

}  // namespace

std::string srgb_profile() {
  const Context context = quiet_context();
  return saved(Handle(cmsCreate_sRGBProfileTHR(context.get())));
}

std::string srgb_grey_profile() {
  const Context context = quiet_context();
  const Handle srgb(cmsCreate_sRGBProfileTHR(context.get()));
  const auto* curve = static_cast<const cmsToneCurve*>(cmsReadTag(srgb.get(), cmsSigRedTRCTag));
  return saved(Handle(cmsCreateGrayProfileTHR(context.get(), cmsD50_xyY(), curve)));
}

}  // namespace mendtone
