#include <filesystem>

#include "bench/desk.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/report/report.hpp"

// The report of a sheet: made by a job, then served file by file.
namespace mendtone::bench {
namespace {

/// Beside the record, a folder a sheet, by its number: its name may be no name of a folder.
Result<std::string> folder_of(const Desk& desk, const std::string& sheet) {
  auto store = open_record(desk.record, Opening::must_exist);
  if (!store) return store.error();
  auto found = record::current<record::Sheet>(**store, {{{"name", record::Cell{sheet}}}, false});
  if (!found) return found.error();
  if (found->empty()) return bad_input("the record has no sheet of this name", sheet);
  return desk.record + ".reports/sheet-" + std::to_string(found->front().id);
}

std::string_view type_of(const std::string& file) {
  if (file == "report.html") return "text/html; charset=utf-8";
  if (file == "report.pdf") return "application/pdf";
  if (file == "report.csv") return "text/csv; charset=utf-8";
  return file == "report.json" ? "application/json" : "";
}

Result<app::ReportRequest> request_of(const Desk& desk, const Asked& asked,
                                      const std::string& body) {
  auto object = object_in(body);
  if (!object) return object.error();
  app::ReportRequest request;
  for (const auto& [name, to] : {std::pair<const char*, std::string*>{"sheet", &request.sheet},
                                 {"chosen", &request.chosen},
                                 {"notice", &request.notice},
                                 {"title", &request.title},
                                 {"laboratory", &request.laboratory}}) {
    auto text = text_in(*object, name);
    if (!text) return text.error();
    *to = *std::move(text);
  }
  request.record = desk.record;
  request.lamps = desk.place();
  request.operator_name = asked.value("by");
  request.date = today();
  request.program_version = desk.program;
  return request;
}

/// What was made, without where on the disk.
std::string told(const app::ReportAnswer& answer) {
  Json json = json_of_ours(to_json(answer));
  json["files"] = Json::array();
  for (const std::string& file : answer.files)
    json["files"].push_back(std::filesystem::path(file).filename().string());
  return Json{{"answered", true}, {"result", std::move(json)}}.dump();
}

}  // namespace

Result<Work> report_work(Desk& desk, const Asked& asked, const std::string& body) {
  auto request = request_of(desk, asked, body);
  if (!request) return request.error();
  auto folder = folder_of(desk, request->sheet);
  if (!folder) return folder.error();
  request->folder = *folder;
  return Work([request = *std::move(request)](Watch& watch) -> Result<std::string> {
    if (auto going = watch.step("writing the report"); !going) return going.error();
    std::error_code fault;
    std::filesystem::create_directories(request.folder, fault);
    if (fault) return outside_world("cannot make the folder: " + fault.message(), request.folder);
    auto answer = app::report(request);
    if (!answer) return answer.error();
    return told(*answer);
  });
}

Reply report_file_call(Desk& desk, const Asked& asked) {
  const std::string& file = asked.parts[1];
  const std::string_view type = type_of(file);
  if (type.empty()) return refusal(404, "nothing is here");
  auto folder = folder_of(desk, asked.parts[0]);
  if (!folder) return refusal(404, folder.error().message);
  auto bytes = read_file(*folder + "/" + file);
  if (!bytes) return refusal(404, "the report of this sheet was not made yet");
  Reply reply;
  reply.type = type;
  reply.body = *std::move(bytes);
  reply.document = file == "report.html";  // a browser shows no PDF in a sandbox
  return reply;
}

}  // namespace mendtone::bench
