#include "adapters/sqlite_store.hpp"

#include "adapters/sqlite_seals.hpp"
#include "mendtone/adapters/sha256.hpp"

namespace mendtone::sqlite {
namespace {

using namespace mendtone::record;

std::string sql_name(std::string_view name) {
  return '"' + std::string(name) + '"';
}

constexpr const char* newest_only = "NOT EXISTS (SELECT 1 FROM \"%\" n WHERE n.replaces = t.row)";

/// "no row of this table replaces t".
std::string is_newest(const std::string& table) {
  std::string text = newest_only;
  return text.replace(text.find('%'), 1, table);
}

Result<const Kind*> known_kind(std::string_view name) {
  const Kind* kind = find_kind(name);
  if (!kind) return bad_request("a record has no such kind of thing", std::string(name));
  return kind;
}

Error not_there(std::string_view kind, Id id) {
  return bad_input("the record has no " + std::string(kind) + " with the number " +
                   std::to_string(id));
}

std::string select_from(const Kind& kind) {
  std::string sql = "SELECT t.id, t.row, t.replaces, t.withdrawn, e.who, e.at, e.why, e.program";
  for (const Column& column : kind.columns) sql += ", t." + sql_name(column.name);
  return sql + " FROM " + sql_name(kind.name) + " t JOIN entry e ON e.row = t.entry";
}

std::string insert_into(const Kind& kind) {
  std::string columns = "row, id, replaces, withdrawn, entry", marks = "?, ?, ?, ?, ?";
  for (const Column& column : kind.columns) {
    columns += ", " + sql_name(column.name);
    marks += ", ?";
  }
  return "INSERT INTO " + sql_name(kind.name) + " (" + columns + ") VALUES (" + marks + ")";
}

KeptRow read_row(const Kind& kind, InUse& statement) {
  KeptRow kept;
  kept.id = statement->whole(0);
  kept.row = statement->whole(1);
  if (!statement->is_null(2)) kept.replaces = statement->whole(2);
  kept.withdrawn = statement->whole(3) != 0;
  kept.entry = {statement->text(4), statement->text(5), statement->text(6), statement->text(7)};
  kept.value.kind = kind.name;
  kept.value.cells.reserve(kind.columns.size());
  for (std::size_t i = 0; i < kind.columns.size(); ++i)
    kept.value.cells.push_back(statement->cell(static_cast<int>(i) + 8));
  return kept;
}

bool same(const Entry& a, const Entry& b) {
  return a.who == b.who && a.when == b.when && a.why == b.why && a.program == b.program;
}

}  // namespace

Result<Id> RecordStore::add(const Row& row, const Entry& entry) {
  if (auto valid = validate(row); !valid) return valid.error();
  const Kind& kind = *find_kind(row.kind);
  return in_transaction([&]() -> Result<Id> {
    if (auto linked = check_links(kind, row); !linked) return linked.error();
    if (auto free = check_name(kind, row, 0); !free) return free.error();
    return insert(kind, row, {}, entry);
  });
}

Result<Id> RecordStore::correct(Id id, const Row& row, const Entry& entry) {
  if (entry.why.empty()) return bad_request("a correction must say why", row.kind);
  if (auto valid = validate(row); !valid) return valid.error();
  const Kind& kind = *find_kind(row.kind);
  return in_transaction([&]() -> Result<Id> {
    auto old = newest(kind.name, id);
    if (!old) return old.error();
    if (auto linked = check_links(kind, row); !linked) return linked.error();
    if (auto free = check_name(kind, row, id); !free) return free.error();
    return insert(kind, row, {id, old->row, false}, entry);
  });
}

Result<void> RecordStore::withdraw(std::string_view kind_name, Id id, const Entry& entry) {
  if (entry.why.empty())
    return bad_request("what is withdrawn must say why", std::string(kind_name));
  auto kind = known_kind(kind_name);
  if (!kind) return kind.error();
  auto done = in_transaction([&]() -> Result<Id> {
    auto old = newest(kind_name, id);
    if (!old) return old.error();
    if (auto unused = check_unused(**kind, id); !unused) return unused.error();
    return insert(**kind, old->value, {id, old->row, true}, entry);
  });
  if (!done) return done.error();
  return {};
}

Result<std::vector<KeptRow>> RecordStore::history(std::string_view kind_name, Id id) const {
  auto kind = known_kind(kind_name);
  if (!kind) return kind.error();
  return rows(**kind, "t.id = ?", {Cell{id}}, "t.row");
}

Result<std::vector<KeptRow>> RecordStore::current(std::string_view kind_name,
                                                  const Query& query) const {
  auto kind = known_kind(kind_name);
  if (!kind) return kind.error();
  std::string condition = is_newest((*kind)->name);
  if (!query.withdrawn_too) condition += " AND t.withdrawn = 0";
  std::vector<Cell> parameters;
  for (const auto& [column, cell] : query.where) {
    if ((*kind)->position(column) == (*kind)->columns.size())
      return bad_request("a " + (*kind)->name + " has no column of that name", column);
    condition += " AND t." + sql_name(column) + " IS ?";
    parameters.push_back(cell);
  }
  return rows(**kind, condition, parameters, "t.id");
}

Result<std::vector<KeptRow>> RecordStore::all(std::string_view kind_name) const {
  auto kind = known_kind(kind_name);
  if (!kind) return kind.error();
  return rows(**kind, "1", {}, "t.row");
}

Result<std::int64_t> RecordStore::count(std::string_view kind_name) const {
  auto kind = known_kind(kind_name);
  if (!kind) return kind.error();
  return connection_->whole("SELECT count(*) FROM " + sql_name((*kind)->name) + " t WHERE " +
                            is_newest((*kind)->name) + " AND t.withdrawn = 0");
}

Result<std::int64_t> RecordStore::last_entry() const {
  return connection_->whole("SELECT coalesce(max(row), 0) FROM entry");
}

Result<Head> RecordStore::head() const {
  return sqlite::head_of(*connection_);
}

Result<std::string> RecordStore::keep_bytes(std::string_view bytes) {
  const std::string hash = sha256(bytes);
  auto kept = together([&]() -> Result<void> {
    auto statement = connection_->prepared(
        "INSERT INTO kept_bytes (sha256, bytes) SELECT ?1, ?2 WHERE NOT EXISTS "
        "(SELECT 1 FROM kept_bytes WHERE sha256 = ?1)");
    if (!statement) return statement.error();
    InUse use(**statement);
    use->bind_text(1, hash);
    use->bind_bytes(2, bytes);
    return connection_->finish(use);
  });
  if (!kept) return kept.error();
  return hash;
}

Result<std::string> RecordStore::bytes(const std::string& hash) const {
  auto statement = connection_->prepared("SELECT bytes FROM kept_bytes WHERE sha256 = ?");
  if (!statement) return statement.error();
  InUse use(**statement);
  use->bind_text(1, hash);
  const int code = use->step();
  if (code == SQLITE_ROW) return use->bytes(0);
  if (code == SQLITE_DONE) return bad_input("the record does not hold these bytes", hash);
  return connection_->error(code);
}

Result<std::vector<std::string>> RecordStore::all_bytes() const {
  auto statement = connection_->prepared("SELECT sha256 FROM kept_bytes ORDER BY sha256");
  if (!statement) return statement.error();
  InUse use(**statement);
  std::vector<std::string> hashes;
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW) hashes.push_back(use->text(0));
  if (code != SQLITE_DONE) return connection_->error(code);
  return hashes;
}

Result<void> RecordStore::together(const std::function<Result<void>()>& work) {
  if (!connection_->reading_only().empty())
    return outside_world(connection_->reading_only(), connection_->path());
  const std::string inner = "inner" + std::to_string(depth_);
  const bool outermost = depth_ == 0;
  if (auto begun = connection_->run(outermost ? "BEGIN IMMEDIATE" : "SAVEPOINT " + inner); !begun)
    return begun;
  if (outermost) last_entry_.reset();
  ++depth_;
  auto done = work();
  --depth_;
  if (done && outermost && !connection_->in_its_place())
    done = outside_world("the record was moved away or exchanged meanwhile; nothing was kept",
                         connection_->path());
  if (done) done = connection_->run(outermost ? "COMMIT" : "RELEASE " + inner);
  if (done) return done;
  last_entry_.reset();
  // SQLite may have rolled back by itself, as it does when the disk is full.
  if (sqlite3_get_autocommit(connection_->handle()) == 0)
    (void)connection_->run(outermost ? "ROLLBACK" : "ROLLBACK TO " + inner + "; RELEASE " + inner);
  return done;
}

Result<void> RecordStore::reading_together(const std::function<Result<void>()>& work) const {
  if (depth_ > 0) return work();
  if (auto begun = connection_->run("BEGIN"); !begun) return begun;
  ++depth_;
  auto done = work();
  --depth_;
  (void)connection_->run("ROLLBACK");
  return done;
}

Result<Id> RecordStore::in_transaction(const std::function<Result<Id>()>& work) {
  Id kept = 0;
  auto done = together([&]() -> Result<void> {
    auto id = work();
    if (!id) return id.error();
    kept = *id;
    return {};
  });
  if (!done) return done.error();
  return kept;
}

Result<Id> RecordStore::insert(const Kind& kind, const Row& row, NewRow place, const Entry& entry) {
  auto entry_row = keep_entry(entry);
  if (!entry_row) return entry_row.error();
  auto last = connection_->whole("SELECT max(row) FROM " + sql_name(kind.name));
  if (!last) return last.error();
  const Id number = *last + 1;
  const Id id = place.id == 0 ? number : place.id;
  auto statement = connection_->prepared(insert_into(kind));
  if (!statement) return statement.error();
  InUse use(**statement);
  use->bind_whole(1, number);
  use->bind_whole(2, id);
  if (place.replaces != 0) use->bind_whole(3, place.replaces);
  use->bind_whole(4, place.withdrawn ? 1 : 0);
  use->bind_whole(5, *entry_row);
  for (std::size_t i = 0; i < row.cells.size(); ++i)
    use->bind(static_cast<int>(i) + 6, row.cells[i]);
  if (auto done = connection_->finish(use); !done) return done.error();
  return id;
}

/// One entry stands for all that was kept in the same breath.
Result<Id> RecordStore::keep_entry(const Entry& entry) {
  if (entry.who.empty()) return bad_request("an entry must say who makes it");
  if (last_entry_ && same(last_entry_->first, entry)) return last_entry_->second;
  auto head = sqlite::head_of(*connection_);
  if (!head) return head.error();
  auto statement = connection_->prepared(
      "INSERT INTO entry (who, at, why, program, seal, row) VALUES (?, ?, ?, ?, ?, ?)");
  if (!statement) return statement.error();
  InUse use(**statement);
  use->bind_text(1, entry.who);
  use->bind_text(2, entry.when);
  use->bind_text(3, entry.why);
  use->bind_text(4, entry.program);
  use->bind_text(5, head->seal);
  use->bind_whole(6, head->entry + 1);
  if (auto done = connection_->finish(use); !done) return done.error();
  const Id row = sqlite3_last_insert_rowid(connection_->handle());
  last_entry_.emplace(entry, row);
  return row;
}

Result<void> RecordStore::check_links(const Kind& kind, const Row& row) const {
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    const Column& column = kind.columns[i];
    const auto* id = std::get_if<std::int64_t>(&row.cells[i]);
    if (column.links_to.empty() || !id) continue;
    if (auto linked = newest(column.links_to, *id); !linked)
      return Error{linked.error().code, linked.error().message, kind.name + "." + column.name};
  }
  return {};
}

Result<void> RecordStore::check_name(const Kind& kind, const Row& row, Id id) const {
  const std::size_t name = kind.position("name");
  if (kind.unique_within == "-" || name == kind.columns.size()) return {};
  std::string sql = "SELECT count(*) FROM " + sql_name(kind.name) +
                    " t WHERE t.name = ? AND t.id <> ? AND t.withdrawn = 0 AND " +
                    is_newest(kind.name);
  if (!kind.unique_within.empty()) sql += " AND t." + sql_name(kind.unique_within) + " IS ?";
  auto statement = connection_->prepared(sql);
  if (!statement) return statement.error();
  InUse use(**statement);
  use->bind(1, row.cells[name]);
  use->bind_whole(2, id);
  if (!kind.unique_within.empty()) use->bind(3, row.cells[kind.position(kind.unique_within)]);
  const int code = use->step();
  if (code != SQLITE_ROW) return connection_->error(code);
  if (use->whole(0) == 0) return {};
  return bad_input("there is already a " + kind.name + " of this name", text_of(row.cells[name]));
}

Result<void> RecordStore::check_unused(const Kind& kind, Id id) const {
  for (const Kind& other : kinds())
    for (const Column& column : other.columns) {
      if (column.links_to != kind.name) continue;
      auto users = current(other.name, {{{column.name, Cell{id}}}, false});
      if (!users) return users.error();
      if (!users->empty())
        return bad_input("it cannot be withdrawn while " + std::to_string(users->size()) + " " +
                             other.name + (users->size() == 1 ? " belongs" : "s belong") +
                             " to it: withdraw or correct those first",
                         kind.name);
    }
  return {};
}

Result<KeptRow> RecordStore::newest(std::string_view kind, Id id) const {
  auto all = history(kind, id);
  if (!all) return all.error();
  if (all->empty()) return not_there(kind, id);
  if (all->back().withdrawn)
    return bad_input("this " + std::string(kind) + " was withdrawn: " + all->back().entry.why);
  return all->back();
}

Result<std::vector<KeptRow>> RecordStore::rows(const Kind& kind, const std::string& condition,
                                               const std::vector<Cell>& parameters,
                                               const char* order) const {
  auto statement =
      connection_->prepared(select_from(kind) + " WHERE " + condition + " ORDER BY " + order);
  if (!statement) return statement.error();
  InUse use(**statement);
  for (std::size_t i = 0; i < parameters.size(); ++i)
    use->bind(static_cast<int>(i) + 1, parameters[i]);
  std::vector<KeptRow> found;
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW) found.push_back(read_row(kind, use));
  if (code != SQLITE_DONE) return connection_->error(code);
  return found;
}

}  // namespace mendtone::sqlite
