#include <algorithm>
#include <cstdint>
#include <optional>

#include "formats/text.hpp"
#include "mendtone/formats/workbook.hpp"

namespace mendtone {
namespace {

using namespace std::string_view_literals;

constexpr std::size_t most_unpacked_bytes = std::size_t{256} << 20;
constexpr std::size_t most_entries = 10000;
// The records' fixed lengths, and the longest comment that may follow the last one.
constexpr std::size_t end_length = 22, entry_length = 46, local_length = 30,
                      longest_comment = 65535;
constexpr std::uint32_t in_zip64 = 0xFFFFFFFF;

constexpr std::string_view save_as = "; save it as XLSX, ODS or CSV";

/// Little-endian numbers of a byte range; reading outside it gives nothing.
class Bytes {
 public:
  explicit Bytes(std::string_view bytes) : bytes_(bytes) {}

  std::size_t size() const { return bytes_.size(); }
  bool has(std::size_t at, std::size_t length) const {
    return at <= bytes_.size() && length <= bytes_.size() - at;
  }
  std::uint32_t number(std::size_t at, int length) const {
    std::uint32_t value = 0;
    for (int i = length - 1; i >= 0; --i)
      value = value << 8 | static_cast<unsigned char>(bytes_[at + static_cast<std::size_t>(i)]);
    return value;
  }
  std::string_view part(std::size_t at, std::size_t length) const {
    return bytes_.substr(at, length);
  }

 private:
  std::string_view bytes_;
};

struct Entry {
  std::string_view name;
  std::uint32_t flags = 0, method = 0, packed = 0, unpacked = 0, offset = 0;
};

std::optional<std::size_t> end_record(const Bytes& bytes) {
  if (bytes.size() < end_length) return std::nullopt;
  const std::size_t last = bytes.size() - end_length;
  const std::size_t first = last > longest_comment ? last - longest_comment : 0;
  for (std::size_t at = last + 1; at-- > first;)
    if (bytes.part(at, 4) == "PK\x05\x06"sv && bytes.number(at + 20, 2) == last - at) return at;
  return std::nullopt;
}

bool leaves_its_folder(std::string_view name) {
  if (name.empty() || name.front() == '/' || name.find('\\') != name.npos ||
      name.find('\0') != name.npos || name.find(':') != name.npos)
    return true;
  return name == ".." || name.starts_with("../") || name.find("/../") != name.npos ||
         name.ends_with("/..");
}

class Gate {
 public:
  Gate(std::string_view bytes, std::string_view file) : bytes_(bytes), file_(file) {}

  Result<WorkbookFacts> look() {
    if (auto ok = read_directory(); !ok) return ok.error();
    if (auto ok = check_entries(); !ok) return ok.error();
    return facts();
  }

 private:
  Error refused(const std::string& found) const {
    return bad_input("expected a spreadsheet (XLSX or ODS), found " + found, std::string(file_));
  }

  Result<void> read_directory() {
    const auto end = end_record(bytes_);
    if (!end) return refused("an archive that is cut off or damaged");
    const std::uint32_t count = bytes_.number(*end + 10, 2), size = bytes_.number(*end + 12, 4),
                        start = bytes_.number(*end + 16, 4);
    if (bytes_.number(*end + 4, 2) != 0 || bytes_.number(*end + 8, 2) != count)
      return refused("an archive in several parts");
    if (start == in_zip64 || size == in_zip64 || count == 0xFFFF)
      return refused("an archive larger than 256 MB");
    if (count > most_entries)
      return refused("an archive of " + std::to_string(count) + " parts; at most " +
                     std::to_string(most_entries) + " are read");
    if (start > *end || size > *end - start)
      return refused("an archive whose directory lies outside the file");
    std::size_t at = start;
    for (std::uint32_t i = 0; i < count; ++i) {
      if (!bytes_.has(at, entry_length) || bytes_.part(at, 4) != "PK\x01\x02"sv)
        return refused("an archive whose directory is damaged");
      const std::size_t name = bytes_.number(at + 28, 2),
                        rest = bytes_.number(at + 30, 2) + bytes_.number(at + 32, 2);
      if (!bytes_.has(at + entry_length, name + rest))
        return refused("an archive whose directory is damaged");
      entries_.push_back({bytes_.part(at + entry_length, name), bytes_.number(at + 8, 2),
                          bytes_.number(at + 10, 2), bytes_.number(at + 20, 4),
                          bytes_.number(at + 24, 4), bytes_.number(at + 42, 4)});
      at += entry_length + name + rest;
    }
    directory_ = start;
    return {};
  }

  Result<void> check_entries() {
    for (const Entry& entry : entries_) {
      if (leaves_its_folder(entry.name))
        return refused("a part whose name leaves its folder: " + formats::quoted(entry.name));
      if (entry.flags & 1)
        return refused(
            "a spreadsheet that is protected by a password; open it and save it without");
      if (entry.method != 0 && entry.method != 8)
        return refused("a part that is packed in an unusual way: " + formats::quoted(entry.name) +
                       std::string(save_as));
      if (entry.packed == in_zip64 || entry.unpacked == in_zip64 ||
          entry.unpacked > most_unpacked_bytes - unpacked_)
        return refused(
            "an archive that unpacks to more than 256 MB; save the sheet that you need "
            "as CSV");
      if (entry.method == 0 && entry.packed != entry.unpacked)
        return refused("an archive whose directory is damaged");
      unpacked_ += entry.unpacked;
      if (entry.offset > directory_ || !bytes_.has(entry.offset, local_length) ||
          bytes_.part(entry.offset, 4) != "PK\x03\x04"sv)
        return refused("an archive whose parts lie outside the file");
    }
    return check_overlap();
  }

  /// Parts that share their bytes are how a small file unpacks to a huge one.
  Result<void> check_overlap() {
    std::sort(entries_.begin(), entries_.end(),
              [](const Entry& a, const Entry& b) { return a.offset < b.offset; });
    for (std::size_t i = 0; i < entries_.size(); ++i) {
      const std::uint64_t head = local_length + bytes_.number(entries_[i].offset + 26, 2) +
                                 bytes_.number(entries_[i].offset + 28, 2);
      const std::uint64_t end = entries_[i].offset + head + entries_[i].packed;
      const std::uint64_t next = i + 1 < entries_.size() ? entries_[i + 1].offset : directory_;
      if (end > next) return refused("an archive whose parts overlap");
    }
    return {};
  }

  const Entry* part(std::string_view name) const {
    for (const Entry& entry : entries_)
      if (formats::same_word(entry.name, name)) return &entry;
    return nullptr;
  }

  /// The few stored bytes in which an OpenDocument file says what it is.
  std::string_view mimetype() const {
    const Entry* entry = part("mimetype");
    if (!entry || entry->method != 0 || entry->unpacked > 200) return {};
    const std::size_t from = entry->offset + local_length + bytes_.number(entry->offset + 26, 2) +
                             bytes_.number(entry->offset + 28, 2);
    return bytes_.part(from, entry->unpacked);
  }

  Result<WorkbookFacts> facts() const {
    WorkbookFacts facts;
    facts.unpacked_bytes = unpacked_;
    facts.has_macros = std::any_of(entries_.begin(), entries_.end(), [](const Entry& entry) {
      return formats::holds(entry.name, "vbaProject") || entry.name.starts_with("Basic/") ||
             entry.name.starts_with("Scripts/");
    });
    if (part("xl/workbook.xml")) {
      facts.kind = WorkbookFacts::Kind::xlsx;
      return facts;
    }
    if (part("xl/workbook.bin"))
      return refused("a spreadsheet in a binary form" + std::string(save_as));
    if (part("word/document.xml")) return refused("a text document");
    const std::string_view said = mimetype();
    if (part("content.xml") && (said.empty() || formats::holds(said, "opendocument.spreadsheet"))) {
      facts.kind = WorkbookFacts::Kind::ods;
      return facts;
    }
    if (part("content.xml")) return refused("a document of another kind: " + formats::quoted(said));
    return refused("an archive (ZIP) without a workbook");
  }

  Bytes bytes_;
  std::string_view file_;
  std::vector<Entry> entries_;
  std::size_t unpacked_ = 0, directory_ = 0;
};

}  // namespace

bool is_packed(std::string_view bytes) {
  return bytes.starts_with("PK\x03\x04"sv);
}

Result<WorkbookFacts> check_workbook(std::string_view bytes, std::string_view file_name) {
  return Gate(bytes, file_name).look();
}

}  // namespace mendtone
