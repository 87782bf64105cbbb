#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <thread>

#include "bench/client.hpp"
#include "bench/scratch.hpp"

// The program itself, as a person starts and ends it.
namespace mendtone::bench {
namespace {

class Program {
 public:
  Program(const Scratch& scratch, const std::vector<std::string>& arguments)
      : errors_(scratch / "errors") {
    int out[2];
    EXPECT_EQ(::pipe(out), 0);
    child_ = ::fork();
    if (child_ == 0) {
      ::dup2(out[1], 1);
      ::dup2(::open(errors_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), 2);
      ::close(out[0]);
      ::close(out[1]);
      std::vector<char*> words{const_cast<char*>(MENDTONE_PROGRAM)};
      for (const std::string& argument : arguments)
        words.push_back(const_cast<char*>(argument.c_str()));
      words.push_back(nullptr);
      ::execv(MENDTONE_PROGRAM, words.data());
      ::_exit(127);
    }
    ::close(out[1]);
    out_ = out[0];
  }
  ~Program() {
    if (child_ > 0) {
      ::kill(child_, SIGKILL);
      ::waitpid(child_, nullptr, 0);
    }
    ::close(out_);
  }
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  /// The first line that it prints; empty where it ends first.
  std::string line() {
    std::string text;
    char c = 0;
    while (::read(out_, &c, 1) == 1 && c != '\n') text += c;
    return text;
  }
  void tell(int signal) const { ::kill(child_, signal); }
  int exit_code() {
    int status = 0;
    ::waitpid(child_, &status, 0);
    child_ = 0;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }
  std::string errors() const {
    std::ifstream file(errors_);
    return {std::istreambuf_iterator<char>(file), {}};
  }

 private:
  std::string errors_;
  pid_t child_ = 0;
  int out_ = -1;
};

/// The page on a record, which a first start makes.
std::vector<std::string> opening(const std::string& record) {
  std::vector<std::string> words{"bench", "--record", record, "--no-browser"};
  if (!std::filesystem::exists(record)) words.push_back("--new");
  return words;
}

struct Printed {
  int port = 0;
  std::string secret;
};

Printed parts_of(const std::string& address) {
  const std::string scheme = "http://127.0.0.1:";
  EXPECT_EQ(address.substr(0, scheme.size()), scheme);
  const auto slash = address.find('/', scheme.size());
  EXPECT_EQ(address.back(), '/');
  return {std::stoi(address.substr(scheme.size())),
          address.substr(slash + 1, address.size() - slash - 2)};
}

std::string head(const Printed& at, const std::string& first, const std::string& more = {}) {
  return first + " HTTP/1.1\r\nHost: localhost:" + std::to_string(at.port) +
         "\r\nX-Mendtone: 1\r\n" + more + "\r\n";
}

TEST(BenchProgram, PrintsAnAddressThatOpensThePage) {
  Scratch scratch;
  Program program(scratch, opening(scratch / "new.record"));
  const Printed at = parts_of(program.line());
  EXPECT_GE(at.secret.size(), 32u);
  Client client(at.port);
  client.say(head(at, "GET /" + at.secret + "/"));
  const std::string page = client.reply();
  EXPECT_EQ(status_of(page), 200);
  EXPECT_NE(page.find("<html"), std::string::npos);
  EXPECT_TRUE(std::filesystem::exists(scratch / "new.record"));
  client.say(head(at, "GET /"));
  EXPECT_EQ(status_of(client.reply()), 404);
  program.tell(SIGINT);
  EXPECT_EQ(program.exit_code(), 0);
  EXPECT_EQ(program.errors().find(at.secret), std::string::npos);
}

TEST(BenchProgram, EverySecretIsAnother) {
  Scratch scratch;
  Program one(scratch, opening(scratch / "a.record"));
  const std::string secret = parts_of(one.line()).secret;
  Program other(scratch, opening(scratch / "a.record"));
  EXPECT_NE(parts_of(other.line()).secret, secret);
}

/// A browser keeps drafts by address: a record comes back at the same port, where that is free.
TEST(BenchProgram, ARecordKeepsItsPort) {
  Scratch scratch;
  std::vector<int> ports;
  for (int launch = 0; launch < 2; ++launch) {
    Program program(scratch, opening(scratch / "a.record"));
    ports.push_back(parts_of(program.line()).port);
    if (launch == 1) {
      Program beside(scratch, opening(scratch / "a.record"));
      EXPECT_NE(parts_of(beside.line()).port, ports.back()) << "it is taken";
    }
    program.tell(SIGTERM);
    EXPECT_EQ(program.exit_code(), 0);
  }
  EXPECT_EQ(ports[0], ports[1]);
}

TEST(BenchProgram, ASignalRightAfterTheAddressIsObeyed) {
  for (int signal : {SIGTERM, SIGINT, SIGHUP})
    for (int i = 0; i < 3; ++i) {
      Scratch scratch;
      Program program(scratch, opening(scratch / "a.record"));
      ASSERT_NE(program.line(), "");
      program.tell(signal);
      EXPECT_EQ(program.exit_code(), 0) << signal;
    }
}

TEST(BenchProgram, ClosingWhileAPhotographArrivesLeavesNothingOfIt) {
  Scratch scratch;
  Program program(scratch, opening(scratch / "a.record"));
  const Printed at = parts_of(program.line());
  Client client(at.port);
  client.say(head(at, "PUT /" + at.secret + "/api/photograph?name=a.png&sheet=x&by=K",
                  "Content-Length: 100000\r\nExpect: 100-continue\r\n"));
  EXPECT_EQ(status_of(client.reply()), 100);
  client.say(std::string(5000, 'x'));
  program.tell(SIGTERM);
  EXPECT_EQ(program.exit_code(), 0);
  std::error_code none;
  for (const auto& entry :
       std::filesystem::directory_iterator(scratch / "a.record.photographs", none))
    ADD_FAILURE() << entry.path();
}

TEST(BenchProgram, WhatCannotBeOpenedIsSaidBeforeAPageIs) {
  Scratch scratch;
  std::ofstream(scratch / "words.txt") << "no record";
  Program other(scratch, {"bench", "--record", scratch / "words.txt", "--no-browser"});
  EXPECT_EQ(other.line(), "");
  EXPECT_EQ(other.exit_code(), 3);
  EXPECT_NE(other.errors().find("words.txt"), std::string::npos);
  Program nowhere(scratch, {"bench", "--record", scratch / "no/where.record", "--no-browser"});
  EXPECT_EQ(nowhere.exit_code(), 4);
  Program missing(scratch, {"bench", "--record", scratch / "a.record", "--no-browser"});
  EXPECT_EQ(missing.exit_code(), 4);
  EXPECT_FALSE(std::filesystem::exists(scratch / "a.record")) << "only a first start makes one";
  Program wrong(scratch, {"bench", "--record", scratch / "a.record", "--port", "0"});
  EXPECT_EQ(wrong.exit_code(), 2);
}

}  // namespace
}  // namespace mendtone::bench
