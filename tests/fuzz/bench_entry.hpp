#pragma once
#include <sys/socket.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "bench/exchange.hpp"

namespace mendtone::fuzz {

inline void demand_of_bench(bool holds, const char* what) {
  if (holds) return;
  std::fprintf(stderr, "broken promise: %s\n", what);
  std::abort();
}

/// The corpus was written for this address.
inline const bench::Address& bench_address() {
  static const bench::Address address{"secret-of-the-test-0123456789abcdefghijklmn", 4711};
  return address;
}

/// Takes a body and keeps nothing of it.
class NothingKept final : public bench::Incoming {
 public:
  Result<void> piece(const char*, std::size_t) override { return {}; }
  bench::Reply finish() override { return {}; }
};

/// What the gate promises of every head.
inline std::variant<bench::Asked, bench::Reply> admit_checked(const bench::Head& head) {
  auto decision = bench::admit(head, bench_address());
  if (const auto* refused = std::get_if<bench::Reply>(&decision)) {
    demand_of_bench(refused->status >= 400 && refused->status < 600, "a refusal is one");
    demand_of_bench(refused->body.find("\"message\"") != std::string::npos, "a refusal says why");
    demand_of_bench(refused->body.find(bench_address().secret) == std::string::npos,
                    "a refusal tells no secret");
    return decision;
  }
  const auto& asked = std::get<bench::Asked>(decision);
  demand_of_bench(head.target.find(bench_address().secret) == 1, "who is admitted has the secret");
  demand_of_bench(asked.body_bytes <= std::size_t{2} << 30, "no body is larger than a photograph");
  for (const std::string& part : asked.parts)
    demand_of_bench(part != ".." && part.find_first_of(std::string("/\\\0", 3)) == part.npos,
                    "no part of a path leads elsewhere");
  return decision;
}

/// Any bytes at all as one request on a connection that then falls silent: at most one reply, with
/// the security fields. The replay test and the fuzzer share it.
inline int feed_bench(std::string_view bytes) {
  using namespace bench;
  const auto end = head_end(std::string(bytes));
  if (end == std::string::npos || bytes.size() > 60000) return 0;
  static const Service service{admit_checked, [](const Asked&, std::string) { return Reply(); },
                               [](const Asked&) -> Result<std::unique_ptr<Incoming>> {
                                 return std::unique_ptr<Incoming>(std::make_unique<NothingKept>());
                               }};
  static const Patience patience;
  static Exchanger exchanger(service, patience);
  int pair[2];
  demand_of_bench(::socketpair(AF_UNIX, SOCK_STREAM, 0, pair) == 0, "two ends of a connection");
  ::shutdown(pair[1], SHUT_WR);
  Line line{pair[0], std::string(bytes), {}, false};
  exchanger.exchange(line);
  ::close(pair[0]);
  std::string reply;
  char piece[65536];
  for (ssize_t n; (n = ::recv(pair[1], piece, sizeof piece, 0)) > 0;)
    reply.append(piece, static_cast<std::size_t>(n));
  ::close(pair[1]);
  const auto count = [&](std::string_view part) {
    std::size_t found = 0;
    for (auto at = reply.find(part); at != std::string::npos; at = reply.find(part, at + 1))
      ++found;
    return found;
  };
  const std::size_t replies = count("HTTP/1.1 ") - count("HTTP/1.1 100 ");
  demand_of_bench(replies <= 1, "one request has one reply");
  demand_of_bench(count("Content-Security-Policy: ") == replies, "a reply has its policy");
  demand_of_bench(count(bench_address().secret) == 0, "no reply tells the secret");
  return 0;
}

}  // namespace mendtone::fuzz
