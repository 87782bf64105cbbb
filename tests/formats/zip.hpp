#pragma once
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace mendtone::formats_test {

/// Name and bytes of the parts of an archive.
using Parts = std::vector<std::pair<std::string, std::string>>;

inline void put_number(std::string& to, std::uint32_t value, int length) {
  for (int i = 0; i < length; ++i) to += static_cast<char>(value >> (8 * i) & 0xFF);
}

inline std::uint32_t crc32_of(const std::string& bytes) {
  std::uint32_t crc = 0xFFFFFFFF;
  for (const char c : bytes) {
    crc ^= static_cast<unsigned char>(c);
    for (int i = 0; i < 8; ++i) crc = crc >> 1 ^ (crc & 1 ? 0xEDB88320 : 0);
  }
  return ~crc;
}

/// A ZIP archive with its parts stored as they are (APPNOTE.TXT 4.3), without any library.
inline std::string zip_of(const Parts& parts) {
  std::string archive, directory;
  for (const auto& [name, bytes] : parts) {
    const auto offset = static_cast<std::uint32_t>(archive.size());
    const auto size = static_cast<std::uint32_t>(bytes.size());
    std::string facts;
    put_number(facts, 20, 2);  // version needed
    put_number(facts, 0, 2);   // flags
    put_number(facts, 0, 2);   // stored
    put_number(facts, 0, 4);   // time and date
    put_number(facts, crc32_of(bytes), 4);
    put_number(facts, size, 4);
    put_number(facts, size, 4);
    put_number(facts, static_cast<std::uint32_t>(name.size()), 2);
    put_number(facts, 0, 2);  // no extra field
    archive += "PK\x03\x04" + facts + name + bytes;
    directory += "PK\x01\x02";
    put_number(directory, 20, 2);
    directory += facts;
    put_number(directory, 0, 2);  // no comment
    put_number(directory, 0, 4);  // disk, kind of file
    put_number(directory, 0, 4);
    put_number(directory, offset, 4);
    directory += name;
  }
  const auto start = static_cast<std::uint32_t>(archive.size());
  archive += directory + "PK\x05\x06";
  put_number(archive, 0, 4);
  for (int i = 0; i < 2; ++i) put_number(archive, static_cast<std::uint32_t>(parts.size()), 2);
  put_number(archive, static_cast<std::uint32_t>(directory.size()), 4);
  put_number(archive, start, 4);
  put_number(archive, 0, 2);
  return archive;
}

/// The parts of an XLSX (ECMA-376 part 1) of sheets whose <sheetData> is given, written by hand.
inline Parts xlsx_parts(const Parts& sheets, const std::string& shared_strings = "") {
  const std::string head = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";
  const std::string main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
  const std::string office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
  std::string workbook =
                  head + "<workbook xmlns=\"" + main + "\" xmlns:r=\"" + office + "\"><sheets>",
              relations = head +
                          "<Relationships "
                          "xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">";
  Parts parts{{"[Content_Types].xml", head + "<Types/>"}};
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    const std::string n = std::to_string(i + 1);
    workbook +=
        "<sheet name=\"" + sheets[i].first + "\" sheetId=\"" + n + "\" r:id=\"rId" + n + "\"/>";
    relations += "<Relationship Id=\"rId" + n + "\" Type=\"" + office +
                 "/worksheet\" Target=\"worksheets/sheet" + n + ".xml\"/>";
    parts.push_back({"xl/worksheets/sheet" + n + ".xml", head + "<worksheet xmlns=\"" + main +
                                                             "\"><sheetData>" + sheets[i].second +
                                                             "</sheetData></worksheet>"});
  }
  if (!shared_strings.empty()) {
    relations += "<Relationship Id=\"rId900\" Type=\"" + office +
                 "/sharedStrings\" Target=\"sharedStrings.xml\"/>";
    parts.push_back({"xl/sharedStrings.xml",
                     head + "<sst xmlns=\"" + main + "\">" + shared_strings + "</sst>"});
  }
  parts.push_back({"xl/workbook.xml", workbook + "</sheets></workbook>"});
  parts.push_back({"xl/_rels/workbook.xml.rels", relations + "</Relationships>"});
  return parts;
}

/// The parts of an ODS (OpenDocument 1.3) of the tables that are given, written by hand.
inline Parts ods_parts(const std::string& tables) {
  return {{"mimetype", "application/vnd.oasis.opendocument.spreadsheet"},
          {"content.xml",
           "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<office:document-content "
           "xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" "
           "xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" "
           "xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\"><office:body>"
           "<office:spreadsheet>" +
               tables + "</office:spreadsheet></office:body></office:document-content>"}};
}

}  // namespace mendtone::formats_test
