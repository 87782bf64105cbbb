#include <charconv>

#include "mendtone/record/store.hpp"

namespace mendtone::record {
namespace {

/// 64 bits: enough to find a seal by, and short enough to copy by hand.
constexpr std::size_t shortest_seal = 16;

bool is_hexadecimal(std::string_view text) {
  return text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

}  // namespace

std::string text_of(const Head& head) {
  return std::to_string(head.entry) + "/" + head.at + "/" + head.seal;
}

Result<Head> head_from(std::string_view text) {
  Head head;
  const auto first = text.find('/'), last = text.rfind('/');
  if (first != std::string_view::npos && last > first) {
    const auto [end, fault] = std::from_chars(text.data(), text.data() + first, head.entry);
    head.at = text.substr(first + 1, last - first - 1);
    head.seal = text.substr(last + 1);
    if (fault == std::errc{} && end == text.data() + first && head.entry >= 0 &&
        head.seal.size() >= shortest_seal && head.seal.size() <= 64 && is_hexadecimal(head.seal))
      return head;
  }
  return bad_request(
      "expected the head of a record as ENTRY/TIME/SEAL, the seal with at least " +
          std::to_string(shortest_seal) +
          " of its 64 digits (as a report, a backup or an export gives it); found '" +
          std::string(text) + "'",
      "--head");
}

}  // namespace mendtone::record
