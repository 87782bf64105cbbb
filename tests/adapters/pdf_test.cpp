#include "mendtone/adapters/pdf.hpp"

#include <gtest/gtest.h>

#include <cstdio>
#include <filesystem>
#include <fstream>

#include "mendtone/report/write.hpp"
#include "report/kestrel_bay.hpp"

// What stands in the PDF is asked of poppler's tools, programs that share no code with ours.
namespace mendtone {
namespace {

namespace fs = std::filesystem;

struct Folder {
  fs::path path = fs::temp_directory_path() / ("mendtone-pdf-" + std::to_string(::getpid()));
  Folder() { fs::create_directories(path); }
  ~Folder() { fs::remove_all(path); }
};

std::string output_of(const std::string& command) {
  std::string text;
  FILE* pipe = ::popen(command.c_str(), "r");
  char chunk[4096];
  while (const std::size_t got = std::fread(chunk, 1, sizeof chunk, pipe)) text.append(chunk, got);
  EXPECT_EQ(::pclose(pipe), 0) << command;
  return text;
}

struct Drawn {
  std::unique_ptr<ReportFonts> fonts;
  report::PagedReport pages;
  std::string pdf;
};

Drawn drawn() {
  auto fonts = ReportFonts::open();
  EXPECT_TRUE(fonts) << fonts.error().text();
  Drawn d{*std::move(fonts), {}, {}};
  d.pages = report::to_pages(report::sample::kestrel_bay(), *d.fonts);
  auto pdf = to_pdf(d.pages, *d.fonts);
  EXPECT_TRUE(pdf) << pdf.error().text();
  d.pdf = *pdf;
  return d;
}

TEST(Pdf, TextIsFoundByPdftotext) {
  const Folder folder;
  const Drawn d = drawn();
  const fs::path file = folder.path / "report.pdf";
  std::ofstream(file, std::ios::binary) << d.pdf;
  const std::string text = output_of("pdftotext -layout " + file.string() + " -");
  for (const char* expected :
       {"Pilot chart of Kestrel Bay", "KB.1894.7", "Cautions", "Not known", "Card for the bench",
        "yellow ochre stock, 0.020 g/ml", "ISO/CIE 11664-6", "mendtone 0.1.0", "Page 2 of",
        "\u0394E\u2080\u2080", "\u2212"})
    EXPECT_NE(text.find(expected), std::string::npos) << expected;
}

}  // namespace
}  // namespace mendtone
