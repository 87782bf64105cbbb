#include <algorithm>
#include <filesystem>

#include "bench/desk.hpp"
#include "bench/turn.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/tone/spot_series.hpp"

// Computing: at once, again and again while knobs are turned, or in the background.
namespace mendtone::bench {
namespace {

/// One thing to compute, and whether its result is kept.
struct Task {
  std::string verb, parameters;
  bool keep = false;
  app::Keeping keeping;
};

Result<Task> task_of(const Desk& desk, const Asked& asked, const std::string& body) {
  Task task{asked.value("verb"), body, asked.query.count("keep") > 0, {}};
  if (auto object = object_in(body); !object) return object.error();
  if (!task.keep) return task;
  auto entry = entry_by(desk, asked.value("by"));
  if (!entry) return entry.error();
  task.keeping = {desk.record, *entry, asked.value("keep"), asked.value("sheet"),
                  asked.value("loss")};
  return task;
}

/// {answered, kept_id?, result}; the result's own text stays as it was written.
std::string told(const app::Computed& computed, std::optional<record::Id> kept) {
  return std::string("{\"answered\":") + (computed.answered ? "true" : "false") +
         (kept ? ",\"kept_id\":" + std::to_string(*kept) : std::string()) +
         ",\"result\":" + computed.result + "}";
}

/// Long work asks the watch while it goes on.
app::Going going_of(Watch& watch, const char* message) {
  return [&watch, message](double done) { return watch.step(message, done); };
}

app::InputPlace watched(app::InputPlace place, Watch& watch, const char* message) {
  place.going = going_of(watch, message);
  return place;
}

/// Keeps a result where that was asked for; nothing where it was cancelled meanwhile.
Result<std::optional<record::Id>> kept(const Task& task, const app::Computed& computed,
                                       Watch& watch) {
  if (auto going = watch.step("keeping"); !going) return going.error();
  if (!task.keep) return std::optional<record::Id>();
  auto id = app::keep_computation(task.keeping, computed);
  if (!id) return id.error();
  return std::optional(*id);
}

Result<std::string> done(const Task& task, const app::InputPlace& place, Watch& watch) {
  if (auto going = watch.step("computing"); !going) return going.error();
  const bool picture = task.verb.starts_with("image");
  auto computed =
      app::compute(task.verb, task.parameters,
                   watched(place, watch, picture ? "passing over the photograph" : "computing"));
  if (!computed) return computed.error();
  auto id = kept(task, *computed, watch);
  if (!id) return id.error();
  return told(*computed, *id);
}

Work task_work(const Desk& desk, Task task) {
  return [task = std::move(task), place = desk.place()](Watch& watch) {
    return done(task, place, watch);
  };
}

template <class Answer>
Result<std::string> told(const Result<Answer>& answer) {
  using app::has_answer;
  if (!answer) return answer.error();
  return std::string("{\"answered\":") + (has_answer(*answer) ? "true" : "false") +
         ",\"result\":" + to_json(*answer) + "}";
}

Result<Work> recheck_work(const Desk& desk) {
  return Work([record = desk.record](Watch& watch) -> Result<std::string> {
    if (auto going = watch.step("computing everything again"); !going) return going.error();
    return told(app::recheck({record, going_of(watch, "computing everything again")}));
  });
}

Result<Work> series_work(const Desk& desk, const std::string& body) {
  auto object = object_in(body);
  if (!object) return object.error();
  app::SpotSeriesRequest request;
  std::string light;
  for (const auto& [name, to] : {std::pair<const char*, std::string*>{"sheet", &request.sheet},
                                 {"spot", &request.spot},
                                 {"light", &light}}) {
    auto text = text_in(*object, name);
    if (!text) return text.error();
    *to = *std::move(text);
  }
  if (!light.empty()) request.viewing.lights = {light};
  return Work([request, place = desk.place()](Watch& watch) -> Result<std::string> {
    if (auto going = watch.step("comparing"); !going) return going.error();
    return told(app::spot_series(request, place));
  });
}

/// The numbers of two photographs; where the page names them so, maps are drawn.
std::optional<std::pair<std::int64_t, std::int64_t>> numbers_of(const Json& object) {
  const auto number = [&](const char* name) -> std::int64_t {
    const auto found = object.find(name);
    return found != object.end() && found->is_number_unsigned() ? found->get<std::int64_t>() : 0;
  };
  if (number("before") < 1 || number("after") < 1) return std::nullopt;
  return std::pair{number("before"), number("after")};
}

/// As a person would name it, since the maps say it: "SHEET/NAME"; its number where a name is no
/// way to it.
Result<std::string> photograph_name(const Desk& desk, std::int64_t number) {
  auto store = open_record(desk.record, Opening::must_exist);
  if (!store) return store.error();
  auto photograph = record::get<record::Photograph>(**store, number);
  if (!photograph) return photograph.error();
  auto sheet = record::get<record::Sheet>(**store, photograph->value.sheet);
  if (!sheet) return sheet.error();
  const std::string name = sheet->value.name + "/" + photograph->value.name;
  if (std::count(name.begin(), name.end(), '/') > 1) return "#" + std::to_string(number);
  return name;
}

/// What the page shows of the maps: addresses, not paths of the disk.
std::string with_addresses(const std::string& result, std::int64_t before, std::int64_t after) {
  Json json = json_of_ours(result);
  json["pictures"] = Json::array();
  for (const char* kind : {"de00", "dL", "da", "db"})
    json["pictures"].push_back("api/map/" + std::to_string(before) + "/" + std::to_string(after) +
                               "/" + kind);
  return json.dump();
}

Result<Work> change_work(Desk& desk, const Asked& asked, const std::string& body) {
  auto object = object_in(body);
  if (!object) return object.error();
  const auto numbers = numbers_of(*object);
  if (numbers) {
    for (const auto& [part, number] :
         {std::pair{"before", numbers->first}, {"after", numbers->second}}) {
      auto name = photograph_name(desk, number);
      if (!name) return name.error();
      (*object)[part] = {{"file", *name}};
    }
  }
  auto task = task_of(desk, asked, object->dump());
  if (!task || !numbers)
    return task ? task_work(desk, *std::move(task)) : Result<Work>(task.error());
  return Work([task = *std::move(task), numbers = *numbers, place = desk.place(),
               folder = desk.photographs(), maps = desk.maps(numbers->first, numbers->second)](
                  Watch& watch) -> Result<std::string> {
    if (auto going = watch.step("laying the photographs on each other"); !going)
      return going.error();
    std::error_code ignored;
    std::filesystem::create_directories(folder, ignored);
    auto computed = app::compute_with_maps(
        task.parameters, watched(place, watch, "passing over the photograph"), maps);
    if (!computed) return computed.error();
    auto id = kept(task, *computed, watch);
    if (!id) return id.error();
    computed->result = with_addresses(computed->result, numbers.first, numbers.second);
    return told(*computed, *id);
  });
}

Result<Work> work_of(Desk& desk, const Asked& asked, const std::string& body) {
  const std::string verb = asked.value("verb");
  if (verb == "recheck") return recheck_work(desk);
  if (verb == "series") return series_work(desk, body);
  if (verb == "report") return report_work(desk, asked, body);
  if (verb == "image-change") return change_work(desk, asked, body);
  auto task = task_of(desk, asked, body);
  if (!task) return task.error();
  return task_work(desk, *std::move(task));
}

Json facts_json(const JobFacts& facts) {
  return {{"job", facts.job},
          {"verb", facts.verb},
          {"state", name_of(facts.state)},
          {"progress", facts.progress ? Json(*facts.progress) : Json()},
          {"message", facts.message},
          {"seconds", facts.seconds}};
}

std::int64_t number_in(const Asked& asked) {
  return std::stoll(asked.parts.front());
}

Reply no_such_job() {
  return refusal(404, "there is no such job; only the last ones are remembered");
}

}  // namespace

Reply compute_call(Desk& desk, const Asked& asked, const std::string& body) {
  auto task = task_of(desk, asked, body);
  if (!task) return refusal(task.error());
  const Turn turn(desk.computing);
  if (!turn) return too_busy();
  Watch watch;
  auto result = done(*task, desk.place(), watch);
  return result ? as_json(*std::move(result)) : refusal(result.error());
}

Reply rank_call(Desk& desk, const std::string& body) {
  auto object = object_in(body);
  if (!object) return refusal(object.error());
  const auto parameters = object->find("parameters");
  if (parameters == object->end() || !parameters->is_object())
    return refusal(400, "expected the parameters of a tissue ranking", "parameters");
  const Turn turn(desk.computing);
  if (!turn) return too_busy();
  auto answer = told(desk.drawer.rank(parameters->dump(), desk.place()));
  return answer ? as_json(*std::move(answer)) : refusal(answer.error());
}

Reply job_start_call(Desk& desk, const Asked& asked, const std::string& body) {
  auto work = work_of(desk, asked, body);
  if (!work) return refusal(work.error());
  auto job = desk.jobs.start(asked.value("verb"), *std::move(work));
  if (!job) return refusal(503, job.error().message);
  Reply reply = as_json(Json{{"job", *job}});
  reply.status = 202;
  return reply;
}

Reply jobs_call(Desk& desk) {
  Json jobs = Json::array();
  for (const JobFacts& facts : desk.jobs.all()) jobs.push_back(facts_json(facts));
  return as_json(Json{{"jobs", std::move(jobs)}});
}

Reply job_call(Desk& desk, const Asked& asked) {
  const auto facts = desk.jobs.one(number_in(asked));
  if (!facts) return no_such_job();
  Json json = facts_json(*facts);
  if (facts->state == JobState::failed)
    json["error"] = {{"message", facts->error.message}, {"where", facts->error.where}};
  if (facts->state != JobState::done) return as_json(json);
  std::string text = json.dump(-1, ' ', false, Json::error_handler_t::replace);
  text.back() = ',';
  return as_json(text + "\"result\":" + facts->result + "}");
}

Reply job_cancel_call(Desk& desk, const Asked& asked) {
  if (!desk.jobs.cancel(number_in(asked))) return no_such_job();
  return as_json(facts_json(*desk.jobs.one(number_in(asked))));
}

}  // namespace mendtone::bench
