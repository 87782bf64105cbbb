#include "mendtone/app/tissue/ready_drawer.hpp"

#include <cassert>

#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/results/walk.hpp"

namespace mendtone::app {
namespace {

constexpr std::size_t most_ready = 4;

/// Everything that the preparation depends on: what is asked about, and the state of the record.
Result<std::string> key_of(TissueRequest request, const InputPlace& place) {
  auto store = open_record(place.record, Opening::must_exist);
  if (!store) return store.error();
  auto last = (*store)->last_entry();
  if (!last) return last.error();
  request.question = {};
  return std::to_string(*last) + ' ' + results::to_parameters(results::type_of<TissueRequest>(), &request);
}

}  // namespace

Result<TissueBench> ReadyDrawer::bench_for(const TissueRequest& request,
                                           const InputPlace& place) {
  auto key = key_of(request, place);
  if (!key) return key.error();
  // Held while preparing: who asks the same meanwhile waits for it rather than doing it again.
  const std::lock_guard lock(mutex_);
  for (auto one = ready_.begin(); one != ready_.end(); ++one)
    if (one->key == *key) {
      ready_.splice(ready_.begin(), ready_, one);
      return ready_.front().bench;
    }
  auto material = read_material(request, place);
  if (!material) return material.error();
  auto bench = TissueBench::prepare(*std::move(material));
  if (!bench) return bench.error();
  ready_.push_front({*std::move(key), *bench});
  if (ready_.size() > most_ready) ready_.pop_back();
  return bench;
}

Result<TissueAnswer> ReadyDrawer::rank(const std::string& parameters, const InputPlace& place) {
  assert(!place.record.empty() && !place.files);
  auto request = results::read<TissueRequest>(parameters, "tissue", results::Reading::question);
  if (!request) return request.error();
  auto bench = bench_for(*request, place);
  if (!bench) return bench.error();
  return bench->rank(request->question, place);
}

}  // namespace mendtone::app
