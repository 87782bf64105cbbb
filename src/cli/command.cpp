#include "cli/command.hpp"

#include <map>

#include "mendtone/base/numbers.hpp"

namespace mendtone::cli {

namespace {

CLI::Validator number_that(bool (*holds)(double), const std::string& expected) {
  return {[holds, expected](std::string& text) {
            const auto number = parse_number(text);
            return number && holds(*number) ? std::string()
                                            : "expected " + expected + ", found '" + text + "'";
          },
          "(" + expected + ")"};
}

}  // namespace

const CLI::Validator above_0 =
    number_that([](double number) { return number > 0; }, "a number above 0");
const CLI::Validator at_least_0 =
    number_that([](double number) { return number >= 0; }, "a number of at least 0");

std::optional<Scale> Common::stated_scale() const {
  if (scale == "fraction") return Scale::fraction;
  if (scale == "percent") return Scale::percent;
  return std::nullopt;
}

void add_record_and_format(CLI::App& verb, std::string& record, Format& format,
                           const std::vector<std::string>& others) {
  static const std::map<std::string, Format> all{{"text", Format::text},
                                                 {"json", Format::json},
                                                 {"csv", Format::csv},
                                                 {"xlsx", Format::xlsx},
                                                 {"cgats", Format::cgats}};
  std::map<std::string, Format> known;
  std::string words = "text, json";
  std::vector<std::string> names{"csv"};
  names.insert(names.end(), others.begin(), others.end());
  for (const char* plain : {"text", "json"}) known.emplace(plain, all.at(plain));
  for (const std::string& name : names) {
    known.emplace(name, all.at(name));
    words += (&name == &names.back() ? " or " : ", ") + name;
  }
  verb.add_option("--record", record, "the treatment record to read from and keep in");
  verb.add_option("--format", format, words)->transform(CLI::CheckedTransformer(known));
}

void add_force(CLI::App& verb, bool& force) {
  verb.add_flag("--force", force,
                "replace files that are there already (never one that this command reads)");
}

void add_common(CLI::App& verb, Common& common) {
  verb.add_option("--light", common.lights,
                  "a light by name (D65, A, LED-B1 …) or a lamp file; may be repeated, the first "
                  "is the viewing light")
      ->allow_extra_args(false);
  verb.add_option("--observer", common.observer_deg, "2 or 10 degrees")
      ->check(CLI::IsMember({2, 10}))
      ->capture_default_str();
  add_record_and_format(verb, common.record, common.format);
  verb.add_option("--scale", common.scale, "what the readings' numbers are: fraction or percent")
      ->check(CLI::IsMember({"fraction", "percent"}));
}

int refuse(const Error& error) {
  std::cerr << "mendtone: " << error.text() << '\n';
  switch (error.code) {
    case ErrorCode::bad_request:
      return bad_command;
    case ErrorCode::bad_input:
      return bad_data;
    case ErrorCode::outside_world:
      break;
  }
  return world_failed;
}

}  // namespace mendtone::cli
