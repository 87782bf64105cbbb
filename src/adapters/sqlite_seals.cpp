#include "adapters/sqlite_seals.hpp"

#include <algorithm>

#include "mendtone/adapters/sha256.hpp"
#include "mendtone/record/kinds.hpp"

namespace mendtone::sqlite {
namespace {

using record::Cell;
using record::Head;
using record::Kind;

/// One filled cell of the text that is hashed. The length comes first, so that no two rows can
/// give the same text.
void put_cell(std::string& text, const std::string& name, const Cell& cell) {
  if (std::holds_alternative<std::monostate>(cell)) return;
  const std::string value = record::text_of(cell);
  text += name + ' ' + std::to_string(value.size()) + ' ' + value + '\n';
}

/// Kinds, and columns in each, by name: a later layout may put them in another order.
struct SealedTable {
  std::string name;
  std::vector<std::string> columns;
  std::string select;
};

SealedTable sealed_table(const std::string& name, std::vector<std::string> columns,
                         const std::string& condition) {
  std::sort(columns.begin(), columns.end());
  SealedTable table{name, columns, "SELECT "};
  for (const std::string& column : table.columns)
    table.select += (column == table.columns.front() ? "\"" : ", \"") + column + '"';
  table.select += " FROM \"" + name + "\" WHERE " + condition + " = ? ORDER BY row";
  return table;
}

std::vector<SealedTable> all_sealed_tables() {
  std::vector<SealedTable> tables;
  for (const Kind& kind : record::kinds()) {
    std::vector<std::string> columns{"row", "id", "replaces", "withdrawn"};
    for (const record::Column& column : kind.columns) columns.push_back(column.name);
    tables.push_back(sealed_table(kind.name, std::move(columns), "entry"));
  }
  std::sort(tables.begin(), tables.end(),
            [](const auto& a, const auto& b) { return a.name < b.name; });
  // The entry itself comes first, with the seal that it holds.
  tables.insert(tables.begin(),
                sealed_table("entry", {"row", "who", "at", "why", "program"}, "row"));
  return tables;
}

const std::vector<SealedTable>& sealed_tables() {
  static const std::vector<SealedTable> tables = all_sealed_tables();
  return tables;
}

Result<void> put_rows(Connection& connection, const SealedTable& table, std::int64_t entry,
                      std::string& text) {
  auto statement = connection.prepared(table.select);
  if (!statement) return statement.error();
  InUse use(**statement);
  use->bind_whole(1, entry);
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW) {
    text += table.name + '\n';
    for (std::size_t i = 0; i < table.columns.size(); ++i)
      put_cell(text, table.columns[i], use->cell(static_cast<int>(i)));
  }
  if (code != SQLITE_DONE) return connection.error(code);
  return {};
}

/// What the entry after `entry` has to hold.
Result<std::string> sealed(Connection& connection, std::int64_t entry,
                           const std::string& held_by_it) {
  std::string text = held_by_it + '\n';
  for (const SealedTable& table : sealed_tables())
    if (auto put = put_rows(connection, table, entry, text); !put) return put.error();
  return sha256(text);
}

struct Origin {
  std::string id, found_seal;
  std::int64_t found_entries = 0;
};

/// Before the first entry: a seal that belongs to this record alone.
std::string first_seal(const std::string& id) {
  return sha256("mendtone record " + id + '\n');
}

Result<Origin> origin_of(Connection& connection) {
  auto statement = connection.prepared("SELECT id, found_entries, found_seal FROM origin");
  if (!statement) return statement.error();
  InUse use(**statement);
  const int code = use->step();
  if (code == SQLITE_ROW) return Origin{use->text(0), use->text(2), use->whole(1)};
  if (code != SQLITE_DONE) return connection.error(code);
  return bad_input("this record has lost the row that says which one it is (table origin)",
                   connection.path());
}

struct SealedEntry {
  std::int64_t row = 0;
  std::string at, seal;  ///< the seal that it holds; empty: from before there were seals
};

Result<std::vector<SealedEntry>> entries_of(Connection& connection, const char* which) {
  auto statement = connection.prepared(std::string("SELECT row, at, seal FROM entry ") + which);
  if (!statement) return statement.error();
  InUse use(**statement);
  std::vector<SealedEntry> entries;
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW)
    entries.push_back({use->whole(0), use->text(1), use->text(2)});
  if (code != SQLITE_DONE) return connection.error(code);
  return entries;
}

std::string called(const SealedEntry& entry) {
  return "entry " + std::to_string(entry.row) + " (" + entry.at + ")";
}

/// The chain as it is walked: after each entry, what the next has to hold.
class Chain {
 public:
  Chain(Connection& connection, Origin origin, const std::vector<Head>& known)
      : connection_(connection), origin_(std::move(origin)), known_(known) {}

  Result<SealReport> walk() {
    auto entries = entries_of(connection_, "ORDER BY row");
    if (!entries) return entries.error();
    report_.as_found = origin_.found_entries;
    std::string passed_on = first_seal(origin_.id);
    if (origin_.found_entries == 0) compare_found(passed_on);
    for (const SealedEntry& entry : *entries) {
      count_gaps(entry);
      // From the seal that it holds, so that one change shows in one place and not ever after.
      compare_held(entry, passed_on);
      auto next = sealed(connection_, entry.row, entry.seal.empty() ? passed_on : entry.seal);
      if (!next) return next.error();
      passed_on = *std::move(next);
      if (entry.row == origin_.found_entries) compare_found(passed_on);
      if (entry.row == origin_.found_entries) passed_on = origin_.found_seal;
      report_.head = {entry.row, entry.at, passed_on};
      heads_.push_back(report_.head);
      last_ = entry;
      ++report_.entries;
    }
    if (entries->empty()) report_.head.seal = origin_.found_seal;
    for (const Head& head : known_) report_.known.push_back(held_against(head));
    return std::move(report_);
  }

 private:
  void count_gaps(const SealedEntry& entry) {
    if (entry.row == last_.row + 1) return;
    const std::string first = std::to_string(last_.row + 1), last = std::to_string(entry.row - 1);
    report_.breaks.push_back(first == last
                                 ? "entry " + first + " was taken out"
                                 : "entries " + first + " to " + last + " were taken out");
  }

  void compare_held(const SealedEntry& entry, const std::string& passed_on) {
    const bool older = entry.row <= origin_.found_entries;
    if (entry.seal.empty() && older) return;
    if (entry.seal == passed_on) return;
    report_.breaks.push_back(last_.row == 0
                                 ? called(entry) + " does not hold the seal of this record"
                                 : called(last_) + ", or a row of it, was changed after " +
                                       called(entry) + " had sealed it");
  }

  void compare_found(const std::string& passed_on) {
    if (passed_on == origin_.found_seal) return;
    report_.breaks.push_back("something in the first " + std::to_string(origin_.found_entries) +
                             " entries, older than the seals, was changed after they were sealed "
                             "as found");
  }

  SealReport::Known held_against(const Head& head) const {
    using Verdict = SealReport::Known::Verdict;
    const std::string entry = "entry " + std::to_string(head.entry);
    if (head.entry > report_.head.entry)
      return {head, Verdict::older,
              "this record ends at entry " + std::to_string(report_.head.entry) +
                  ": it is an older copy, or its end was cut off; look for the newer one"};
    const auto here = std::find_if(heads_.begin(), heads_.end(),
                                   [&](const Head& one) { return one.entry == head.entry; });
    if (here == heads_.end())
      return {head, Verdict::changed, entry + " was taken out of this record"};
    if (here->seal.compare(0, head.seal.size(), head.seal) == 0)
      return {head, Verdict::fits,
              "fits: nothing up to " + entry + " was changed since this head was written down"};
    if (here->at != head.at)
      return {head, Verdict::goes_on_elsewhere,
              "this record holds another " + entry + ", made at " + here->at +
                  ": an older backup that went on by itself; compare it with the record that this "
                  "head comes from"};
    return {head, Verdict::changed,
            "something up to " + entry + " was changed after this head was written down"};
  }

  Connection& connection_;
  Origin origin_;
  const std::vector<Head>& known_;
  SealReport report_;
  std::vector<Head> heads_;
  SealedEntry last_;
};

/// What the last of the entries that are there would pass on, none of them holding a seal.
Result<std::string> seal_as_found(Connection& connection, const std::string& id,
                                  std::int64_t& count) {
  auto entries = entries_of(connection, "ORDER BY row");
  if (!entries) return entries.error();
  std::string passed_on = first_seal(id);
  for (const SealedEntry& entry : *entries) {
    auto next = sealed(connection, entry.row, passed_on);
    if (!next) return next;
    passed_on = *std::move(next);
    count = entry.row;
  }
  return passed_on;
}

}  // namespace

Result<Head> head_of(Connection& connection) {
  auto origin = origin_of(connection);
  if (!origin) return origin.error();
  auto last = entries_of(connection, "WHERE row = (SELECT max(row) FROM entry)");
  if (!last) return last.error();
  if (last->empty()) return Head{0, "", origin->found_seal};
  const SealedEntry& entry = last->front();
  if (entry.row == origin->found_entries) return Head{entry.row, entry.at, origin->found_seal};
  auto passed_on = sealed(connection, entry.row, entry.seal);
  if (!passed_on) return passed_on.error();
  return Head{entry.row, entry.at, *passed_on};
}

Result<void> begin_seals(Connection& connection) {
  auto id = connection.text("SELECT lower(hex(randomblob(16)))");
  if (!id) return id.error();
  std::int64_t count = 0;
  auto seal = seal_as_found(connection, *id, count);
  if (!seal) return seal.error();
  auto statement = connection.prepared(
      "INSERT INTO origin (row, id, found_entries, found_seal) VALUES (1, ?, ?, ?)");
  if (!statement) return statement.error();
  InUse use(**statement);
  use->bind_text(1, *id);
  use->bind_whole(2, count);
  use->bind_text(3, *seal);
  return connection.finish(use);
}

Result<SealReport> check_chain(Connection& connection, const std::vector<Head>& known) {
  auto origin = origin_of(connection);
  if (!origin) return origin.error();
  return Chain(connection, *std::move(origin), known).walk();
}

}  // namespace mendtone::sqlite
