#include "mendtone/results/recheck.hpp"

namespace mendtone::results {

void fields(Describe& v, Disagreement& s) {
  v.name("Disagreement");
  v("what", s.what, {});
  v("where", s.where, {.help = "the figure, as a JSON pointer or a column"});
  v("kept", s.kept, {});
  v("now", s.now, {});
}

void fields(Describe& v, MethodChanged& s) {
  v.name("MethodChanged");
  v("what", s.what, {});
  v("where", s.where, {.help = "the figure, as a JSON pointer"});
  v("kept", s.kept, {});
  v("now", s.now, {});
  v("changed", s.changed, {.help = "what the method changed since"});
}

void fields(Describe& v, HeadTold& s) {
  v.name("HeadTold");
  v("head", s.head, {});
  v("fits", s.fits, {});
  v("meaning", s.meaning, {.help = "where it does not fit"});
}

void fields(Describe& v, RecheckAnswer& s) {
  v.name("RecheckAnswer");
  v.document("record.recheck", 2);
  v("record", s.record, {});
  v("agrees", s.agrees, {.help = "nothing differs; a changed method is no disagreement"});
  v("results", s.results, {});
  v("figures", s.figures, {});
  v("imported_files", s.kept_files, {});
  v("readings", s.readings, {});
  v("means", s.means, {});
  v("photographs", s.photographs, {});
  v("file_faults", s.file_faults, {});
  v("head", s.head, {.help = "of the chain of entries, as it is now", .since = 2});
  v("entries", s.entries, {.since = 2});
  v("entries_sealed_as_found", s.as_found, {.help = "older than the seals", .since = 2});
  v("broken_seals", s.broken_seals, {.since = 2});
  v("heads", s.heads, {.help = "known from outside", .since = 2});
  v("disagreements", s.disagreements, {});
  v("method_changed", s.method_changed, {});
  v("notes", s.notes, {});
  v.table("disagreements", {{"what", "what"}, {"where", "where"}, {"kept", "kept"}, {"now", "now"}});
}

}  // namespace mendtone::results
