#pragma once
#include <memory>

#include "adapters/sqlite_connection.hpp"
#include "mendtone/record/store.hpp"

namespace mendtone::sqlite {

class RecordStore : public record::Store {
 public:
  explicit RecordStore(std::unique_ptr<Connection> connection)
      : connection_(std::move(connection)) {}

  Result<record::Id> add(const record::Row& row, const record::Entry& entry) override;
  Result<record::Id> correct(record::Id id, const record::Row& row,
                             const record::Entry& entry) override;
  Result<void> withdraw(std::string_view kind, record::Id id, const record::Entry& entry) override;
  Result<std::vector<record::KeptRow>> history(std::string_view kind, record::Id id) const override;
  Result<std::vector<record::KeptRow>> current(std::string_view kind,
                                               const record::Query& query) const override;
  Result<std::vector<record::KeptRow>> all(std::string_view kind) const override;
  Result<std::int64_t> count(std::string_view kind) const override;
  Result<std::int64_t> last_entry() const override;
  Result<record::Head> head() const override;
  std::string reading_only() const override { return connection_->reading_only(); }
  Result<std::string> keep_bytes(std::string_view bytes) override;
  Result<std::string> bytes(const std::string& sha256) const override;
  Result<std::vector<std::string>> all_bytes() const override;
  Result<void> together(const std::function<Result<void>()>& work) override;
  Result<void> reading_together(const std::function<Result<void>()>& work) const override;

 private:
  struct NewRow {
    record::Id id = 0;        ///< 0: a new thing
    record::Id replaces = 0;  ///< 0: none
    bool withdrawn = false;
  };
  Result<record::Id> insert(const record::Kind& kind, const record::Row& row, NewRow place,
                            const record::Entry& entry);
  Result<record::Id> keep_entry(const record::Entry& entry);
  Result<void> check_links(const record::Kind& kind, const record::Row& row) const;
  Result<void> check_name(const record::Kind& kind, const record::Row& row, record::Id id) const;
  Result<void> check_unused(const record::Kind& kind, record::Id id) const;
  /// The row to be corrected; refuses what is not there or was withdrawn.
  Result<record::KeptRow> newest(std::string_view kind, record::Id id) const;
  Result<std::vector<record::KeptRow>> rows(const record::Kind& kind, const std::string& condition,
                                            const std::vector<record::Cell>& parameters,
                                            const char* order) const;
  Result<record::Id> in_transaction(const std::function<Result<record::Id>()>& work);

  std::unique_ptr<Connection> connection_;
  mutable int depth_ = 0;
  std::optional<std::pair<record::Entry, record::Id>> last_entry_;  ///< of this transaction
};

}  // namespace mendtone::sqlite
