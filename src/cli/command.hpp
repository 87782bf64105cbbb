#pragma once
#include <CLI/CLI.hpp>
#include <functional>
#include <iostream>
#include <string>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"

namespace mendtone::cli {

enum Exit { done = 0, bad_command = 2, bad_data = 3, world_failed = 4, no_answer = 5 };

enum class Format { text, json, csv };

/// What the person chose; `run` is set by the verb that was named.
struct Context {
  std::function<int()> run;
};

/// The options that every verb has.
struct Common {
  std::vector<std::string> lights;
  int observer_deg = 10;
  std::string record;
  Format format = Format::text;
  std::string scale;

  app::ViewingRequest viewing() const { return {lights, observer_deg, record}; }
  app::Sources sources(std::vector<std::string> files) const;
};

/// Adds --light, --observer, --record, --format and --scale to `verb`.
void add_common(CLI::App& verb, Common& common);

/// Refuse an option's number in words.
extern const CLI::Validator above_0, at_least_0;

/// Prints the refusal to standard error; the exit code that goes with it.
int refuse(const Error& error);

/// Prints a use-case's answer in the format asked for. `to_text`, `to_json`, `to_csv` and
/// `has_answer` (false: exit 5) are found beside the answer's type.
template <class Answer>
int deliver(const Result<Answer>& answer, Format format) {
  if (!answer) return refuse(answer.error());
  switch (format) {
    case Format::text:
      std::cout << to_text(*answer);
      break;
    case Format::json:
      std::cout << to_json(*answer) << '\n';
      break;
    case Format::csv:
      std::cout << to_csv(*answer);
      break;
  }
  std::cout.flush();
  if (!std::cout) return refuse(outside_world("cannot write the result to standard output"));
  return has_answer(*answer) ? done : no_answer;
}

}  // namespace mendtone::cli
