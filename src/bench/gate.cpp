#include "bench/gate.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <nlohmann/json.hpp>
#include <optional>

namespace mendtone::bench {
namespace {

struct Route {
  const char* method;
  const char* path;  ///< '*' one part, '#' one part that is a whole number
  Call call;
  BodyWay body = BodyWay::none;
  std::size_t limit_bytes = 0;
};

constexpr std::size_t words = 1u << 20;  // an entry, a job, a list of colours
constexpr std::size_t readings_file = 64u << 20;
constexpr std::size_t picture_file = std::size_t{2} << 30;

constexpr Route routes[] = {
    {"GET", "api/record", Call::record},
    {"GET", "api/sheet", Call::sheet},
    {"GET", "api/history", Call::history},
    {"GET", "api/find", Call::find},
    {"POST", "api/keep", Call::keep, BodyWay::memory, words},
    {"POST", "api/correct-all", Call::correct_all, BodyWay::memory, words},
    {"POST", "api/withdraw", Call::withdraw, BodyWay::memory, words},
    {"POST", "api/readings/preview", Call::readings_preview, BodyWay::memory, readings_file},
    {"POST", "api/readings", Call::readings, BodyWay::memory, readings_file},
    {"POST", "api/compute", Call::compute, BodyWay::memory, words},
    {"POST", "api/rank", Call::rank, BodyWay::memory, words},
    {"POST", "api/jobs", Call::job_start, BodyWay::memory, words},
    {"GET", "api/jobs", Call::jobs},
    {"GET", "api/jobs/#", Call::job},
    {"DELETE", "api/jobs/#", Call::job_cancel},
    {"PUT", "api/photograph", Call::photograph_put, BodyWay::disk, picture_file},
    {"GET", "api/photograph/#", Call::photograph},
    {"GET", "api/photograph/#/tile/#/#/#", Call::tile},
    {"GET", "api/map/#/#/*", Call::map},
    {"GET", "api/report/*/*", Call::report_file},
    {"POST", "api/fill-picture", Call::fill_picture, BodyWay::memory, words},
    {"POST", "api/colours", Call::colours, BodyWay::memory, words},
    {"GET", "api/result/#", Call::result},
    {"POST", "api/closing", Call::closing, BodyWay::memory, words},
    {"GET", "*", Call::page},
};

bool equal_names(std::string_view one, std::string_view other) {
  return std::equal(one.begin(), one.end(), other.begin(), other.end(), [](char a, char b) {
    return std::tolower(static_cast<unsigned char>(a)) ==
           std::tolower(static_cast<unsigned char>(b));
  });
}

std::vector<std::string_view> values(const Head& head, std::string_view name) {
  std::vector<std::string_view> found;
  for (const auto& [field, value] : head.fields)
    if (equal_names(field, name)) found.push_back(value);
  return found;
}

/// The one value of a field; nothing where it was not sent, or sent twice.
std::optional<std::string_view> only_value(const Head& head, std::string_view name) {
  const auto all = values(head, name);
  return all.size() == 1 ? std::optional(all.front()) : std::nullopt;
}

bool is_ours(std::string_view host, const Address& address) {
  const std::string port = ":" + std::to_string(address.port);
  return equal_names(host, "127.0.0.1" + port) || equal_names(host, "localhost" + port);
}

/// A page of another house may send neither our Host (its name was made to point here) nor our
/// Origin; a browser says both truly.
bool from_our_page(const Head& head, const Address& address) {
  for (std::string_view origin : values(head, "Origin")) {
    constexpr std::string_view scheme = "http://";
    if (origin.substr(0, scheme.size()) != scheme) return false;
    if (!is_ours(origin.substr(scheme.size()), address)) return false;
  }
  return true;
}

/// Whether the browser says that another house's page asks. The page itself may be gone to from
/// anywhere: from the small file that opens it, from a bookmark.
bool from_elsewhere(const Head& head, Call call) {
  for (std::string_view site : values(head, "Sec-Fetch-Site"))
    if (site != "same-origin" && site != "none")
      return call != Call::page || only_value(head, "Sec-Fetch-Mode") != "navigate" ||
             only_value(head, "Sec-Fetch-Dest") != "document";
  return false;
}

int hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

/// Well-formed UTF-8 without control characters.
bool is_text(std::string_view text) {
  for (char c : text)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) return false;
  try {
    return !nlohmann::json(std::string(text)).dump().empty();
  } catch (const nlohmann::json::exception&) {
    return false;
  }
}

/// Percent-encoding undone; nothing where it is broken.
std::optional<std::string> decoded(std::string_view text, bool plus_is_blank) {
  std::string plain;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '%') {
      const int high = i + 2 < text.size() ? hex_digit(text[i + 1]) : -1;
      const int low = i + 2 < text.size() ? hex_digit(text[i + 2]) : -1;
      if (high < 0 || low < 0) return std::nullopt;
      plain += static_cast<char>(high * 16 + low);
      i += 2;
    } else {
      plain += plus_is_blank && text[i] == '+' ? ' ' : text[i];
    }
  }
  if (!is_text(plain)) return std::nullopt;
  return plain;
}

std::vector<std::string_view> split(std::string_view text, char at) {
  std::vector<std::string_view> parts;
  while (true) {
    const auto end = text.find(at);
    parts.push_back(text.substr(0, end));
    if (end == std::string_view::npos) return parts;
    text.remove_prefix(end + 1);
  }
}

std::optional<std::vector<std::string>> path_parts(std::string_view path) {
  std::vector<std::string> parts;
  for (std::string_view raw : split(path, '/')) {
    auto part = decoded(raw, false);
    const bool sound =
        part && *part != "." && *part != ".." && part->find_first_of("/\\") == std::string::npos;
    if (!sound) return std::nullopt;
    parts.push_back(*std::move(part));
  }
  return parts;
}

std::optional<std::map<std::string, std::string>> query_values(std::string_view query) {
  std::map<std::string, std::string> found;
  if (query.empty()) return found;
  for (std::string_view pair : split(query, '&')) {
    const auto equals = pair.find('=');
    const auto name = decoded(pair.substr(0, equals), true);
    const auto value = equals == std::string_view::npos ? std::optional<std::string>("")
                                                        : decoded(pair.substr(equals + 1), true);
    if (!name || !value || name->empty() || !found.emplace(*name, *value).second)
      return std::nullopt;
  }
  return found;
}

bool is_whole(std::string_view text) {
  return !text.empty() && text.size() <= 18 &&
         text.find_first_not_of("0123456789") == std::string_view::npos;
}

/// Whether `parts` are those of the route; the free ones are put into `free`.
bool fits(const Route& route, const std::vector<std::string>& parts,
          std::vector<std::string>& free) {
  const auto pattern = split(route.path, '/');
  if (pattern.size() != parts.size()) return false;
  free.clear();
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const bool number = pattern[i] == "#";
    if (number || pattern[i] == "*") {
      if (number && !is_whole(parts[i])) return false;
      free.push_back(parts[i]);
    } else if (pattern[i] != parts[i]) {
      return false;
    }
  }
  return true;
}

Reply nothing_here() {
  return refusal(404, "nothing is here");
}

/// How long the body is; a refusal where that is not said plainly.
std::variant<std::size_t, Reply> body_bytes(const Head& head, const Route& route) {
  if (!values(head, "Transfer-Encoding").empty() || !values(head, "Content-Encoding").empty())
    return refusal(411, "the body must come plain and with its length stated");
  const auto lengths = values(head, "Content-Length");
  if (lengths.empty() && route.body == BodyWay::none) return std::size_t{0};
  if (lengths.empty()) return refusal(411, "the body must come with its length stated");
  if (lengths.size() > 1 || !is_whole(lengths.front()))
    return refusal(400, "the length of the body cannot be understood");
  std::size_t bytes = 0;
  std::from_chars(lengths.front().data(), lengths.front().data() + lengths.front().size(), bytes);
  if (route.body == BodyWay::none && bytes > 0) return refusal(400, "this call takes no body");
  if (bytes > route.limit_bytes)
    return refusal(413, "too large: " + std::to_string(bytes) + " bytes; at most " +
                            std::to_string(route.limit_bytes) + " are taken here");
  return bytes;
}

/// The part of the path behind "/SECRET/"; nothing where the secret is not ours.
std::optional<std::string_view> behind_secret(std::string_view path, const std::string& secret) {
  if (path.empty() || path.front() != '/') return std::nullopt;
  path.remove_prefix(1);
  const auto end = path.find('/');
  if (end == std::string_view::npos || !same_secret(path.substr(0, end), secret))
    return std::nullopt;
  return path.substr(end + 1);
}

std::variant<Asked, Reply> asked_of(const Route& route, const Head& head, Asked asked) {
  if (from_elsewhere(head, route.call)) return refusal(403, "nothing is here");
  if (std::string_view(route.method) != "GET" && only_value(head, "X-Mendtone") != "1")
    return refusal(403, "this call is for the page only");
  auto bytes = body_bytes(head, route);
  if (auto* refused = std::get_if<Reply>(&bytes)) return std::move(*refused);
  asked.call = route.call;
  asked.body = route.body;
  asked.body_bytes = std::get<std::size_t>(bytes);
  return asked;
}

}  // namespace

std::string Asked::value(const std::string& name) const {
  const auto found = query.find(name);
  return found == query.end() ? std::string() : found->second;
}

bool same_secret(std::string_view one, std::string_view other) {
  if (one.size() != other.size()) return false;
  unsigned different = 0;
  for (std::size_t i = 0; i < one.size(); ++i)
    different |= static_cast<unsigned char>(one[i]) ^ static_cast<unsigned char>(other[i]);
  return different == 0;
}

std::variant<Asked, Reply> admit(const Head& head, const Address& address) {
  const auto host = only_value(head, "Host");
  if (!host || !is_ours(*host, address)) return refusal(403, "nothing is here");
  const std::string_view target = head.target;
  const auto question = target.find('?');
  const auto rest = behind_secret(target.substr(0, question), address.secret);
  if (!rest) return nothing_here();
  if (!from_our_page(head, address)) return refusal(403, "nothing is here");
  const auto parts = path_parts(*rest);
  if (!parts) return nothing_here();
  Asked asked;
  bool other_method = false;
  for (const Route& route : routes) {
    if (!fits(route, *parts, asked.parts)) continue;
    if (head.method != route.method) {
      other_method = true;
      continue;
    }
    auto query =
        query_values(question == std::string_view::npos ? "" : target.substr(question + 1));
    if (!query) return refusal(400, "what follows the question mark cannot be understood");
    asked.query = *std::move(query);
    return asked_of(route, head, std::move(asked));
  }
  return other_method ? refusal(405, "this call is made in another way") : nothing_here();
}

Reply refusal(int status, const std::string& message, const std::string& where) {
  const nlohmann::ordered_json body{{"error", {{"message", message}, {"where", where}}}};
  Reply reply;
  reply.status = status;
  reply.body = body.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  return reply;
}

Reply refusal(const Error& error) {
  if (error.code != ErrorCode::outside_world) return refusal(400, error.message, error.where);
  const bool full = error.message.find("No space left") != std::string::npos ||
                    error.message.find("the disk is full") != std::string::npos;
  return refusal(full ? 507 : 500, error.message, error.where);
}

std::string content_policy(bool document) {
  const std::string common =
      "base-uri 'none'; form-action 'none'; frame-ancestors 'none'; default-src 'none'; ";
  if (document) return common + "style-src 'unsafe-inline'; img-src data:; sandbox";
  return common +
         "script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
         "font-src 'self'";
}

const std::vector<std::pair<std::string, std::string>>& security_fields() {
  static const std::vector<std::pair<std::string, std::string>> fields{
      {"X-Content-Type-Options", "nosniff"},
      {"X-Frame-Options", "DENY"},
      {"Referrer-Policy", "no-referrer"},
      {"Cross-Origin-Resource-Policy", "same-origin"},
      {"Cross-Origin-Opener-Policy", "same-origin"}};
  return fields;
}

}  // namespace mendtone::bench
