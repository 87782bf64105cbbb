#pragma once
#include "cli/command.hpp"
#include "mendtone/app/record/keep.hpp"
#include "mendtone/record/values.hpp"

// The doors are where the clock and the person come in; nothing behind them knows either.
namespace mendtone::cli {

/// Now, in UTC, to the second.
std::string now_utc();

/// Who enters this: `by`, or the login name, which is then said on standard error.
record::Entry entry_by(const std::string& by, const std::string& why = {});

/// Adds --by, --keep-as, --sheet and --loss to a verb whose result can be kept. Where --loss means
/// a part of a picture, `loss_option` is another word.
struct KeepOptions {
  std::string by, name, sheet, loss;
};
void add_keep_options(CLI::App& verb, KeepOptions& options, const char* loss_option = "--loss");

app::Keeping keeping(const Common& common, const KeepOptions& options);

/// After an answer was printed with exit code `code`: says where it was kept, and as what, or that
/// it could not be kept (exit 4).
int after_keeping(const Result<record::Link>& kept, const app::Keeping& keeping, int code);

}  // namespace mendtone::cli
