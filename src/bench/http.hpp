#pragma once
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <variant>

#include "bench/gate.hpp"
#include "mendtone/base/result.hpp"

namespace mendtone::bench {

/// A body that goes to the disk piece by piece. Destroyed without `finish`, nothing of it is left.
class Incoming {
 public:
  virtual ~Incoming() = default;
  virtual Result<void> piece(const char* bytes, std::size_t count) = 0;
  virtual Reply finish() = 0;
};

/// What the server asks of the bench.
struct Service {
  std::function<std::variant<Asked, Reply>(const Head&)> admit;
  std::function<Reply(const Asked&, std::string body)> answer;
  std::function<Result<std::unique_ptr<Incoming>>(const Asked&)> incoming;
};

/// How much the server takes on. One thread waits on all connections; a request gets a thread of
/// its own only once its head is whole, so that idle and dribbling clients cost nothing.
struct Patience {
  int threads = 16;
  std::size_t most_connections = 3000;
  int head_seconds = 15;      ///< from a request's first byte to the end of its head
  int idle_seconds = 60;      ///< without a byte between two requests
  int body_seconds = 30;      ///< without a byte of a body or a reply; for all of it as many, and …
  int bytes_a_second = 8192;  ///< … a second more for each so many bytes that have passed
  int closing_seconds = 20;   ///< for what still runs when the program is told to stop
};

/// HTTP/1.1 on 127.0.0.1 only.
class HttpServer {
 public:
  HttpServer(Service service, const Patience& patience);
  ~HttpServer();

  /// Takes a port, any that is free where none is said; returns it.
  Result<int> open(std::optional<int> port);
  /// Serves until `stop_fd` can be read (a signal), then finishes what runs, within bounds, and
  /// returns whether all of it ended.
  Result<bool> serve(int stop_fd);

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace mendtone::bench
