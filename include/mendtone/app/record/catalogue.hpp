#pragma once
#include <map>
#include <string>
#include <vector>

#include "mendtone/app/record/record.hpp"

namespace mendtone::app {

struct CatalogueRequest {
  std::string record;
};

/// Readings that belong to no sheet and came from one file: a drawer, backings, a ladder.
struct LooseReadings {
  std::string file;
  record::Id id = 0;  ///< the file's
  std::map<std::string, std::size_t> roles;
  std::vector<std::string> names;
};

/// What a person can choose from before she has chosen a sheet. Computed results that belong here
/// (calibrations) come without their figures.
struct CatalogueAnswer {
  std::string record;
  std::vector<std::pair<std::string, std::int64_t>> counts;  ///< of every kind
  std::vector<Shown> things;
  std::vector<LooseReadings> loose;
  std::vector<std::string> backings;  ///< names that were read as backing or substrate
};

Result<CatalogueAnswer> record_catalogue(const CatalogueRequest& request);
std::string to_json(const CatalogueAnswer&);

/// Takes away columns that are long and that no list shows: spectra, and a result's figures,
/// parameters and inputs.
void leave_out_long(std::vector<Shown>& things);

/// Every kind with its columns, as the forms of a page are made from them:
/// [{kind, help, by_hand, columns: [{name, form, needed, help, links_to, one_of}]}]. `by_hand`
/// is false for what only the program itself enters.
std::string kinds_as_json();
/// Whether a person enters things of this kind herself.
bool is_by_hand(std::string_view kind);

}  // namespace mendtone::app
