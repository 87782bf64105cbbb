#pragma once
#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <string>

namespace mendtone::bench {

/// A client that says whatever it likes, byte by byte.
class Client {
 public:
  explicit Client(int port) : fd_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    sockaddr_in to{};
    to.sin_family = AF_INET;
    to.sin_port = htons(static_cast<std::uint16_t>(port));
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    open_ = ::connect(fd_, reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0;
  }
  ~Client() {
    if (fd_ >= 0) ::close(fd_);
  }
  Client(Client&& other) noexcept : fd_(other.fd_), open_(other.open_), in_(std::move(other.in_)) {
    other.fd_ = -1;
  }
  Client& operator=(Client&&) = delete;

  bool open() const { return open_; }
  void say(const std::string& text) const {
    std::size_t sent = 0;
    while (sent < text.size()) {
      const ssize_t count = ::send(fd_, text.data() + sent, text.size() - sent, MSG_NOSIGNAL);
      if (count <= 0) return;
      sent += static_cast<std::size_t>(count);
    }
  }
  void say_no_more() const { ::shutdown(fd_, SHUT_WR); }

  /// The next whole reply, head and body; empty where the connection ended first.
  std::string reply() {
    while (true) {
      const auto head = in_.find("\r\n\r\n");
      if (head != std::string::npos) {
        const std::size_t end = head + 4 + body_bytes(in_.substr(0, head));
        if (in_.size() >= end) {
          std::string one = in_.substr(0, end);
          in_.erase(0, end);
          return one;
        }
      }
      if (!hear()) return {};
    }
  }
  /// Everything until the other side closes.
  std::string rest() {
    while (hear()) {
    }
    return in_;
  }

 private:
  static std::size_t body_bytes(const std::string& head) {
    const std::string field = "Content-Length: ";
    const auto at = head.find(field);
    return at == std::string::npos ? 0 : std::stoul(head.substr(at + field.size()));
  }
  bool hear() {
    char bytes[65536];
    const ssize_t count = ::recv(fd_, bytes, sizeof bytes, 0);
    if (count <= 0) return false;
    in_.append(bytes, static_cast<std::size_t>(count));
    return true;
  }

  int fd_;
  bool open_ = false;
  std::string in_;
};

inline int status_of(const std::string& reply) {
  return reply.size() < 12 ? 0 : std::stoi(reply.substr(9, 3));
}

inline std::size_t count_of(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
  return count;
}

}  // namespace mendtone::bench
