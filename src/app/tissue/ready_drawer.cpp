#include "mendtone/app/tissue/ready_drawer.hpp"

#include <cassert>

#include "app/record/request_json.hpp"
#include "formats/json_gate.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/keep.hpp"

namespace mendtone::app {
namespace {

constexpr std::size_t most_ready = 4;

Result<TissueRequest> tissue_request(const std::string& parameters) {
  const auto json = json_from<nlohmann::json>(parameters, "tissue");
  if (!json) return json.error();
  try {
    return json->get<TissueRequest>();
  } catch (const nlohmann::json::exception& fault) {
    return bad_input(std::string("the parameters cannot be understood: ") + fault.what());
  }
}

/// Everything that the preparation depends on: what is asked about, and the state of the record.
Result<std::string> key_of(TissueRequest request) {
  auto store = open_record(request.record.record, Opening::must_exist);
  if (!store) return store.error();
  auto last = (*store)->last_entry();
  if (!last) return last.error();
  request.question = {};
  return std::to_string(*last) + ' ' + parameters_of(request);
}

}  // namespace

Result<TissueBench> ReadyDrawer::bench_for(const TissueRequest& request) {
  auto key = key_of(request);
  if (!key) return key.error();
  // Held while preparing: who asks the same meanwhile waits for it rather than doing it again.
  const std::lock_guard lock(mutex_);
  for (auto one = ready_.begin(); one != ready_.end(); ++one)
    if (one->key == *key) {
      ready_.splice(ready_.begin(), ready_, one);
      return ready_.front().bench;
    }
  auto material = read_material(request);
  if (!material) return material.error();
  auto bench = TissueBench::prepare(*std::move(material));
  if (!bench) return bench.error();
  ready_.push_front({*std::move(key), *bench});
  if (ready_.size() > most_ready) ready_.pop_back();
  return bench;
}

Result<TissueAnswer> ReadyDrawer::rank(const std::string& parameters, const InputPlace& place) {
  assert(!place.record.empty() && !place.files);
  auto request = tissue_request(parameters);
  if (!request) return request.error();
  set_place(*request, place);
  auto bench = bench_for(*request);
  if (!bench) return bench.error();
  return bench->rank(request->question);
}

}  // namespace mendtone::app
