#include "bench/line.hpp"

#include <poll.h>
#include <strings.h>
#include <sys/socket.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cstring>

namespace mendtone::bench {
namespace {

/// The place behind the colon where the line at `start` is the field `name`; npos where it is not.
std::size_t value_of(const std::string& in, std::size_t start, std::string_view name) {
  if (in.size() < start + name.size()) return std::string::npos;
  if (::strncasecmp(in.data() + start, name.data(), name.size()) != 0) return std::string::npos;
  const auto after = in.find_first_not_of(" \t", start + name.size());
  return after != std::string::npos && in[after] == ':' ? after + 1 : std::string::npos;
}

bool names_range(const std::string& in, std::size_t start) {
  return value_of(in, start, "range") != std::string::npos;
}

}  // namespace

std::size_t head_end(const std::string& in) {
  const auto blank = in.find("\r\n\r\n");
  return blank == std::string::npos ? blank : blank + 4;
}

std::size_t body_missing(const std::string& in, std::size_t end) {
  for (std::size_t start = 0; start < end; start = in.find('\n', start) + 1) {
    auto at = value_of(in, start, "content-length");
    if (at == std::string::npos) continue;
    while (at < end && (in[at] == ' ' || in[at] == '\t')) ++at;
    std::size_t bytes = 0;
    std::from_chars(in.data() + at, in.data() + end, bytes);
    const std::size_t come = in.size() - end;
    return bytes > come ? bytes - come : 0;
  }
  return 0;
}

std::string without_range(const std::string& in, std::size_t end) {
  std::string kept;
  kept.reserve(in.size());
  for (std::size_t start = 0; start < end;) {
    const std::size_t next = in.find('\n', start) + 1;
    if (!names_range(in, start)) kept.append(in, start, next - start);
    start = next;
  }
  return kept.append(in, end);
}

LineStream::LineStream(Line& line, int seconds, int bytes_a_second)
    : line_(line), seconds_(seconds), bytes_a_second_(bytes_a_second) {
  begin();
}

void LineStream::begin() {
  began_ = Clock::now();
  passed_ = 0;
  until_ = began_ + std::chrono::seconds(seconds_);
}

void LineStream::passed(std::size_t bytes) {
  passed_ += bytes;
  const auto earned = passed_ / static_cast<std::size_t>(bytes_a_second_);
  until_ = std::min(Clock::now(), began_ + std::chrono::seconds(earned)) +
           std::chrono::seconds(seconds_);
}

bool LineStream::wait_for(short events) const {
  while (true) {
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(until_ - Clock::now()).count();
    if (left <= 0) return false;
    pollfd one{line_.fd, events, 0};
    const int ready = ::poll(&one, 1, static_cast<int>(std::min<long long>(left, 60'000)));
    if (ready > 0) return true;
    if (ready < 0 && errno != EINTR) return false;
  }
}

ssize_t LineStream::read(char* to, size_t size) {
  if (used_ < line_.in.size()) {
    const std::size_t count = std::min(size, line_.in.size() - used_);
    std::memcpy(to, line_.in.data() + used_, count);
    used_ += count;
    return static_cast<ssize_t>(count);
  }
  while (wait_for(POLLIN)) {
    const ssize_t count = ::recv(line_.fd, to, size, 0);
    if (count >= 0) {
      passed(static_cast<std::size_t>(count));
      return count;
    }
    if (errno != EINTR && errno != EAGAIN) return -1;
  }
  return -1;
}

ssize_t LineStream::write(const char* from, size_t size) {
  begin();
  std::size_t sent = 0;
  while (sent < size) {
    const ssize_t count = ::send(line_.fd, from + sent, size - sent, MSG_NOSIGNAL);
    if (count > 0) {
      sent += static_cast<std::size_t>(count);
      passed(static_cast<std::size_t>(count));
    } else if (count < 0 && errno == EAGAIN) {
      if (!wait_for(POLLOUT)) return -1;
    } else if (count == 0 || errno != EINTR) {
      return -1;
    }
  }
  return static_cast<ssize_t>(size);
}

void LineStream::get_remote_ip_and_port(std::string& ip, int& port) const {
  ip = "127.0.0.1";
  port = 0;
}

void LineStream::get_local_ip_and_port(std::string& ip, int& port) const {
  get_remote_ip_and_port(ip, port);
}

}  // namespace mendtone::bench
