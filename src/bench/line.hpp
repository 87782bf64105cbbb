#pragma once
#include <httplib.h>

#include <chrono>
#include <string>

// One connection: its socket, and what was read of it and not yet used.
namespace mendtone::bench {

using Clock = std::chrono::steady_clock;

struct Line {
  int fd = -1;
  std::string in;
  Clock::time_point until;  ///< closed then, if nothing has come of it
  bool refused = false;     ///< answered; what still comes is thrown away until it closes
  bool slow = false;        ///< being answered while its body is still coming
  bool waits = false;       ///< for one of those to end, or for the rest of its body
};

/// The end of the request's head in what was read, behind its blank line; npos: not yet.
std::size_t head_end(const std::string& in);

/// How many bytes of the body, as the head states it, have not come yet. 0 where the head states
/// none, or in a way that the gate will refuse.
std::size_t body_missing(const std::string& in, std::size_t end);

/// The head without a Range field: nothing here is served in parts, and the library reads that
/// field with a regular expression that a long one can bring down.
std::string without_range(const std::string& in, std::size_t end);

/// The connection as the library reads and writes it, with an end to all waiting.
class LineStream final : public httplib::Stream {
 public:
  /// Waiting ends after `seconds` without a byte, however much is still to come; and for all of a
  /// body or a reply after `seconds`, and a second more for each `bytes_a_second` that have passed.
  LineStream(Line& line, int seconds, int bytes_a_second);
  /// A body or a reply begins.
  void begin();
  /// Bytes behind this request: the beginning of the next one.
  std::string rest() const { return line_.in.substr(used_); }

  bool is_readable() const override { return true; }
  bool is_writable() const override { return true; }
  ssize_t read(char* to, size_t size) override;
  ssize_t write(const char* from, size_t size) override;
  void get_remote_ip_and_port(std::string& ip, int& port) const override;
  void get_local_ip_and_port(std::string& ip, int& port) const override;
  /// Never its true number: the library would refuse one above FD_SETSIZE, which matters to select
  /// and not to poll.
  socket_t socket() const override { return 0; }

 private:
  bool wait_for(short events) const;
  void passed(std::size_t bytes);

  Line& line_;
  int seconds_, bytes_a_second_;
  std::size_t used_ = 0, passed_ = 0;
  Clock::time_point began_, until_;
};

}  // namespace mendtone::bench
