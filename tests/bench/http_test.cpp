#include "bench/http.hpp"

#include <sys/resource.h>

#include <future>
#include <mutex>
#include <stdexcept>
#include <thread>

#include "bench/client.hpp"

// Real sockets. Nothing here depends on how fast this machine is: where something must end, its
// limit is set so short that it does, and only that it ends is checked.
namespace mendtone::bench::http_test {
namespace {

const std::string secret = "secret-of-the-test-0123456789abcdefghijklmn";

/// A body on its way that remembers what became of it.
struct Fate {
  std::mutex mutex;
  std::string bytes;
  int finished = 0, gone = 0;
};

class Noted final : public Incoming {
 public:
  explicit Noted(Fate& fate) : fate_(fate) {}
  ~Noted() override {
    const std::lock_guard lock(fate_.mutex);
    ++fate_.gone;
  }
  Result<void> piece(const char* bytes, std::size_t count) override {
    const std::lock_guard lock(fate_.mutex);
    fate_.bytes.append(bytes, count);
    if (fate_.bytes.find("disk full") != std::string::npos)
      return outside_world("No space left on device");
    return {};
  }
  Reply finish() override {
    const std::lock_guard lock(fate_.mutex);
    ++fate_.finished;
    Reply reply;
    reply.body = "{\"kept\":true}";
    return reply;
  }

 private:
  Fate& fate_;
};

/// A server on a free port; every call echoes its body.
class Served {
 public:
  explicit Served(const Patience& patience = {}) : server(service(), patience) {
    EXPECT_EQ(::pipe(stop_), 0);
    const auto taken = server.open(std::nullopt);
    EXPECT_TRUE(taken) << taken.error().text();
    address.port = *taken;
    serving_ = std::async(std::launch::async, [this] { return *server.serve(stop_[0]); });
  }
  ~Served() {
    stop();
    ::close(stop_[0]);
    ::close(stop_[1]);
  }

  /// Tells it to end; whether everything ended.
  bool stop() {
    if (!serving_.valid()) return true;
    [[maybe_unused]] const auto written = ::write(stop_[1], "x", 1);
    return serving_.get();
  }

  std::string head(const std::string& method, const std::string& path,
                   const std::string& more = {}) const {
    return method + " /" + secret + path +
           " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(address.port) +
           "\r\nX-Mendtone: 1\r\n" + more + "\r\n";
  }
  std::string post(const std::string& body) const {
    return head("POST", "/api/keep", "Content-Length: " + std::to_string(body.size()) + "\r\n") +
           body;
  }
  Client client() const { return Client(address.port); }
  int get(const std::string& path = "/") const {
    Client one = client();
    one.say(head("GET", path));
    return status_of(one.reply());
  }

  Address address{secret, 0};
  Fate fate;
  std::function<void()> while_answering = [] {};
  HttpServer server;

 private:
  Service service() {
    Service service;
    service.admit = [this](const Head& head) { return admit(head, address); };
    service.answer = [this](const Asked& asked, std::string body) {
      while_answering();
      Reply reply;
      reply.body = asked.call == Call::page ? "page" : std::move(body);
      return reply;
    };
    service.incoming = [this](const Asked&) -> Result<std::unique_ptr<Incoming>> {
      return std::unique_ptr<Incoming>(std::make_unique<Noted>(fate));
    };
    return service;
  }

  int stop_[2] = {-1, -1};
  std::future<bool> serving_;
};

std::string body_of(const std::string& reply) {
  return reply.substr(reply.find("\r\n\r\n") + 4);
}

TEST(Http, AnswersAndKeepsTheConnection) {
  Served served;
  Client client = served.client();
  for (int i = 0; i < 3; ++i) {
    client.say(served.post("body " + std::to_string(i)));
    EXPECT_EQ(body_of(client.reply()), "body " + std::to_string(i));
  }
  client.say(served.post("one") + served.post("two") + served.head("GET", "/"));
  EXPECT_EQ(body_of(client.reply()), "one");
  EXPECT_EQ(body_of(client.reply()), "two");
  EXPECT_EQ(body_of(client.reply()), "page");
}

TEST(Http, EveryReplyCarriesTheSecurityFields) {
  Served served;
  const std::string port = std::to_string(served.address.port);
  for (const std::string& request : std::vector<std::string>{
           served.head("GET", "/"), served.head("GET", "/nothing/here"),
           std::string("nonsense\r\n\r\n"), "GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n",
           "BREW / HTTP/1.1\r\nHost: x\r\n\r\n",
           "GET /" + std::string(9000, 'a') + " HTTP/1.1\r\nHost: 127.0.0.1:" + port + "\r\n\r\n",
           "GET / HTTP/1.1\r\nHost: 127.0.0.1:" + port + "\r\nRange: bytes=x\r\n\r\n",
           "GET / HTTP/9.9\r\n\r\n", std::string("\r\n\r\n")}) {
    Client client = served.client();
    client.say(request);
    client.say_no_more();
    const std::string reply = client.rest();
    EXPECT_EQ(count_of(reply, "Content-Security-Policy: "), 1u) << request.substr(0, 60) << reply;
    EXPECT_EQ(count_of(reply, "X-Content-Type-Options: nosniff"), 1u) << request.substr(0, 60);
    EXPECT_EQ(count_of(reply, "HTTP/1.1 "), 1u) << request.substr(0, 60);
    EXPECT_EQ(reply.find(secret), std::string::npos);
    if (status_of(reply) >= 400) {
      EXPECT_NE(body_of(reply).find("\"message\""), std::string::npos) << reply;
    }
  }
}

TEST(Http, WhatFollowsARefusalIsNeverTakenForARequest) {
  Served served;
  const std::string inner = served.head("GET", "/");
  for (const std::string outer : {"POST /wrong/api/keep HTTP/1.1\r\nHost: 127.0.0.1:1\r\n",
                                  "GET / HTTP/1.1\r\nHost: x\r\n"}) {
    Client client = served.client();
    client.say(outer + ("Content-Length: " + std::to_string(inner.size()) + "\r\n\r\n") + inner);
    client.say_no_more();
    EXPECT_EQ(count_of(client.rest(), "HTTP/1.1 "), 1u) << outer;
  }
  for (const std::string& more :
       {std::string("Transfer-Encoding: chunked\r\n"), std::string("Content-Length: 99999999\r\n"),
        std::string("Content-Length: 5\r\nContent-Length: 6\r\n"), std::string()}) {
    Client client = served.client();
    client.say(served.head("POST", "/api/keep", more) + inner);
    client.say_no_more();
    const std::string replies = client.rest();
    EXPECT_EQ(count_of(replies, "HTTP/1.1 "), 1u) << more;
    EXPECT_GE(status_of(replies), 400) << more;
    EXPECT_NE(replies.find("Connection: close"), std::string::npos) << more;
  }
}

TEST(Http, BodiesOfEveryTypeAreOnlyBytes) {
  Served served;
  for (const char* type : {"multipart/form-data; boundary=x", "multipart/form-data",
                           "application/x-www-form-urlencoded", "text/plain"}) {
    Client client = served.client();
    const std::string body(20000, 'b');
    client.say(served.head("POST", "/api/keep",
                           "Content-Length: 20000\r\nContent-Type: " + std::string(type) + "\r\n") +
               body);
    EXPECT_EQ(body_of(client.reply()), body) << type;
  }
}

TEST(Http, RangesAreLeftAloneHoweverMany) {
  Served served;
  std::string many = "Range: bytes=0-1";
  while (many.size() < 7000) many += ",0-1";
  Client client = served.client();
  client.say(served.head("GET", "/", many + "\r\nRANGE : bytes=1-\r\nrange: x\r\n"));
  EXPECT_EQ(body_of(client.reply()), "page");
}

TEST(Http, AHeadThatNeverEndsIsRefused) {
  Served served;
  Client client = served.client();
  client.say("GET / HTTP/1.1\r\n" + std::string(20000, 'x'));
  EXPECT_EQ(status_of(client.reply()), 431);
  EXPECT_EQ(served.get(), 200);
}

TEST(Http, AnExpectedRefusalComesBeforeTheBody) {
  Served served;
  Client refused = served.client();
  refused.say(
      served.head("POST", "/api/keep", "Content-Length: 99999999\r\nExpect: 100-continue\r\n"));
  EXPECT_EQ(status_of(refused.reply()), 413);
  Client client = served.client();
  client.say(served.head("POST", "/api/keep", "Content-Length: 2\r\nExpect: 100-continue\r\n"));
  EXPECT_EQ(status_of(client.reply()), 100);
  client.say("ok");
  EXPECT_EQ(body_of(client.reply()), "ok");
}

TEST(Http, AThousandConnectionsAreHeldAndAllAreServed) {
  rlimit files{};
  ASSERT_EQ(::getrlimit(RLIMIT_NOFILE, &files), 0);
  files.rlim_cur = files.rlim_max;
  ::setrlimit(RLIMIT_NOFILE, &files);
  ASSERT_GE(files.rlim_cur, 2400u) << "this machine allows too few open files for the test";
  Served served;
  std::vector<Client> crowd;
  for (int i = 0; i < 1000; ++i) {
    crowd.push_back(served.client());
    ASSERT_TRUE(crowd.back().open()) << i;
  }
  EXPECT_EQ(served.get(), 200);
  for (Client& client : crowd) client.say(served.head("GET", "/"));
  int answered = 0;
  for (Client& client : crowd) answered += status_of(client.reply()) == 200 ? 1 : 0;
  EXPECT_EQ(answered, 1000);
}

TEST(Http, HalfSaidHeadsStarveNobody) {
  Served served;
  std::vector<Client> crowd;
  for (int i = 0; i < 200; ++i) {
    crowd.push_back(served.client());
    crowd.back().say("GET /" + secret);
  }
  for (int i = 0; i < 20; ++i) EXPECT_EQ(served.get(), 200);
  Client& patient = crowd.front();
  patient.say("/ HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(served.address.port) + "\r\n");
  patient.say("\r\n");
  EXPECT_EQ(status_of(patient.reply()), 200);
}

TEST(Http, HalfSentBodiesComeToAnEnd) {
  Patience short_one;
  short_one.threads = 2;
  short_one.body_seconds = 1;
  short_one.bytes_a_second = 1 << 30;
  Served served(short_one);
  std::vector<Client> crowd;
  for (int i = 0; i < 6; ++i) {
    crowd.push_back(served.client());
    crowd.back().say(served.head("POST", "/api/keep", "Content-Length: 10\r\n") + "12345");
  }
  EXPECT_EQ(served.get(), 200);
  for (Client& client : crowd) EXPECT_EQ(status_of(client.reply()), 400);
}

// However much is still to come, and however much has come: without a byte for so long it ends.
TEST(Http, AnUploadWithoutProgressIsDropped) {
  Patience short_one;
  short_one.body_seconds = 1;
  short_one.bytes_a_second = 1;
  Served served(short_one);
  Client silent = served.client(), dribbling = served.client();
  const std::string head = served.head("POST", "/api/keep", "Content-Length: 1000000\r\n");
  silent.say(head + std::string(100'000, 'x'));
  dribbling.say(head + "x");
  EXPECT_EQ(status_of(silent.reply()), 400);
  EXPECT_EQ(status_of(dribbling.reply()), 400);
  EXPECT_EQ(served.get(), 200);
}

/// However many bodies dribble, pages and whole bodies are answered. None of them ends by itself
/// here.
TEST(Http, DribbledBodiesLeaveThePageItsThreads) {
  Patience endless;
  endless.threads = 6;
  endless.body_seconds = 3600;
  Served served(endless);
  std::vector<Client> crowd;
  for (int i = 0; i < 50; ++i) {
    crowd.push_back(served.client());
    crowd.back().say(served.head("POST", "/api/keep", "Content-Length: 10\r\n") + "12345");
  }
  for (int i = 0; i < 20; ++i) EXPECT_EQ(served.get(), 200);
  for (int i = 0; i < 5; ++i) {
    Client client = served.client();
    client.say(served.post("whole"));
    EXPECT_EQ(status_of(client.reply()), 200);
  }
  // One that waited is answered as soon as the rest of it is there.
  crowd.back().say("67890");
  EXPECT_EQ(status_of(crowd.back().reply()), 200);
}

TEST(Http, IdleConnectionsAndHalfHeadsAreHungUp) {
  Patience short_one;
  short_one.head_seconds = 1;
  short_one.idle_seconds = 1;
  Served served(short_one);
  Client silent = served.client(), half = served.client(), used = served.client();
  half.say("GET / HT");
  used.say(served.head("GET", "/"));
  EXPECT_EQ(status_of(used.reply()), 200);
  EXPECT_EQ(silent.rest(), "");
  EXPECT_EQ(half.rest(), "");
  EXPECT_EQ(used.rest(), "");
}

TEST(Http, BeyondTheMostConnectionsTheOldestGoes) {
  Patience few;
  few.most_connections = 20;
  Served served(few);
  std::vector<Client> crowd;
  for (int i = 0; i < 100; ++i) crowd.push_back(served.client());
  EXPECT_EQ(served.get(), 200);
}

TEST(Http, AFaultOfTheProgramEndsOneRequest) {
  Served served;
  served.while_answering = [] { throw std::runtime_error("/a/path of the disk"); };
  Client client = served.client();
  client.say(served.post("x"));
  const std::string reply = client.reply();
  EXPECT_EQ(status_of(reply), 500);
  EXPECT_EQ(reply.find("/a/path"), std::string::npos);
  served.while_answering = [] { throw std::bad_alloc(); };
  client.say(served.post("x"));
  EXPECT_EQ(status_of(client.reply()), 503);
  served.while_answering = [] {};
  EXPECT_EQ(served.get(), 200);
}

TEST(Http, AFileGoesToTheDiskOrNothingOfItStays) {
  Served served;
  const std::string path = "/api/photograph?name=a.png";
  Client client = served.client();
  client.say(served.head("PUT", path, "Content-Length: 5\r\n") + "bytes");
  EXPECT_EQ(status_of(client.reply()), 200);
  EXPECT_EQ(served.fate.bytes, "bytes");
  EXPECT_EQ(served.fate.finished, 1);
  Client cut = served.client();
  cut.say(served.head("PUT", path, "Content-Length: 500\r\n") + "half");
  cut.say_no_more();
  EXPECT_EQ(status_of(cut.reply()), 400);
  Client full = served.client();
  full.say(served.head("PUT", path, "Content-Length: 500\r\n") + "disk full");
  EXPECT_EQ(status_of(full.reply()), 507);
  EXPECT_TRUE(served.stop());
  EXPECT_EQ(served.fate.finished, 1);
  EXPECT_EQ(served.fate.gone, 3);
}

TEST(Http, ClosingEndsDribblersAndLetsRepliesOut) {
  Served served;
  Client idle = served.client(), half = served.client();
  half.say("GET / ");
  Client dribbling = served.client();
  dribbling.say(served.head("PUT", "/api/photograph?name=a.png", "Content-Length: 500\r\n") +
                "half");
  std::promise<void> began, go;
  served.while_answering = [&] {
    began.set_value();
    go.get_future().wait();
  };
  Client waiting = served.client();
  waiting.say(served.post("kept"));
  began.get_future().wait();
  auto stopped = std::async(std::launch::async, [&] { return served.stop(); });
  EXPECT_EQ(idle.rest(), "");  // closing has begun
  go.set_value();
  EXPECT_EQ(body_of(waiting.reply()), "kept");
  EXPECT_TRUE(stopped.get());
  EXPECT_EQ(half.rest(), "");
  EXPECT_EQ(served.fate.finished, 0);
}

TEST(Http, APortThatIsTakenIsSaid) {
  Served served;
  HttpServer second({}, {});
  const auto port = second.open(served.address.port);
  ASSERT_FALSE(port);
  EXPECT_NE(port.error().message.find("port"), std::string::npos);
}

}  // namespace
}  // namespace mendtone::bench::http_test
