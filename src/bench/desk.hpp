#pragma once
#include <mutex>
#include <nlohmann/json.hpp>
#include <string>

#include "bench/gate.hpp"
#include "bench/http.hpp"
#include "bench/jobs.hpp"
#include "bench/tiles.hpp"
#include "formats/json_gate.hpp"
#include "mendtone/adapters/screen_colour.hpp"
#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/app/record/keep.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/app/tissue/ready_drawer.hpp"
#include "mendtone/record/values.hpp"

// The calls of the page, each to a use-case of `app`; nothing is computed here.
namespace mendtone::bench {

using Json = nlohmann::ordered_json;

/// What the calls share while the program runs.
struct Desk {
  Desk(std::string record_in, std::string program_in, ScreenColours colours_in,
       ScreenPixels pixels_in)
      : record(std::move(record_in)),
        program(std::move(program_in)),
        colours(std::move(colours_in)),
        pixels(std::move(pixels_in)),
        tiles(photographs() + "/.tiles", pixels) {}

  std::string record, program;
  ScreenColours colours;
  ScreenPixels pixels;
  Tiles tiles;
  app::ReadyDrawer drawer;
  std::atomic<int> computing{0};  ///< requests that wait for a result
  std::mutex large_files;         ///< held while one is read: several would fill the memory
  Jobs jobs{2};

  /// Names from the page mean what the record keeps, never a file of the disk.
  app::InputPlace place() const;
  /// Where photographs that are brought are kept: beside the record.
  std::string photographs() const;
  /// Where the maps of a change from one photograph to another are drawn, without their endings.
  std::string maps(std::int64_t before, std::int64_t after) const;
};

/// Answers a request that has passed the gate.
Reply answer(Desk& desk, const Asked& asked, std::string body);
/// Takes a photograph's bytes. Nothing stays of one that is cut short or refused.
Result<std::unique_ptr<Incoming>> incoming(Desk& desk, const Asked& asked);
/// Takes away what a program that was killed had begun to receive, to draw or to make ready.
void sweep_left_over(const Desk& desk);

// What the calls' files share.

/// A body that is a JSON object; refuses another, in her words.
Result<Json> object_in(const std::string& body);
/// A text of the object; empty where it is not there. Refuses what is not text.
Result<std::string> text_in(const Json& object, const char* name);

/// Of a reading that is kept, what was said of it may be corrected; what the instrument read stays.
Result<void> only_what_is_said(const app::Written& columns);
/// Who enters something now. Refuses an empty `by`.
Result<record::Entry> entry_by(const Desk& desk, const std::string& by,
                               const std::string& why = {});
/// Today, here, as it is printed.
std::string today();
/// JSON text as it is, with status 200.
Reply as_json(std::string body);
/// The bytes of a picture.
Reply as_png(std::string bytes);
Reply as_json(const Json& body);

/// The answer of a use-case, or its refusal.
template <class Answer>
Reply reply_of(const Result<Answer>& answer) {
  return answer ? as_json(to_json(*answer)) : refusal(answer.error());
}

// things.cpp
Reply record_call(Desk&);
Reply sheet_call(Desk&, const Asked&);
Reply history_call(Desk&, const Asked&);
Reply find_call(Desk&, const Asked&);
Reply keep_call(Desk&, const std::string& body);
Reply correct_all_call(Desk&, const std::string& body);
Reply withdraw_call(Desk&, const std::string& body);
Reply result_call(Desk&, const Asked&);

// readings.cpp
Reply preview_call(Desk&, const Asked&, const std::string& body);
Reply readings_call(Desk&, const Asked&, std::string body);

// work.cpp
Reply compute_call(Desk&, const Asked&, const std::string& body);
Reply rank_call(Desk&, const std::string& body);
Reply job_start_call(Desk&, const Asked&, const std::string& body);
Reply jobs_call(Desk&);
Reply job_call(Desk&, const Asked&);
Reply job_cancel_call(Desk&, const Asked&);

// pictures.cpp
Reply colours_call(Desk&, const std::string& body);
Reply fill_picture_call(Desk&, const Asked&, const std::string& body);

// photographs.cpp
Reply photograph_call(Desk&, const Asked&);
Reply tile_call(Desk&, const Asked&);
Reply map_call(Desk&, const Asked&);

// reports.cpp
/// Makes the report of a sheet, for a job.
Result<Work> report_work(Desk&, const Asked&, const std::string& body);
Reply report_file_call(Desk&, const Asked&);

// page.cpp
Reply page_call(const Asked&);

}  // namespace mendtone::bench
