#pragma once
#include <CLI/CLI.hpp>
#include <functional>
#include <iostream>
#include <optional>
#include <string>
#include <type_traits>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"

namespace mendtone::cli {

enum Exit { done = 0, bad_command = 2, bad_data = 3, world_failed = 4, no_answer = 5 };

enum class Format { text, json, csv, xlsx, cgats };

/// What the person chose; `run` is set by the verb that was named.
struct Context {
  std::function<int()> run;
  std::istream* person = nullptr;  ///< whom to ask; nobody unless it was typed at a terminal
};

/// The options that every verb has.
struct Common {
  std::vector<std::string> lights;
  int observer_deg = 10;
  std::string record;
  Format format = Format::text;
  std::string scale;

  app::ViewingRequest viewing() const { return {lights, observer_deg}; }
  std::optional<Scale> stated_scale() const;
};

/// Adds --record and --format. `others`: formats besides text, json and csv.
void add_record_and_format(CLI::App& verb, std::string& record, Format& format,
                           const std::vector<std::string>& others = {});

/// Adds --light, --observer, --record, --format and --scale to `verb`.
void add_common(CLI::App& verb, Common& common);

/// Adds --force to a verb that writes files.
void add_force(CLI::App& verb, bool& force);

/// Refuse an option's number in words.
extern const CLI::Validator above_0, at_least_0;

/// Prints the refusal to standard error; the exit code that goes with it.
int refuse(const Error& error);

/// Prints a use-case's answer in the format asked for; exit 5 where there is `answered` false.
template <class Answer>
int deliver(const Result<Answer>& answer, Format format,
            std::string (*text)(const std::type_identity_t<Answer>&),
            bool (*answered)(const std::type_identity_t<Answer>&)) {
  if (!answer) return refuse(answer.error());
  if (format == Format::text)
    std::cout << text(*answer);
  else if (format == Format::json)
    std::cout << to_json(*answer) << '\n';
  else
    std::cout << to_csv(*answer);
  std::cout.flush();
  if (!std::cout) return refuse(outside_world("cannot write the result to standard output"));
  return answered(*answer) ? done : no_answer;
}

/// The same where `to_text` and `has_answer` are found beside the answer's type.
template <class Answer>
int deliver(const Result<Answer>& answer, Format format) {
  return deliver(
      answer, format, +[](const Answer& told) { return to_text(told); },
      +[](const Answer& told) { return has_answer(told); });
}

}  // namespace mendtone::cli
