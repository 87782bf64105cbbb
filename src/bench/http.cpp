#include "bench/http.hpp"

#include <fcntl.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/eventfd.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <set>
#include <system_error>
#include <thread>
#include <unordered_map>

#include "bench/exchange.hpp"

namespace mendtone::bench {
namespace {

constexpr std::size_t most_head_bytes = 16384;
constexpr auto drain_time = std::chrono::seconds(2);
constexpr int threads_kept_free = 4;                  // of those that slow bodies may hold
constexpr std::size_t most_waiting_bytes = 64 << 10;  // of a body that waits for a thread
constexpr std::size_t other_files = 200;              // the record, photographs, pipes

/// As many open files as this user may have, within reason; returns how many.
std::size_t raise_open_files() {
  rlimit limit{};
  if (::getrlimit(RLIMIT_NOFILE, &limit) != 0) return 1024;
  const rlim_t wanted = std::min<rlim_t>(limit.rlim_max, 8192);
  if (limit.rlim_cur < wanted) {
    limit.rlim_cur = wanted;
    ::setrlimit(RLIMIT_NOFILE, &limit);
    ::getrlimit(RLIMIT_NOFILE, &limit);
  }
  return static_cast<std::size_t>(limit.rlim_cur);
}

}  // namespace

struct HttpServer::Parts {
  Parts(Service service_in, const Patience& patience_in)
      : service(std::move(service_in)), patience(patience_in), exchanger(service, patience) {}

  // What the waiting thread alone uses.
  Service service;
  Patience patience;
  Exchanger exchanger;
  std::unordered_map<int, Line> lines;
  std::deque<int> waiting;  ///< those whose bodies wait for a thread
  int listening = -1;
  int wake = -1;

  // Shared with those that answer.
  std::mutex mutex;
  std::condition_variable work_came, work_ended;
  std::atomic<int> slow{0};  ///< answered while their bodies are still coming
  std::deque<Line> to_answer, given_back;
  std::set<int> busy;
  bool closing = false;
  std::vector<std::thread> threads;

  Result<void> start_threads();
  void answer_lines();
  void give_back(Line line, Exchanger::After after);
  void take_back();
  void accept_all();
  void make_room();
  void hear(Line& line);
  int most_slow() const { return std::max(1, patience.threads - threads_kept_free); }
  bool may_go(Line& line);
  void let_waiting_go();
  void hand_over(int fd);
  void refuse_head(Line& line);
  void hang_up(int fd);
  void hang_up_expired();
  void begin_drain(Line& line);
  std::vector<pollfd> waited_for(int stop_fd) const;
  int wait_ms() const;
  bool close_all();
};

Result<void> HttpServer::Parts::start_threads() {
  try {
    for (int i = 0; i < patience.threads; ++i) threads.emplace_back([this] { answer_lines(); });
  } catch (const std::system_error&) {
    // Fewer will do.
  }
  if (threads.empty())
    return outside_world("this machine gives the program no thread: close other programs");
  return {};
}

void HttpServer::Parts::answer_lines() {
  while (true) {
    Line line;
    {
      std::unique_lock lock(mutex);
      work_came.wait(lock, [&] { return closing || !to_answer.empty(); });
      if (to_answer.empty()) return;
      line = std::move(to_answer.front());
      to_answer.pop_front();
      busy.insert(line.fd);
    }
    const auto after = exchanger.exchange(line);
    give_back(std::move(line), after);
  }
}

void HttpServer::Parts::give_back(Line line, Exchanger::After after) {
  if (after == Exchanger::After::drain) begin_drain(line);
  const std::lock_guard lock(mutex);
  busy.erase(line.fd);
  if (line.slow) --slow;
  line.slow = false;
  if (after == Exchanger::After::close || closing)
    ::close(line.fd);
  else
    given_back.push_back(std::move(line));
  work_ended.notify_all();
  const std::uint64_t one = 1;
  [[maybe_unused]] const auto written = ::write(wake, &one, sizeof one);
}

/// Closing at once while bytes still come would make the other side lose the reply.
void HttpServer::Parts::begin_drain(Line& line) {
  ::shutdown(line.fd, SHUT_WR);
  line.in.clear();
  line.refused = true;
}

void HttpServer::Parts::take_back() {
  std::uint64_t count = 0;
  [[maybe_unused]] const auto read = ::read(wake, &count, sizeof count);
  std::deque<Line> back;
  {
    const std::lock_guard lock(mutex);
    back.swap(given_back);
  }
  for (Line& line : back) {
    const int fd = line.fd;
    const auto now = Clock::now();
    line.until = now + (line.refused      ? Clock::duration(drain_time)
                        : line.in.empty() ? std::chrono::seconds(patience.idle_seconds)
                                          : std::chrono::seconds(patience.head_seconds));
    Line& kept = lines[fd] = std::move(line);
    if (!kept.refused && head_end(kept.in) != std::string::npos && may_go(kept)) hand_over(fd);
  }
  let_waiting_go();
}

/// A body that dribbles holds a thread for as long as it lasts: so many may, and the page still has
/// threads left. A body that is all there needs no such place.
bool HttpServer::Parts::may_go(Line& line) {
  const bool whole = body_missing(line.in, head_end(line.in)) == 0;
  if (whole || slow < most_slow()) {
    line.slow = !whole;
    line.waits = false;
    if (line.slow) ++slow;
    return true;
  }
  if (!line.waits) {
    line.waits = true;
    // Its turn comes when those before it have ended.
    line.until = Clock::now() + std::chrono::seconds(20 * patience.body_seconds);
    waiting.push_back(line.fd);
  }
  return false;
}

void HttpServer::Parts::let_waiting_go() {
  while (!waiting.empty() && slow < most_slow()) {
    const auto line = lines.find(waiting.front());
    waiting.pop_front();
    // It may have gone meanwhile, and another may have got its number.
    if (line != lines.end() && line->second.waits && may_go(line->second)) hand_over(line->first);
  }
}

void HttpServer::Parts::hang_up(int fd) {
  ::close(fd);
  lines.erase(fd);
}

/// The connection that is nearest to its end goes first.
void HttpServer::Parts::make_room() {
  const auto first = std::min_element(
      lines.begin(), lines.end(),
      [](const auto& one, const auto& other) { return one.second.until < other.second.until; });
  if (first != lines.end())
    hang_up(first->first);
  else
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
}

void HttpServer::Parts::accept_all() {
  for (int i = 0; i < 256; ++i) {
    if (lines.size() >= patience.most_connections) make_room();
    const int fd = ::accept4(listening, nullptr, nullptr, SOCK_NONBLOCK | SOCK_CLOEXEC);
    if (fd < 0) {
      if (errno == EMFILE || errno == ENFILE || errno == ENOBUFS || errno == ENOMEM) make_room();
      return;
    }
    const int yes = 1;
    ::setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof yes);
    lines[fd] = {fd, {}, Clock::now() + std::chrono::seconds(patience.head_seconds), false};
  }
}

void HttpServer::Parts::hand_over(int fd) {
  const auto found = lines.find(fd);
  {
    const std::lock_guard lock(mutex);
    to_answer.push_back(std::move(found->second));
  }
  lines.erase(found);
  work_came.notify_one();
}

void HttpServer::Parts::refuse_head(Line& line) {
  constexpr std::string_view said =
      "HTTP/1.1 431 Request Header Fields Too Large\r\nConnection: close\r\n"
      "X-Content-Type-Options: nosniff\r\nContent-Length: 0\r\n\r\n";
  [[maybe_unused]] const auto sent = ::send(line.fd, said.data(), said.size(), MSG_NOSIGNAL);
  begin_drain(line);
  line.until = Clock::now() + drain_time;
}

void HttpServer::Parts::hear(Line& line) {
  char bytes[16384];
  const ssize_t count = ::recv(line.fd, bytes, sizeof bytes, 0);
  if (count < 0 && (errno == EAGAIN || errno == EINTR)) return;
  if (count <= 0) return hang_up(line.fd);
  if (line.refused) return;
  if (line.in.empty()) line.until = Clock::now() + std::chrono::seconds(patience.head_seconds);
  line.in.append(bytes, static_cast<std::size_t>(count));
  const auto end = head_end(line.in);
  if (end == std::string::npos ? line.in.size() > most_head_bytes : end > most_head_bytes)
    return refuse_head(line);
  if (end != std::string::npos && may_go(line)) hand_over(line.fd);
}

void HttpServer::Parts::hang_up_expired() {
  const auto now = Clock::now();
  std::vector<int> late;
  for (const auto& [fd, line] : lines)
    if (line.until <= now) late.push_back(fd);
  for (int fd : late) hang_up(fd);
}

std::vector<pollfd> HttpServer::Parts::waited_for(int stop_fd) const {
  std::vector<pollfd> all{{stop_fd, POLLIN, 0}, {wake, POLLIN, 0}, {listening, POLLIN, 0}};
  for (const auto& [fd, line] : lines) {
    const bool full = line.waits && line.in.size() > most_waiting_bytes;
    all.push_back({fd, static_cast<short>(full ? 0 : POLLIN), 0});
  }
  return all;
}

int HttpServer::Parts::wait_ms() const {
  auto first = Clock::now() + std::chrono::seconds(60);
  for (const auto& [fd, line] : lines) first = std::min(first, line.until);
  const auto left =
      std::chrono::duration_cast<std::chrono::milliseconds>(first - Clock::now()).count();
  return static_cast<int>(std::max<long long>(left, 0)) + 1;
}

/// Those that wait are cut off, a body still coming ends early, replies are still written.
bool HttpServer::Parts::close_all() {
  ::close(listening);
  while (!lines.empty()) hang_up(lines.begin()->first);
  std::unique_lock lock(mutex);
  closing = true;
  for (Line& line : to_answer) ::close(line.fd);
  to_answer.clear();
  for (Line& line : given_back) ::close(line.fd);
  given_back.clear();
  for (int fd : busy) ::shutdown(fd, SHUT_RD);
  work_came.notify_all();
  const bool ended = work_ended.wait_for(lock, std::chrono::seconds(patience.closing_seconds),
                                         [&] { return busy.empty(); });
  lock.unlock();
  for (std::thread& thread : threads) ended ? thread.join() : thread.detach();
  threads.clear();
  return ended;
}

HttpServer::HttpServer(Service service, const Patience& patience)
    : parts_(std::make_unique<Parts>(std::move(service), patience)) {}

HttpServer::~HttpServer() {
  if (parts_->wake >= 0) ::close(parts_->wake);
}

Result<int> HttpServer::open(std::optional<int> port) {
  Parts& p = *parts_;
  const std::size_t files = raise_open_files();
  p.patience.most_connections = std::min(p.patience.most_connections,
                                         files > 2 * other_files ? files - other_files : files / 2);
  const int taken = port ? (p.exchanger.bind_to_port("127.0.0.1", *port) ? *port : -1)
                         : p.exchanger.bind_to_any_port("127.0.0.1");
  if (taken < 0)
    return outside_world(port ? "another program has this port; leave --port out, and a free one "
                                "is taken"
                              : "this machine gives the program no port",
                         port ? "port " + std::to_string(*port) : std::string());
  p.listening = p.exchanger.listening_socket();
  // The library's own queue is five long: a crowd would be turned away before it is seen.
  ::listen(p.listening, 1024);
  ::fcntl(p.listening, F_SETFL, O_NONBLOCK);
  ::fcntl(p.listening, F_SETFD, FD_CLOEXEC);
  p.wake = ::eventfd(0, EFD_NONBLOCK | EFD_CLOEXEC);
  if (p.wake < 0) return outside_world("this machine gives the program no more open files");
  return taken;
}

Result<bool> HttpServer::serve(int stop_fd) {
  Parts& p = *parts_;
  if (auto started = p.start_threads(); !started) return started.error();
  while (true) {
    auto waited = p.waited_for(stop_fd);
    if (::poll(waited.data(), waited.size(), p.wait_ms()) < 0 && errno != EINTR)
      return outside_world("cannot wait for the page");
    if (waited[0].revents != 0) return p.close_all();
    if (waited[1].revents != 0) p.take_back();
    for (std::size_t i = 3; i < waited.size(); ++i)
      if (waited[i].revents != 0)
        if (const auto line = p.lines.find(waited[i].fd); line != p.lines.end())
          p.hear(line->second);
    p.hang_up_expired();
    if (waited[2].revents != 0) p.accept_all();
  }
}

}  // namespace mendtone::bench
