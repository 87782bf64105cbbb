#include "bench/desk.hpp"

#include <ctime>

namespace mendtone::bench {
namespace {

/// Now, in UTC or as the clock here shows it.
std::string now(const char* form, bool utc) {
  const std::time_t seconds = std::time(nullptr);
  std::tm parts{};
  utc ? ::gmtime_r(&seconds, &parts) : ::localtime_r(&seconds, &parts);
  char text[32];
  std::strftime(text, sizeof text, form, &parts);
  return text;
}

}  // namespace

app::InputPlace Desk::place() const {
  app::InputPlace place(record);
  place.files = false;
  place.today = now("%Y-%m-%d", true);
  return place;
}

Result<Json> object_in(const std::string& body) {
  auto json = json_from(body);
  if (!json) return json.error();
  if (!json->is_object()) return bad_input("expected a JSON object in the body of the call");
  return json;
}

Result<std::string> text_in(const Json& object, const char* name) {
  const auto found = object.find(name);
  if (found == object.end() || found->is_null()) return std::string();
  if (!found->is_string()) return bad_input("expected text", name);
  return found->get<std::string>();
}

Result<record::Entry> entry_by(const Desk& desk, const std::string& by, const std::string& why) {
  if (by.find_first_not_of(" \t") == std::string::npos)
    return bad_input("say who enters this: the record keeps a name with every entry", "by");
  return record::Entry{by, now("%Y-%m-%dT%H:%M:%SZ", true), why, desk.program};
}

std::string today() {
  return now("%Y-%m-%d", false);
}

Reply as_png(std::string bytes) {
  Reply reply;
  reply.type = "image/png";
  reply.body = std::move(bytes);
  return reply;
}

Reply as_json(std::string body) {
  Reply reply;
  reply.body = std::move(body);
  return reply;
}

Reply as_json(const Json& body) {
  return as_json(body.dump(-1, ' ', false, Json::error_handler_t::replace));
}

Reply answer(Desk& desk, const Asked& asked, std::string body) {
  switch (asked.call) {
    case Call::page:
      return page_call(asked);
    case Call::record:
      return record_call(desk);
    case Call::sheet:
      return sheet_call(desk, asked);
    case Call::history:
      return history_call(desk, asked);
    case Call::find:
      return find_call(desk, asked);
    case Call::keep:
      return keep_call(desk, body);
    case Call::correct_all:
      return correct_all_call(desk, body);
    case Call::withdraw:
      return withdraw_call(desk, body);
    case Call::readings_preview:
      return preview_call(desk, asked, body);
    case Call::readings:
      return readings_call(desk, asked, std::move(body));
    case Call::compute:
      return compute_call(desk, asked, body);
    case Call::rank:
      return rank_call(desk, body);
    case Call::job_start:
      return job_start_call(desk, asked, body);
    case Call::jobs:
      return jobs_call(desk);
    case Call::job:
      return job_call(desk, asked);
    case Call::job_cancel:
      return job_cancel_call(desk, asked);
    case Call::photograph:
      return photograph_call(desk, asked);
    case Call::tile:
      return tile_call(desk, asked);
    case Call::map:
      return map_call(desk, asked);
    case Call::report_file:
      return report_file_call(desk, asked);
    case Call::fill_picture:
      return fill_picture_call(desk, asked, body);
    case Call::colours:
      return colours_call(desk, body);
    case Call::result:
      return result_call(desk, asked);
    case Call::closing:
      return as_json(Json::object());
    case Call::photograph_put:
      break;  // its body goes to the disk, see `incoming`
  }
  return refusal(404, "nothing is here");
}

}  // namespace mendtone::bench
