#include "bench/desk.hpp"
#include "mendtone/app/recheck.hpp"
#include "mendtone/app/record.hpp"

// Computing: at once, again and again while knobs are turned, or in the background.
namespace mendtone::bench {
namespace {

/// Requests that compute at once and wait for their turn with the processor; more are refused, so
/// that the page always has threads left.
constexpr int most_computing = 8;

/// Counts one in, and out again.
class Turn {
 public:
  explicit Turn(std::atomic<int>& computing)
      : computing_(computing), granted_(++computing <= most_computing) {}
  ~Turn() { --computing_; }
  Turn(const Turn&) = delete;
  Turn& operator=(const Turn&) = delete;
  explicit operator bool() const { return granted_; }

 private:
  std::atomic<int>& computing_;
  bool granted_;
};

Reply too_busy() {
  return refusal(503,
                 "too much is being computed at the moment: try again when some of it has ended");
}

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

Result<std::string> done(const Task& task, const app::InputPlace& place, Watch& watch) {
  if (auto going = watch.step("computing"); !going) return going.error();
  auto computed = app::compute(task.verb, task.parameters, place);
  if (!computed) return computed.error();
  if (auto going = watch.step("keeping"); !going) return going.error();
  if (!task.keep) return told(*computed, std::nullopt);
  auto id = app::keep_computation(task.keeping, *computed);
  if (!id) return id.error();
  return told(*computed, *id);
}

template <class Answer>
Result<std::string> told(const Result<Answer>& answer) {
  if (!answer) return answer.error();
  return std::string("{\"answered\":") + (has_answer(*answer) ? "true" : "false") +
         ",\"result\":" + to_json(*answer) + "}";
}

Result<Work> work_of(Desk& desk, const Asked& asked, const std::string& body) {
  const std::string verb = asked.value("verb");
  if (verb == "recheck")
    return Work([record = desk.record](Watch& watch) -> Result<std::string> {
      if (auto going = watch.step("computing everything again"); !going) return going.error();
      return told(app::recheck({record}));
    });
  auto task = task_of(desk, asked, body);
  if (!task) return task.error();
  return Work([task = *std::move(task), place = desk.place()](Watch& watch) {
    return done(task, place, watch);
  });
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
