#include "mendtone/app/verb.hpp"

#include <unistd.h>

#include <algorithm>
#include <memory>

#include "cli/ask.hpp"
#include "cli/operator.hpp"
#include "cli/verbs.hpp"
#include "mendtone/adapters/spreadsheet.hpp"
#include "mendtone/app/inputs/outputs.hpp"
#include "mendtone/formats/write.hpp"
#include "mendtone/results/options.hpp"

namespace mendtone::cli {
namespace {

/// What was written behind each option.
struct Typed {
  std::string record;
  Format format = Format::text;
  KeepOptions keep;
  bool force = false;
  std::vector<results::Option> options;
  std::vector<std::vector<std::string>> texts;
};

void add(CLI::App& command, const results::Option& option, std::vector<std::string>& texts) {
  if (option.flag) {
    command.add_flag_callback(
        option.name, [&texts] { texts = {""}; }, option.help);
    return;
  }
  CLI::Option* added = command.add_option(option.name, texts, option.help);
  const bool by_place = option.name.front() != '-';
  if (!option.alone.empty())
    added->expected(0, 1)->default_str(option.alone);
  else if (!option.many || (by_place && !option.greedy))
    added->expected(1)->allow_extra_args(false);  // the next text is for the next place
  else if (by_place)
    added->expected(1, 1 << 20);
  else
    added->expected(1, 1 << 20)->allow_extra_args(option.greedy);
  if (option.required) added->required();
  added->type_name(option.takes.empty() ? "TEXT" : option.takes);
  if (!option.shown.empty() && option.alone.empty()) added->default_str(option.shown);
}

Result<results::Value> request_of(const app::Verb& verb, const Typed& typed) {
  results::Value request = results::fresh(*verb.request);
  for (std::size_t i = 0; i < typed.options.size(); ++i)
    if (!typed.texts[i].empty())
      if (auto put = typed.options[i].put(request.data.get(), typed.texts[i]); !put)
        return put.error();
  return request;
}

/// "image-check" is `image check`: the command that it stands below.
CLI::App* place_of(CLI::App& program, std::string_view group, std::size_t dash) {
  if (dash == std::string_view::npos) return &program;
  const std::string name(group);
  for (CLI::App* known : program.get_subcommands({}))
    if (known->get_name() == name) return known;
  CLI::App* made =
      program.add_subcommand(name, "photographs as measurements: check, tone, change, preview");
  made->require_subcommand(1);
  return made;
}

/// Prints what is no text: nobody wants it on a screen.
int print_bytes(const std::string& bytes, const char* what) {
  if (::isatty(STDOUT_FILENO))
    return refuse(bad_request(std::string("a ") + what +
                                  " is no text to look at: send it to a file"
                                  " (… > FILE)",
                              "--format"));
  std::cout << bytes;
  std::cout.flush();
  return std::cout ? done : refuse(outside_world("cannot write the result to standard output"));
}

int deliver_workbook(const app::Verb& verb, const results::Value& answer) {
  const auto bytes = write_workbook(
      results::to_sheets(*verb.answer, answer.data.get(), "mendtone " MENDTONE_VERSION));
  if (!bytes) return refuse(bytes.error());
  const int code = print_bytes(*bytes, "spreadsheet");
  return code == done && !verb.answered(answer) ? no_answer : code;
}

/// The readings themselves, for other programs.
int run_cgats(const app::Verb& verb, const results::Value& request, const std::string& record) {
  const auto readings = verb.readings(request, app::InputPlace(record));
  if (!readings) return refuse(readings.error());
  std::cout << readings_to_cgats(*readings);
  std::cout.flush();
  return std::cout ? done : refuse(outside_world("cannot write the result to standard output"));
}

Result<void> may_write(const app::Verb& verb, const results::Value& request, const Typed& typed) {
  return app::may_write({results::files_to_write(*verb.request, request.data.get()),
                         results::texts_read(*verb.request, request.data.get()), typed.record,
                         typed.force});
}

int run_verb(const app::Verb& verb, const Typed& typed, std::istream* person) {
  const auto request = request_of(verb, typed);
  if (!request) return refuse(request.error());
  if (auto free = may_write(verb, *request, typed); !free) return refuse(free.error());
  if (typed.format == Format::cgats) return run_cgats(verb, *request, typed.record);
  Common common;
  common.record = typed.record;
  if (!verb.kept) {
    const auto answer = verb.compute(*request, app::InputPlace(typed.record));
    return answer ? deliver(verb, *answer, typed.format) : refuse(answer.error());
  }
  const app::Keeping place = keeping(common, typed.keep);
  if (auto asked = ask_what_lies_behind(person, verb, *request, place); !asked)
    return refuse(asked.error());
  const auto both = app::answered_and_kept(verb, *request, place);
  if (!both.answer) return refuse(both.answer.error());
  const int code = deliver(verb, *both.answer, typed.format);
  return after_keeping(both.kept, place, code);
}

}  // namespace

int deliver(const app::Verb& verb, const results::Value& answer, Format format) {
  if (format == Format::text)
    std::cout << verb.text(answer);
  else if (format == Format::json)
    std::cout << results::to_json(*verb.answer, answer.data.get()) << '\n';
  else if (format == Format::xlsx)
    return deliver_workbook(verb, answer);
  else
    std::cout << verb.csv(answer);
  std::cout.flush();
  if (!std::cout) return refuse(outside_world("cannot write the result to standard output"));
  return verb.answered(answer) ? done : no_answer;
}

void add_verb(CLI::App& program, Context& context, const app::Verb& verb) {
  const auto typed = std::make_shared<Typed>();
  const std::size_t dash = verb.name.find('-');
  CLI::App* command =
      place_of(program, verb.name.substr(0, dash), dash)
          ->add_subcommand(std::string(verb.name.substr(dash + 1)), std::string(verb.help));
  typed->options = results::options_of(*verb.request);
  typed->texts.resize(typed->options.size());
  for (std::size_t i = 0; i < typed->options.size(); ++i)
    add(*command, typed->options[i], typed->texts[i]);
  if (std::any_of(typed->options.begin(), typed->options.end(),
                  [](const results::Option& option) { return option.writes; }))
    add_force(*command, typed->force);
  std::vector<std::string> others;
  if (!verb.answer->table.columns.empty()) others.emplace_back("xlsx");
  if (verb.readings) others.emplace_back("cgats");
  add_record_and_format(*command, typed->record, typed->format, others);
  // --loss is a part of the picture there.
  if (verb.kept)
    add_keep_options(*command, typed->keep,
                     dash == std::string_view::npos ? "--loss" : "--for-loss");
  std::string examples;
  for (const std::string_view example : verb.examples)
    examples += (examples.empty() ? "For example:\n" : "") + std::string("  mendtone ") +
                std::string(example) + "\n";
  command->footer(examples);
  command->callback([typed, &context, &verb] {
    context.run = [typed, &context, &verb] { return run_verb(verb, *typed, context.person); };
  });
}

void add_schema(CLI::App& program, Context& context) {
  struct Asked {
    std::string verb;
    bool request = false;
  };
  const auto asked = std::make_shared<Asked>();
  CLI::App* command = program.add_subcommand(
      "schema", "the JSON Schema (2020-12) of a verb's answer, for programs that read it");
  std::vector<std::string> names;
  for (const app::Verb& verb : app::verbs()) names.emplace_back(verb.name);
  command->add_option("VERB", asked->verb, "which verb")->required()->check(CLI::IsMember(names));
  command->add_flag("--request", asked->request, "of its request instead, as a record keeps it");
  command->callback([asked, &context] {
    context.run = [asked]() -> int {
      const app::Verb& verb = *app::find_verb(asked->verb);
      std::cout << results::json_schema(asked->request ? *verb.request : *verb.answer) << '\n';
      return done;
    };
  });
}

}  // namespace mendtone::cli
