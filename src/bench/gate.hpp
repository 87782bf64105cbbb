#pragma once
#include <map>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "mendtone/base/result.hpp"

// What may come in. Pure: no socket, no file, no clock; the same head gives the same decision.
namespace mendtone::bench {

/// Request line and header fields, as received.
struct Head {
  std::string method, target;
  std::vector<std::pair<std::string, std::string>> fields;
};

struct Reply {
  int status = 200;
  std::string type = "application/json";
  std::string body;
  bool lasting = false;  ///< the same for as long as the program runs
  /// A document of its own, with its styles and pictures in it: it may run nothing and load
  /// nothing.
  bool document = false;
  std::vector<std::string> warnings{};  ///< that a picture has no place for
};

/// One a line of the address book (see `routes` in gate.cpp).
enum class Call {
  page,
  record,
  sheet,
  history,
  find,
  keep,
  correct_all,
  withdraw,
  readings_preview,
  readings,
  compute,
  rank,
  job_start,
  jobs,
  job,
  job_cancel,
  photograph_put,
  photograph,
  tile,
  map,
  fill_picture,
  colours,
  result,
  report_file,
  closing
};

enum class BodyWay { none, memory, disk };

/// A request that has passed the gate; its body is still to be read.
struct Asked {
  Call call = Call::page;
  std::vector<std::string> parts;            ///< what stands in the path for '*' and '#', decoded
  std::map<std::string, std::string> query;  ///< decoded
  BodyWay body = BodyWay::none;
  std::size_t body_bytes = 0;

  /// A query value; empty where it was not sent.
  std::string value(const std::string& name) const;
};

/// Of this launch.
struct Address {
  std::string secret;
  int port = 0;
};

/// Decides by the head alone: Host, secret, Origin, the header that no foreign page can send, the
/// call, the size and framing of the body. In that order; nothing tells a caller without the secret
/// more than that nothing is here.
std::variant<Asked, Reply> admit(const Head& head, const Address& address);

/// {"error": {"message", "where"}}.
Reply refusal(int status, const std::string& message, const std::string& where = {});
/// Bad input and bad requests are 400, the world outside is 500, a full disk 507.
Reply refusal(const Error& error);

/// Whether two secrets are equal, in a time that does not tell where they differ.
bool same_secret(std::string_view one, std::string_view other);

/// Fields that every reply carries, refusals too; `content_policy` comes besides.
const std::vector<std::pair<std::string, std::string>>& security_fields();
/// What a page in this reply may do: the Content-Security-Policy field's value.
std::string content_policy(bool document);

}  // namespace mendtone::bench
