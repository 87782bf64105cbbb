#pragma once
#include <iostream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "cli/run.hpp"

namespace mendtone::cli {

/// What a command answered.
struct Typed {
  int exit = 0;
  std::string out, said;  ///< standard output, standard error
  nlohmann::json json() const { return nlohmann::json::parse(out); }
};

/// Runs the command line in this process, as `mendtone` would.
/// `answers`: what a person at a terminal types when asked; nothing: nobody is there.
inline Typed typed(std::vector<std::string> words, const char* answers = nullptr) {
  words.insert(words.begin(), "mendtone");
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  std::ostringstream out, said;
  std::istringstream person(answers ? answers : "");
  std::streambuf* const to_out = std::cout.rdbuf(out.rdbuf());
  std::streambuf* const to_said = std::cerr.rdbuf(said.rdbuf());
  Typed answer;
  answer.exit = run(
      static_cast<int>(argv.size()), argv.data(), [](CLI::App&, Context&) {},
      answers ? &person : nullptr);
  std::cout.rdbuf(to_out);
  std::cerr.rdbuf(to_said);
  answer.out = out.str();
  answer.said = said.str();
  return answer;
}

}  // namespace mendtone::cli
