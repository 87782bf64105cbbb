#pragma once
#include <httplib.h>

#include <atomic>
#include <optional>

#include "bench/http.hpp"
#include "bench/line.hpp"

namespace mendtone::bench {

/// One request and its reply: the library parses and writes, the service decides and answers.
class Exchanger : public httplib::Server {
 public:
  Exchanger(const Service& service, const Patience& patience);

  /// What becomes of the connection.
  enum class After { next, close, drain };
  After exchange(Line& line);

  int listening_socket() const { return svr_sock_; }

 private:
  struct Exchange;
  static thread_local Exchange* now_;

  void decide(httplib::Request& request, Exchange& exchange) const;
  Reply answer(const Asked& asked, std::string body) const;
  Reply to_memory(const Asked& asked, const httplib::ContentReader& read) const;
  Reply to_disk(const Asked& asked, const httplib::ContentReader& read) const;
  void answer_body(httplib::Response& response, const httplib::ContentReader& read) const;

  const Service& service_;
  const Patience& patience_;
  mutable std::atomic<std::size_t> held_bytes_{0};
};

}  // namespace mendtone::bench
