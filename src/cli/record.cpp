#include "mendtone/app/record/record.hpp"

#include <algorithm>
#include <memory>

#include "cli/ask.hpp"
#include "cli/operator.hpp"
#include "cli/verbs.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/tissue/drawer.hpp"

namespace mendtone::cli {
namespace {

/// What every part of `record` has.
struct Options {
  std::string record, by, why;
  Format format = Format::text;
};

const std::map<std::string, Format> formats{
    {"text", Format::text}, {"json", Format::json}, {"csv", Format::csv}};

CLI::App* part(CLI::App& verb, const char* name, const std::string& help,
               const std::shared_ptr<Options>& options) {
  CLI::App* sub = verb.add_subcommand(name, help);
  sub->add_option("--record", options->record, "the treatment record")->required();
  sub->add_option("--format", options->format, "text, json or csv")
      ->transform(CLI::CheckedTransformer(formats));
  return sub;
}

void add_by(CLI::App* sub, const std::shared_ptr<Options>& options) {
  sub->add_option("--by", options->by, "who enters it");
}

/// "width_mm" is --width-mm.
std::string option_name(std::string column) {
  std::replace(column.begin(), column.end(), '_', '-');
  return "--" + column;
}

/// What comes first without an option's name: the thing's own name, else the first that it needs.
std::string leading_column(const record::Kind& kind) {
  if (kind.position("name") < kind.columns.size()) return "name";
  for (const record::Column& column : kind.columns)
    if (column.required) return column.name;
  return kind.columns.front().name;
}

/// The name of a kind's part: "spot_test" is spot-test.
std::string part_name(std::string kind) {
  std::replace(kind.begin(), kind.end(), '_', '-');
  return kind;
}

/// One part for each kind that is entered by hand, its options those of the kind's columns.
void add_kind(CLI::App& verb, Context& context, const char* name) {
  const record::Kind& kind = *record::find_kind(name);
  const auto options = std::make_shared<Options>();
  const auto values = std::make_shared<std::map<std::string, std::string>>();
  CLI::App* sub = part(verb, part_name(name).c_str(), "keep " + kind.help, options);
  add_by(sub, options);
  const std::string leading = leading_column(kind);
  for (const record::Column& column : kind.columns) {
    std::string help = column.help;
    for (const std::string& word : column.one_of)
      help += (word == column.one_of.front() ? ": " : ", ") + word;
    // Hashes and wavelengths follow from the file that is named.
    if (column.name == "sha256" || column.name == "power_nm") continue;
    const bool leads = column.name == leading;
    auto* option =
        sub->add_option(leads ? column.name : option_name(column.name), (*values)[column.name],
                        column.name == "power" ? "a lamp file" : help);
    if (leads || column.required) option->required();
  }
  sub->callback([=, &context] {
    context.run = [=] {
      app::KeepRequest request{options->record, entry_by(options->by), name, {}, ""};
      for (const auto& [column, text] : *values)
        if (!text.empty()) request.columns.push_back({column, text});
      return deliver(app::record_keep(request), options->format);
    };
  });
}

void add_import(CLI::App& verb, Context& context) {
  const auto options = std::make_shared<Options>();
  const auto request = std::make_shared<app::ImportRequest>();
  const auto scale = std::make_shared<std::string>();
  const auto wavelengths = std::make_shared<std::string>();
  CLI::App* sub = part(verb, "import", "readings files into the record, each once", options);
  add_by(sub, options);
  sub->add_option("FILE", request->files, "readings, or a folder of them")->required();
  sub->add_option("--sheet", request->sheet, "the sheet they belong to");
  sub->add_option("--spot", request->spot, "the spot that was read");
  sub->add_option("--loss", request->loss, "the loss they belong to");
  sub->add_option("--tissue", request->tissue, "the tissue that was read");
  sub->add_option("--trial", request->trial, "the trial that was read");
  sub->add_option("--bath", request->bath, "the bath that they were read after");
  sub->add_option("--instrument", request->instrument, "the instrument, as the record knows it");
  sub->add_option("--stage", request->stage, "before, after, bath 2 …");
  sub->add_option("--read-by", request->read_by, "who read them");
  sub->add_option("--taken", request->taken, "when they were read");
  sub->add_flag("--new-tissues", request->new_tissues,
                "enter a tissue, with its lot and weight, for every one that was read and that the "
                "record does not know");
  sub->add_option("--scale", *scale, "what the readings' numbers are: fraction or percent")
      ->check(CLI::IsMember({"fraction", "percent"}));
  sub->add_option("--wavelengths", *wavelengths,
                  "where the values of a table without a heading lie: first-last:step, as "
                  "400-700:10");
  sub->callback([=, &context] {
    context.run = [=] {
      if (!wavelengths->empty()) {
        const auto bands = stated_bands(*wavelengths);
        if (!bands) return refuse(bands.error());
        request->wavelengths = *bands;
      }
      request->record = options->record;
      request->entry = entry_by(options->by);
      if (*scale == "fraction") request->scale = Scale::fraction;
      if (*scale == "percent") request->scale = Scale::percent;
      return deliver(app::record_import(*request), options->format);
    };
  });
}

void add_show(CLI::App& verb, Context& context) {
  const auto options = std::make_shared<Options>();
  const auto sheet = std::make_shared<std::string>();
  CLI::App* sub = part(verb, "show", "what the record holds, or all parts of one sheet", options);
  sub->add_option("SHEET", *sheet, "a sheet's name");
  sub->callback([=, &context] {
    context.run = [=] {
      return deliver(app::record_show({options->record, *sheet}), options->format);
    };
  });
}

void add_find(CLI::App& verb, Context& context) {
  const auto options = std::make_shared<Options>();
  const auto words = std::make_shared<std::vector<std::string>>();
  CLI::App* sub = part(verb, "find", "everything in which these words stand", options);
  sub->add_option("WORD", *words, "words; all must stand in it")->required();
  sub->callback([=, &context] {
    context.run = [=] {
      return deliver(app::record_find({options->record, *words}), options->format);
    };
  });
}

void add_new(CLI::App& verb, Context& context) {
  const auto request = std::make_shared<app::NewRequest>();
  const auto format = std::make_shared<Format>(Format::text);
  CLI::App* sub = verb.add_subcommand("new", "make an empty record; nothing else makes one");
  sub->add_option("FILE", request->record, "where")->required();
  sub->add_option("--format", *format, "text, json or csv")
      ->transform(CLI::CheckedTransformer(formats));
  sub->callback(
      [=, &context] { context.run = [=] { return deliver(app::record_new(*request), *format); }; });
}

/// The thing that a correction, a withdrawal or a history is about.
struct About {
  std::string kind, thing, file;
  std::vector<std::string> things, set;
};

CLI::App* about_part(CLI::App& verb, const char* name, const char* help,
                     const std::shared_ptr<Options>& options, const std::shared_ptr<About>& about) {
  CLI::App* sub = part(verb, name, help, options);
  sub->add_option("KIND", about->kind, "sheet, spot, reading …")->required();
  sub->add_option("NAME", about->thing, "its name, SHEET/NAME, or #NUMBER")->required();
  return sub;
}

void add_correction(CLI::App& verb, Context& context) {
  const auto options = std::make_shared<Options>();
  const auto about = std::make_shared<About>();
  CLI::App* sub = part(verb, "correct",
                       "keep a correction, of one thing or of several alike; what was there "
                       "before stays readable",
                       options);
  sub->add_option("KIND", about->kind, "sheet, spot, reading …")->required();
  sub->add_option("NAME", about->things, "names, SHEET/NAME, or #NUMBER");
  sub->add_option("--of-file", about->file, "all readings that came with this file");
  add_by(sub, options);
  sub->add_option("--why", options->why, "why it is corrected")->required();
  sub->add_option("--set", about->set, "COLUMN=VALUE; may be repeated")
      ->required()
      ->allow_extra_args(false);
  sub->callback([=, &context] {
    context.run = [=] {
      app::Written columns;
      for (const std::string& one : about->set) {
        const auto equals = one.find('=');
        if (equals == std::string::npos)
          return refuse(bad_request("expected COLUMN=VALUE, found '" + one + "'", "--set"));
        columns.push_back({one.substr(0, equals), one.substr(equals + 1)});
      }
      const record::Entry entry = entry_by(options->by, options->why);
      if (about->things.size() == 1 && about->file.empty())
        return deliver(
            app::record_keep({options->record, entry, about->kind, columns, about->things.front()}),
            options->format);
      return deliver(app::record_correct_all({options->record, entry, about->kind, about->things,
                                              about->file, columns}),
                     options->format);
    };
  });
}

void add_withdraw(CLI::App& verb, Context& context) {
  const auto options = std::make_shared<Options>();
  const auto about = std::make_shared<About>();
  CLI::App* sub = about_part(verb, "withdraw",
                             "say that something should not have been entered; it stays readable",
                             options, about);
  add_by(sub, options);
  sub->add_option("--why", options->why, "why it is withdrawn")->required();
  sub->callback([=, &context] {
    context.run = [=] {
      return deliver(app::record_withdraw({options->record, entry_by(options->by, options->why),
                                           about->kind, about->thing}),
                     options->format);
    };
  });
}

void add_history(CLI::App& verb, Context& context) {
  const auto options = std::make_shared<Options>();
  const auto about = std::make_shared<About>();
  CLI::App* sub =
      about_part(verb, "history", "every row of one thing, the oldest first", options, about);
  sub->callback([=, &context] {
    context.run = [=] {
      return deliver(app::record_history({options->record, about->kind, about->thing}),
                     options->format);
    };
  });
}

/// Which leftover comes nearest: the ranking of `tissue`, over all that lies in the drawer.
void add_drawer(CLI::App& verb, Context& context) {
  struct Search {
    Common common;
    KeepOptions keep;
    app::DrawerRequest request;
  };
  const auto search = std::make_shared<Search>();
  app::TissueQuestion& question = search->request.tissue.question;
  CLI::App* sub = verb.add_subcommand(
      "drawer", "which leftover in the drawer comes nearest, and how much of it is left");
  sub->add_option("--for", search->request.tissue.target,
                  "the sheet to match: a name of the record (SHEET/SPOT), or a file")
      ->required();
  sub->add_option("--over", search->request.tissue.over,
                  "what lies behind when it is shown: the name of a backing that was read; a sheet "
                  "of the record knows its own");
  sub->add_option("--needs", search->request.needs_cm2,
                  "area that is needed, cm2: smaller "
                  "leftovers are marked");
  sub->add_option("--from-plies", question.fewest_plies, "fewest plies")->capture_default_str();
  sub->add_option("--to-plies", question.most_plies, "most plies")->capture_default_str();
  sub->add_option("--tolerance", question.tolerance_de00,
                  "DeltaE00 that counts as a match (default 1.8)")
      ->check(above_0);
  search->request.top = 10;
  sub->add_option("--top", search->request.top, "only the best so many")->capture_default_str();
  add_common(*sub, search->common);
  sub->get_option("--record")->required();
  add_keep_options(*sub, search->keep);
  sub->callback([search, &context] {
    context.run = [search, &context] {
      app::DrawerRequest request = search->request;
      request.tissue.scale = search->common.stated_scale();
      request.tissue.question.viewing = search->common.viewing();
      const app::Keeping place = keeping(search->common, search->keep);
      if (auto asked = ask_what_lies_behind(context.person, *app::find_verb("tissue"),
                                            results::value_of(request.tissue), place);
          !asked)
        return refuse(asked.error());
      const auto both = app::drawer(request, place);
      const int code = deliver(both.answer, search->common.format, app::to_text, app::has_answer);
      return both.answer ? after_keeping(both.kept, place, code) : code;
    };
  });
}

void add_recheck(CLI::App& verb, Context& context) {
  const auto options = std::make_shared<Options>();
  CLI::App* sub = part(verb, "recheck",
                       "compute every stored figure again and name what no longer agrees", options);
  const auto heads = std::make_shared<std::vector<std::string>>();
  sub->add_option("--head", *heads,
                  "a head of this record that was written down elsewhere (report, backup, export): "
                  "ENTRY/TIME/SEAL; may be repeated");
  sub->callback([=, &context] {
    context.run = [=] {
      return deliver(app::recheck({options->record, {}, *heads}), options->format, app::to_text,
                     app::has_answer);
    };
  });
}

/// Parts that take the record and one other place.
void add_with_place(CLI::App& verb, Context& context, const char* name, const char* help,
                    const char* place_name, int (*run)(const Options&, const std::string&)) {
  const auto options = std::make_shared<Options>();
  const auto place = std::make_shared<std::string>();
  CLI::App* sub = part(verb, name, help, options);
  sub->add_option(place_name, *place, "where")->required();
  sub->callback([=, &context] { context.run = [=] { return run(*options, *place); }; });
}

}  // namespace

void add_record(CLI::App& program, Context& context) {
  CLI::App* verb = program.add_subcommand(
      "record", "the treatment record: keep, correct, show, recheck, write out, back up");
  verb->require_subcommand(1);
  // In the order of her day.
  add_new(*verb, context);
  for (const char* kind : {"sheet", "photograph", "spot", "loss", "instrument", "lamp"})
    add_kind(*verb, context, kind);
  add_import(*verb, context);
  for (const char* kind : {"tissue", "pickup", "colorant", "stock", "dropper", "recipe", "trial",
                           "offcut", "fill", "bath", "spot_test", "step", "note"})
    add_kind(*verb, context, kind);
  add_drawer(*verb, context);
  add_show(*verb, context);
  add_find(*verb, context);
  add_correction(*verb, context);
  add_withdraw(*verb, context);
  add_history(*verb, context);
  add_recheck(*verb, context);
  add_with_place(*verb, context, "export", "everything into a new folder, as CSV and JSON",
                 "FOLDER", [](const Options& options, const std::string& folder) {
                   return deliver(app::record_export({options.record, folder}), options.format);
                 });
  add_with_place(*verb, context, "restore", "a new record from such a folder", "FOLDER",
                 [](const Options& options, const std::string& folder) {
                   return deliver(app::record_restore({folder, options.record}), options.format);
                 });
  add_with_place(*verb, context, "backup", "a checked copy, also while the record is in use",
                 "FILE", [](const Options& options, const std::string& file) {
                   return deliver(app::record_backup({options.record, file}), options.format);
                 });
}

}  // namespace mendtone::cli
