#include "adapters/pdf_archive.hpp"

#include <deque>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFWriter.hh>

#include "mendtone/adapters/icc.hpp"
#include "report/words.hpp"

namespace mendtone {
namespace {

using Handle = QPDFObjectHandle;
using report::Drawing;
using report::PagedReport;
using report::Tag;

/// Alternative words of all figures, in the order in which they were drawn.
std::deque<std::string> words_of_figures(const PagedReport& report) {
  std::deque<std::string> words;
  for (const Drawing& page : report.pages)
    for (const auto& item : page.items)
      if (const auto* tag = std::get_if<Tag>(&item); tag && tag->begins && tag->role == "Figure")
        words.push_back(tag->words);
  return words;
}

Handle scope(const char* of) {
  Handle attributes = Handle::newDictionary();
  attributes.replaceKey("/O", Handle::newName("/Table"));
  attributes.replaceKey("/Scope", Handle::newName(of));
  return attributes;
}

/// Walks the tree in the order in which it was drawn.
class Structure {
 public:
  explicit Structure(std::deque<std::string> words) : words_(std::move(words)) {}

  void walk(Handle element) {
    if (!element.isDictionary()) return;
    const std::string role = element.hasKey("/S") ? element.getKey("/S").getName() : "";
    if (role == "/Figure" && !words_.empty()) {
      element.replaceKey("/Alt", Handle::newUnicodeString(words_.front()));
      words_.pop_front();
    }
    if (role == "/TR") head_row(element);
    each_child(element, [this](Handle child) { walk(child); });
  }

 private:
  template <class Do>
  static void each_child(Handle element, const Do& act) {
    if (!element.hasKey("/K")) return;
    Handle children = element.getKey("/K");
    if (!children.isArray()) {
      act(children);
      return;
    }
    for (int i = 0; i < children.getArrayNItems(); ++i) act(children.getArrayItem(i));
  }

  /// A row of headings only heads columns; the heading of any other row heads that row.
  static void head_row(Handle row) {
    bool only_headings = true;
    const auto role_of = [](Handle cell) {
      return cell.isDictionary() && cell.hasKey("/S") ? cell.getKey("/S").getName() : std::string();
    };
    each_child(row, [&](Handle cell) { only_headings = only_headings && role_of(cell) != "/TD"; });
    each_child(row, [&](Handle cell) {
      if (role_of(cell) == "/TH") cell.replaceKey("/A", scope(only_headings ? "/Column" : "/Row"));
    });
  }

  std::deque<std::string> words_;
};

/// ISO 16684-1, with the names of Dublin Core.
std::string xmp_of(const PagedReport& report) {
  const auto simple = [](const char* name, const std::string& text) {
    return text.empty()
               ? std::string()
               : std::string("<") + name + ">" + report::escaped(text) + "</" + name + ">\n";
  };
  const auto in = [](const char* name, const char* list, const char* item,
                     const std::string& text) {
    if (text.empty()) return std::string();
    return std::string("<") + name + "><rdf:" + list + "><rdf:li" + item + ">" +
           report::escaped(text) + "</rdf:li></rdf:" + list + "></" + name + ">\n";
  };
  const char* by_default = " xml:lang=\"x-default\"";
  return "<?xpacket begin=\"\xef\xbb\xbf\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
         "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n"
         "<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"
         "<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" "
         "xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" "
         "xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\">\n"
         "<dc:format>application/pdf</dc:format>\n" +
         in("dc:title", "Alt", by_default, report.title) +
         in("dc:description", "Alt", by_default, report.subject) +
         in("dc:creator", "Seq", "", report.author) + in("dc:language", "Bag", "", "en-GB") +
         simple("xmp:CreatorTool", report.program) +
         "</rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"w\"?>";
}

void add_metadata(QPDF& pdf, Handle catalog, const PagedReport& report) {
  Handle metadata = Handle::newStream(&pdf, xmp_of(report));
  metadata.getDict().replaceKey("/Type", Handle::newName("/Metadata"));
  metadata.getDict().replaceKey("/Subtype", Handle::newName("/XML"));
  catalog.replaceKey("/Metadata", pdf.makeIndirectObject(metadata));
}

void add_output_intent(QPDF& pdf, Handle catalog) {
  Handle profile = Handle::newStream(&pdf, srgb_profile());
  profile.getDict().replaceKey("/N", Handle::newInteger(3));
  Handle intent = Handle::newDictionary();
  intent.replaceKey("/Type", Handle::newName("/OutputIntent"));
  intent.replaceKey("/S", Handle::newName("/GTS_PDFA1"));
  intent.replaceKey("/OutputConditionIdentifier", Handle::newString("sRGB IEC61966-2.1"));
  intent.replaceKey("/Info", Handle::newString("sRGB IEC61966-2.1"));
  intent.replaceKey("/DestOutputProfile", pdf.makeIndirectObject(profile));
  Handle intents = Handle::newArray();
  intents.appendItem(pdf.makeIndirectObject(intent));
  catalog.replaceKey("/OutputIntents", intents);
}

/// All parts under one Document, as ISO 32000-1, 14.8.4.2 has it; Cairo lets them stand alone.
void gather_in_document(QPDF& pdf, Handle root) {
  Handle document = pdf.makeIndirectObject(Handle::newDictionary());
  document.replaceKey("/Type", Handle::newName("/StructElem"));
  document.replaceKey("/S", Handle::newName("/Document"));
  document.replaceKey("/P", root);
  Handle parts = root.getKey("/K");
  if (!parts.isArray()) parts = Handle::newArray({parts});
  for (int i = 0; i < parts.getArrayNItems(); ++i)
    if (parts.getArrayItem(i).isDictionary()) parts.getArrayItem(i).replaceKey("/P", document);
  document.replaceKey("/K", parts);
  root.replaceKey("/K", Handle::newArray({document}));
}

void complete(QPDF& pdf, const PagedReport& report) {
  Handle catalog = pdf.getRoot();
  catalog.replaceKey("/Lang", Handle::newString("en-GB"));
  Handle shown = Handle::newDictionary();
  shown.replaceKey("/DisplayDocTitle", Handle::newBool(true));
  catalog.replaceKey("/ViewerPreferences", shown);
  Handle marked = Handle::newDictionary();
  marked.replaceKey("/Marked", Handle::newBool(true));
  catalog.replaceKey("/MarkInfo", marked);
  if (catalog.hasKey("/StructTreeRoot")) {
    Handle root = catalog.getKey("/StructTreeRoot");
    Structure(words_of_figures(report)).walk(root);
    if (root.hasKey("/K")) gather_in_document(pdf, root);
  }
  add_metadata(pdf, catalog, report);
  add_output_intent(pdf, catalog);
}

}  // namespace

Result<std::string> archived(std::string bytes, const PagedReport& report) {
  try {
    QPDF pdf;
    pdf.setSuppressWarnings(true);
    pdf.processMemoryFile("the report", bytes.data(), bytes.size());
    complete(pdf, report);
    QPDFWriter writer(pdf);
    writer.setOutputMemory();
    writer.setMinimumPDFVersion("1.7");
    writer.setObjectStreamMode(qpdf_o_generate);
    writer.setDeterministicID(true);
    writer.write();
    const std::shared_ptr<Buffer> written = writer.getBufferSharedPointer();
    return std::string(reinterpret_cast<const char*>(written->getBuffer()), written->getSize());
  } catch (const std::exception& e) {
    return outside_world(std::string("cannot complete the report as PDF: ") + e.what());
  }
}

}  // namespace mendtone
