#include "cli/operator.hpp"

#include <cstdlib>
#include <ctime>

namespace mendtone::cli {

std::string now_utc() {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  ::gmtime_r(&now, &parts);
  char text[32];
  std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%SZ", &parts);
  return text;
}

record::Entry entry_by(const std::string& by, const std::string& why) {
  std::string who = by;
  for (const char* variable : {"USER", "LOGNAME"})
    if (const char* login = std::getenv(variable); who.empty() && login) who = login;
  if (who.empty()) who = "unknown person";
  if (by.empty())
    std::cerr << "mendtone: entered as by '" << who
              << "' (the login name; --by NAME says another)\n";
  return {who, now_utc(), why, std::string("mendtone ") + MENDTONE_VERSION};
}

namespace {

void say_kept(const app::Keeping& keeping, record::Id id) {
  const std::string number = "computation #" + std::to_string(id);
  std::cerr << "mendtone: kept in " << keeping.record << " as "
            << (keeping.name.empty() ? number : "'" + keeping.name + "' (" + number + ")") << '\n';
}

}  // namespace

int after_keeping(const Result<record::Link>& kept, const app::Keeping& keeping, int code) {
  if (!kept) {
    refuse(kept.error());
    return world_failed;  // the answer stands; what failed is the keeping
  }
  if (*kept) say_kept(keeping, **kept);
  return code;
}

void add_keep_options(CLI::App& verb, KeepOptions& options, const char* loss_option) {
  verb.add_option("--by", options.by, "who enters the result in the record");
  verb.add_option("--keep-as", options.name, "what the result is called in the record");
  verb.add_option("--sheet", options.sheet, "the sheet of the record that it belongs to");
  verb.add_option(loss_option, options.loss, "the loss of the record that it belongs to");
}

app::Keeping keeping(const Common& common, const KeepOptions& options) {
  if (common.record.empty()) return {};
  return {common.record, entry_by(options.by), options.name, options.sheet, options.loss};
}

}  // namespace mendtone::cli
