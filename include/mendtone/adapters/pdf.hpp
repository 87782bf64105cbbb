#pragma once
#include <memory>
#include <string>

#include "mendtone/base/result.hpp"
#include "mendtone/report/drawing.hpp"

namespace mendtone {

/// The bundled fonts (Linux Libertine and Linux Biolinum, SIL Open Font License 1.1), opened
/// without looking at what the machine has installed. For letters that they lack, such as
/// Japanese paper names, a font of the machine is used where there is one.
class ReportFonts : public report::TextMeasure {
 public:
  static Result<std::unique_ptr<ReportFonts>> open();
  ~ReportFonts() override;
  ReportFonts(const ReportFonts&) = delete;
  ReportFonts& operator=(const ReportFonts&) = delete;

  double width_pt(std::string_view utf8, report::Face face, double size_pt) const override;

  struct Parts;
  const Parts& parts() const { return *parts_; }

 private:
  explicit ReportFonts(std::unique_ptr<Parts> parts);
  std::unique_ptr<Parts> parts_;
};

/// The pages as PDF 1.7: selectable text, fonts embedded, a list of contents; structure tags with
/// alternative words of each figure, language, XMP metadata, an sRGB output intent and a file
/// identifier (ISO 32000-1, chapters 7.5.5, 12.2, 14.3 to 14.11). No conformance to PDF/A or PDF/UA
/// is claimed. The same report gives the same bytes. Refuses a picture that is not a PNG or JPEG.
Result<std::string> to_pdf(const report::PagedReport& report, const ReportFonts& fonts);

/// One drawing as PNG, on white, at `dots_an_inch`. Refuses a picture that is not a PNG
/// or JPEG.
Result<std::string> to_png(const report::Drawing& drawing, const std::vector<std::string>& pictures,
                           double dots_an_inch, const ReportFonts& fonts);

}  // namespace mendtone
