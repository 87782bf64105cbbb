#pragma once
#include <fcntl.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "bench/scratch.hpp"

// The program itself, as a person starts and ends it.
namespace mendtone::bench {

class Program {
 public:
  Program(const Scratch& scratch, const std::vector<std::string>& arguments)
      : errors_(scratch / ("errors-" + std::to_string(number()))) {
    int out[2];
    EXPECT_EQ(::pipe2(out, O_CLOEXEC), 0);
    child_ = ::fork();
    if (child_ == 0) {
      ::dup2(out[1], 1);
      ::dup2(::open(errors_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), 2);
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
  /// Everything that it prints, until it ends.
  std::string all() {
    std::string text;
    char piece[4096];
    for (ssize_t got = 0; (got = ::read(out_, piece, sizeof piece)) > 0;)
      text.append(piece, static_cast<std::size_t>(got));
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
  static int number() {
    static std::atomic<int> last{0};
    return ++last;
  }

  std::string errors_;
  pid_t child_ = 0;
  int out_ = -1;
};

/// The page on a record, which a first start makes.
inline std::vector<std::string> opening(const std::string& record) {
  std::vector<std::string> words{"bench", "--record", record, "--no-browser"};
  if (!std::filesystem::exists(record)) words.push_back("--new");
  return words;
}

struct Printed {
  int port = 0;
  std::string secret;
};

inline Printed parts_of(const std::string& address) {
  const std::string scheme = "http://127.0.0.1:";
  EXPECT_EQ(address.substr(0, scheme.size()), scheme);
  const auto slash = address.find('/', scheme.size());
  EXPECT_EQ(address.back(), '/');
  return {std::stoi(address.substr(scheme.size())),
          address.substr(slash + 1, address.size() - slash - 2)};
}

inline std::string head(const Printed& at, const std::string& first, const std::string& more = {}) {
  return first + " HTTP/1.1\r\nHost: localhost:" + std::to_string(at.port) +
         "\r\nX-Mendtone: 1\r\n" + more + "\r\n";
}

}  // namespace mendtone::bench
