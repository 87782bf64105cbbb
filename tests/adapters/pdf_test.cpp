#include "mendtone/adapters/pdf.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <map>
#include <pugixml.hpp>
#include <qpdf/QPDF.hh>
#include <sstream>

#include "mendtone/report/write.hpp"
#include "report/kestrel_bay.hpp"

// What stands in the PDF is asked of poppler's tools, programs that share no code with ours.
namespace mendtone::pdf_test {
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
       {"Pilot chart of Kestrel Bay", "KB.1894.7", "Cautions", "What is not known",
        "The wash as it was mixed", "yellow ochre stock, 0.020 g/ml", "ISO/CIE 11664-6",
        "mendtone 0.1.0", "Page 2 of", "\u0394E\u2080\u2080", "\u2212"})
    EXPECT_NE(text.find(expected), std::string::npos) << expected;
}

TEST(Pdf, EmbedsEveryFontAndIsA4) {
  const Folder folder;
  const Drawn d = drawn();
  const fs::path file = folder.path / "report.pdf";
  std::ofstream(file, std::ios::binary) << d.pdf;
  const std::string fonts = output_of("pdffonts " + file.string() + " | tail -n +3");
  EXPECT_NE(fonts.find("LinLibertine"), std::string::npos);
  std::istringstream lines(fonts);
  for (std::string line; std::getline(lines, line);)
    EXPECT_NE(line.find("yes yes yes"), std::string::npos) << line;
  const std::string info = output_of("pdfinfo " + file.string());
  EXPECT_NE(info.find("(A4)"), std::string::npos) << info;
  EXPECT_NE(info.find("Pages:           " + std::to_string(d.pages.pages.size())),
            std::string::npos)
      << info;
}

TEST(Pdf, TheFirstPageThenWhatWasDoneThenTheAnnex) {
  const Drawn d = drawn();
  std::map<std::string, std::size_t> page;
  for (const report::Bookmark& mark : d.pages.bookmarks) page.emplace(mark.title, mark.page);
  EXPECT_EQ(page.at("What was done, and how near it came"), 0u);
  EXPECT_EQ(page.at("What is not known"), 0u);
  EXPECT_EQ(page.at("The treatment"), 1u);
  EXPECT_LE(page.at("Annex"), 4u);
  EXPECT_LE(d.pages.pages.size(), 12u);
}

/// What poppler says of the document's structure.
std::string structure_of(const fs::path& file) {
  return output_of("pdfinfo -struct-text " + file.string());
}

// The roles of ISO 32000-1, 14.8.4, asked of another program.
TEST(Pdf, ItsPartsAreTagged) {
  const Folder folder;
  const Drawn d = drawn();
  const fs::path file = folder.path / "report.pdf";
  std::ofstream(file, std::ios::binary) << d.pdf;
  const std::string tree = structure_of(file);
  for (const char* role :
       {"Document\n", " H1 ", " H2 ", " P ", " L ", " LI ", " Table ", " TR\n", " TH:", " TD\n", " Figure\n"})
    EXPECT_NE(tree.find(role), std::string::npos) << role;
  EXPECT_NE(tree.find("Scope"), std::string::npos) << tree.substr(0, 4000);
  EXPECT_NE(output_of("pdfinfo " + file.string()).find("Tagged:          yes"), std::string::npos);
}

/// The value of a key of the document's catalogue.
QPDFObjectHandle in_catalogue(QPDF& pdf, const Drawn& d, const char* key) {
  pdf.processMemoryFile("report", d.pdf.data(), d.pdf.size());
  return pdf.getRoot().getKey(key);
}

TEST(Pdf, EveryFigureHasItsWords) {
  const Drawn d = drawn();
  QPDF pdf;
  pdf.processMemoryFile("report", d.pdf.data(), d.pdf.size());
  std::size_t figures = 0, told = 0, drawn_figures = 0;
  for (QPDFObjectHandle object : pdf.getAllObjects()) {
    if (!object.isDictionary() || !object.hasKey("/S") || !object.getKey("/S").isName() ||
        object.getKey("/S").getName() != "/Figure")
      continue;
    ++figures;
    told += object.hasKey("/Alt") && object.getKey("/Alt").getUTF8Value().size() > 10;
  }
  for (const report::Drawing& page : d.pages.pages)
    for (const report::Item& item : page.items)
      if (const auto* tag = std::get_if<report::Tag>(&item))
        drawn_figures += tag->begins && tag->role == "Figure";
  EXPECT_GT(figures, 4u);
  EXPECT_EQ(figures, drawn_figures);
  EXPECT_EQ(told, figures);
}

TEST(Pdf, SaysItsLanguageTitleColoursAndIdentifier) {
  const Drawn d = drawn();
  QPDF pdf;
  EXPECT_EQ(in_catalogue(pdf, d, "/Lang").getStringValue(), "en-GB");
  EXPECT_TRUE(pdf.getRoot().getKey("/ViewerPreferences").getKey("/DisplayDocTitle").getBoolValue());
  QPDFObjectHandle intent = pdf.getRoot().getKey("/OutputIntents").getArrayItem(0);
  EXPECT_EQ(intent.getKey("/S").getName(), "/GTS_PDFA1");
  const auto profile = intent.getKey("/DestOutputProfile").getStreamData();
  EXPECT_EQ(std::string(reinterpret_cast<const char*>(profile->getBuffer()) + 36, 4), "acsp");
  EXPECT_EQ(pdf.getTrailer().getKey("/ID").getArrayNItems(), 2);
  const auto xmp = pdf.getRoot().getKey("/Metadata").getStreamData();
  const std::string words(reinterpret_cast<const char*>(xmp->getBuffer()), xmp->getSize());
  EXPECT_NE(words.find("Pilot chart of Kestrel Bay"), std::string::npos);
  EXPECT_NE(words.find("A. Conservator"), std::string::npos);
  pugi::xml_document document;
  EXPECT_TRUE(document.load_string(words.c_str()));
}

TEST(Pdf, TheSameReportGivesTheSameBytes) {
  EXPECT_EQ(drawn().pdf, drawn().pdf);
}

TEST(Pdf, ABrokenPictureIsRefused) {
  const Drawn d = drawn();
  report::PagedReport pages = d.pages;
  pages.pictures = {"not a picture"};
  const auto pdf = to_pdf(pages, *d.fonts);
  ASSERT_FALSE(pdf);
  EXPECT_NE(pdf.error().message.find("picture 1"), std::string::npos);
}

TEST(Pdf, AFigureAsPngHasTheSizeAskedFor) {
  const Drawn d = drawn();
  report::Drawing drawing;
  drawing.width = 144;
  drawing.height = 72;
  const auto png = to_png(drawing, {}, 100, *d.fonts);
  ASSERT_TRUE(png);
  EXPECT_EQ(png->substr(1, 3), "PNG");
  EXPECT_EQ(static_cast<unsigned char>((*png)[19]), 200);
  EXPECT_EQ(static_cast<unsigned char>((*png)[23]), 100);
}

// Figures leave room by an estimate that knows no font; it must not be below the font's truth by
// much for any label that a figure sets.
TEST(Pdf, LabelsFitTheRoomThatFiguresLeaveThem) {
  const Drawn d = drawn();
  for (const report::Drawing& page : d.pages.pages)
    for (const report::Item& item : page.items) {
      const auto* text = std::get_if<report::Text>(&item);
      if (!text || text->upwards) continue;
      const double width = d.fonts->width_pt(text->text, text->face, text->size_pt);
      const double left = text->at.x - (text->anchor == report::Anchor::start    ? 0
                                        : text->anchor == report::Anchor::middle ? width / 2
                                                                                 : width);
      EXPECT_GE(left, 55) << text->text;
      EXPECT_LE(left + width, 550) << text->text;
    }
}

}  // namespace
}  // namespace mendtone::pdf_test
