#include "formats/sniff.hpp"

#include <algorithm>
#include <array>

#include "formats/text.hpp"
#include "mendtone/base/words.hpp"

namespace mendtone::formats {
namespace {

using namespace std::string_view_literals;

struct Signature {
  std::string_view bytes;
  std::string_view what;
};

constexpr std::string_view export_as = "export it as CSV, CGATS, CxF or JCAMP-DX";

constexpr std::array<Signature, 14> signatures{
    {{"PK\x03\x04", "a spreadsheet or archive (XLSX, ODS or ZIP)"},
     {"\xD0\xCF\x11\xE0", "an old spreadsheet (XLS)"},
     {"%PDF", "a PDF"},
     {"\x89PNG", "a PNG picture"},
     {"\xFF\xD8\xFF", "a JPEG picture"},
     {"GIF8", "a GIF picture"},
     {"II*\0"sv, "a TIFF picture"},
     {"MM\0*"sv, "a TIFF picture"},
     {"SQLite format 3", "a database, perhaps a treatment record (give it with --record)"},
     {"\x1F\x8B", "a compressed file (gzip)"},
     {"{\\rtf", "a word processor's file (RTF)"},
     {"\x7F"
      "ELF",
      "a program"},
     {"MZ", "a program"},
     {"BM", "a BMP picture"}}};

Error looks_like(std::string_view what, std::string_view file) {
  return bad_input("expected readings, found " + std::string(what) + ": " + std::string(export_as),
                   std::string(file));
}

std::optional<std::string_view> signature_of(std::string_view bytes) {
  const bool binary = bytes.substr(0, 512).find('\0') != std::string_view::npos;
  for (const Signature& s : signatures) {
    const bool is_text = s.bytes.size() <= 2;
    if (bytes.starts_with(s.bytes) && (binary || !is_text)) return s.what;
  }
  if (bytes.size() > 40 && bytes.substr(36, 4) == "acsp") return "an ICC colour profile";
  return std::nullopt;
}

void append_utf8(std::string& text, std::uint32_t code) {
  if (code < 0x80) {
    text += static_cast<char>(code);
  } else if (code < 0x800) {
    text += static_cast<char>(0xC0 | (code >> 6));
    text += static_cast<char>(0x80 | (code & 0x3F));
  } else if (code < 0x10000) {
    text += static_cast<char>(0xE0 | (code >> 12));
    text += static_cast<char>(0x80 | ((code >> 6) & 0x3F));
    text += static_cast<char>(0x80 | (code & 0x3F));
  } else {
    text += static_cast<char>(0xF0 | (code >> 18));
    text += static_cast<char>(0x80 | ((code >> 12) & 0x3F));
    text += static_cast<char>(0x80 | ((code >> 6) & 0x3F));
    text += static_cast<char>(0x80 | (code & 0x3F));
  }
}

std::string from_utf16(std::string_view bytes, bool big_endian) {
  std::string text;
  std::uint32_t high = 0;
  for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
    const auto a = static_cast<unsigned char>(bytes[i]),
               b = static_cast<unsigned char>(bytes[i + 1]);
    const std::uint32_t unit = big_endian ? a * 256u + b : b * 256u + a;
    if (unit >= 0xD800 && unit < 0xDC00) {
      high = unit;
    } else if (unit >= 0xDC00 && unit < 0xE000) {
      append_utf8(text, high ? 0x10000 + ((high - 0xD800) << 10) + (unit - 0xDC00) : 0xFFFD);
      high = 0;
    } else {
      append_utf8(text, unit);
      high = 0;
    }
  }
  return text;
}

std::string from_latin1(std::string_view bytes) {
  std::string text;
  for (const char c : bytes) append_utf8(text, static_cast<unsigned char>(c));
  return text;
}

bool is_utf8(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t n = utf8_length(text.substr(i));
    if (n == 0) return false;
    i += n;
  }
  return true;
}

/// Control characters that no text holds.
std::size_t find_control(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto c = static_cast<unsigned char>(text[i]);
    if (c < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != '\v' && c != 0x1A)
      return i;
  }
  return std::string_view::npos;
}

/// Old systems end a text with this mark.
std::string_view without_end_mark(std::string_view text) {
  while (!text.empty() && text.back() == '\x1A') text.remove_suffix(1);
  return text;
}

/// True where a line begins with `word`.
bool has_line(std::string_view text, std::string_view word) {
  while (!text.empty()) {
    const std::string_view line = trim(take_line(text));
    if (line.size() >= word.size() && same_word(line.substr(0, word.size()), word)) return true;
  }
  return false;
}

}  // namespace

Kind kind_of(std::string_view text) {
  std::string_view rest = text;
  std::string_view first;
  while (!rest.empty() && (first.empty() || first.starts_with("$$"))) first = trim(take_line(rest));
  if (first.starts_with("##")) return Kind::jcamp;
  if (first.starts_with('<'))
    return holds(text.substr(0, 4000), "<IESTM27") ? Kind::tm27 : Kind::cxf;
  if (has_line(text, "BEGIN_DATA")) return Kind::cgats;
  if (is_one_of(first.substr(0, 5), {"CGATS"}) || is_one_of(first.substr(0, 8), {"ISO28178"}))
    return Kind::cgats;
  return Kind::csv;
}

Result<Decoded> decode(std::string_view bytes, std::string_view file) {
  if (trim(bytes).empty())
    return bad_input("expected readings, found an empty file", std::string(file));
  if (const auto what = signature_of(bytes)) return looks_like(*what, file);
  Decoded decoded;
  if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF")) {
    decoded.made = from_utf16(bytes.substr(2), bytes.starts_with("\xFE\xFF"));
    decoded.said = "the text is UTF-16 and was read as such";
  } else if (is_utf8(bytes)) {
    decoded.given = without_end_mark(bytes.substr(bytes.starts_with("\xEF\xBB\xBF") ? 3 : 0));
  } else {
    decoded.made = from_latin1(bytes);
    decoded.said = "the text is not UTF-8 and was read as Latin-1; accented letters may be wrong";
  }
  if (decoded.made) decoded.made->resize(without_end_mark(*decoded.made).size());
  const std::string_view text = decoded.text();
  if (const std::size_t at = find_control(text); at != std::string::npos) {
    const auto line =
        1 + std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n');
    return bad_input("expected text, found binary data: " + std::string(export_as),
                     place(file, static_cast<std::size_t>(line)));
  }
  if (trim(text).empty())
    return bad_input("expected readings, found an empty file", std::string(file));
  return decoded;
}

}  // namespace mendtone::formats
