#include "adapters/picture_protocol.hpp"

#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>

namespace mendtone::pictures {
namespace {

/// The descriptor in a message's ancillary part; others are closed.
int descriptor_in(msghdr& head) {
  int found = -1;
  for (cmsghdr* part = CMSG_FIRSTHDR(&head); part; part = CMSG_NXTHDR(&head, part)) {
    if (part->cmsg_level != SOL_SOCKET || part->cmsg_type != SCM_RIGHTS) continue;
    const std::size_t count = (part->cmsg_len - CMSG_LEN(0)) / sizeof(int);
    for (std::size_t i = 0; i < count; ++i) {
      int one = -1;
      std::memcpy(&one, CMSG_DATA(part) + i * sizeof(int), sizeof one);
      if (found >= 0) ::close(found);
      found = one;
    }
  }
  return found;
}

/// The first bytes, with which a descriptor may come.
ssize_t first_bytes(int socket, void* to, std::size_t count, int& descriptor) {
  alignas(cmsghdr) char control[CMSG_SPACE(sizeof(int))];
  iovec part{to, count};
  msghdr head{};
  head.msg_iov = &part;
  head.msg_iovlen = 1;
  head.msg_control = control;
  head.msg_controllen = sizeof control;
  ssize_t got = -1;
  do got = ::recvmsg(socket, &head, MSG_CMSG_CLOEXEC);
  while (got < 0 && errno == EINTR);
  if (got > 0) descriptor = descriptor_in(head);
  return got;
}

bool receive_all(int socket, char* to, std::size_t count) {
  while (count > 0) {
    const ssize_t got = ::recv(socket, to, count, 0);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return false;
    to += got;
    count -= static_cast<std::size_t>(got);
  }
  return true;
}

bool send_all(int socket, const char* from, std::size_t count) {
  while (count > 0) {
    const ssize_t sent = ::send(socket, from, count, MSG_NOSIGNAL);
    if (sent < 0 && errno == EINTR) continue;
    if (sent <= 0) return false;
    from += sent;
    count -= static_cast<std::size_t>(sent);
  }
  return true;
}

}  // namespace

bool send_message(int socket, std::string_view bytes, int descriptor) {
  std::uint64_t length = bytes.size();
  iovec part{&length, sizeof length};
  msghdr head{};
  head.msg_iov = &part;
  head.msg_iovlen = 1;
  alignas(cmsghdr) char control[CMSG_SPACE(sizeof(int))] = {};
  if (descriptor >= 0) {
    head.msg_control = control;
    head.msg_controllen = sizeof control;
    cmsghdr* one = CMSG_FIRSTHDR(&head);
    one->cmsg_level = SOL_SOCKET;
    one->cmsg_type = SCM_RIGHTS;
    one->cmsg_len = CMSG_LEN(sizeof(int));
    std::memcpy(CMSG_DATA(one), &descriptor, sizeof descriptor);
  }
  ssize_t sent = -1;
  do sent = ::sendmsg(socket, &head, MSG_NOSIGNAL);
  while (sent < 0 && errno == EINTR);
  return sent == static_cast<ssize_t>(sizeof length) &&
         send_all(socket, bytes.data(), bytes.size());
}

std::optional<Message> receive_message(int socket, bool with_descriptor) {
  Message message;
  std::uint64_t length = 0;
  auto* const to = reinterpret_cast<char*>(&length);
  const ssize_t got = first_bytes(socket, to, sizeof length, message.descriptor);
  bool whole = got > 0 &&
               receive_all(socket, to + got, sizeof length - static_cast<std::size_t>(got)) &&
               length <= most_message_bytes;
  if (whole) {
    message.bytes.resize(static_cast<std::size_t>(length));
    whole = receive_all(socket, message.bytes.data(), message.bytes.size());
  }
  if (message.descriptor >= 0 && (!whole || !with_descriptor)) {
    ::close(message.descriptor);
    message.descriptor = -1;
  }
  return whole ? std::optional(std::move(message)) : std::nullopt;
}

}  // namespace mendtone::pictures
