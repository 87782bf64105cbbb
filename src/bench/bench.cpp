#include "bench/bench.hpp"

#include <malloc.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <iostream>

#include "bench/desk.hpp"
#include "bench/launch.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"

namespace mendtone::bench {
namespace {

/// A record that cannot be opened is said before a page is.
Result<void> check_record(const BenchRequest& request) {
  if (request.new_record)
    if (auto made = new_record(request.record); !made) return made;
  auto store = open_record(request.record, Opening::must_exist);
  if (!store) return store.error();
  for (const std::string& note : {(*store)->reading_only(), place_note(request.record)})
    if (!note.empty()) std::cerr << "mendtone: " << note << "\n";
  return hold_record(request.record);
}

Service service_of(Desk& desk, const Address& address) {
  Service service;
  service.admit = [&address](const Head& head) { return admit(head, address); };
  service.answer = [&desk](const Asked& asked, std::string body) {
    return answer(desk, asked, std::move(body));
  };
  service.incoming = [&desk](const Asked& asked) { return incoming(desk, asked); };
  return service;
}

/// The same for a record at each launch, so that the drafts that a browser keeps by address are
/// found again.
int usual_port(const std::string& record) {
  std::error_code ignored;
  const auto path = std::filesystem::weakly_canonical(record, ignored).string();
  // Above those that Linux hands out by itself, or a passing connection might hold it.
  constexpr int first = 61000, count = 4500;
  return first + static_cast<int>(std::stoul(sha256(path).substr(0, 7), nullptr, 16) % count);
}

Result<int> open_port(HttpServer& server, const BenchRequest& request) {
  if (request.port) return server.open(request.port);
  auto usual = server.open(usual_port(request.record));
  return usual ? usual : server.open({});
}

void show_address(const std::string& address, bool browser, BrowserStart& start) {
  std::cout << address << std::endl;
  std::cerr << "mendtone: the bench is open at the address above, for this machine and this launch "
               "only; Ctrl-C closes it\n";
  if (!browser) return;
  if (auto opened = start.open(address); !opened)
    std::cerr << "mendtone: " << opened.error().text() << "; open the address yourself\n";
}

}  // namespace

Result<void> bench(const BenchRequest& request) {
  // Of the C library's many heaps, one a thread, each would keep what its largest request used.
  ::mallopt(M_ARENA_MAX, 2);
  if (auto sound = check_record(request); !sound) return sound;
  auto secret = new_secret();
  if (!secret) return secret.error();
  auto colours = ScreenColours::open();
  if (!colours) return colours.error();
  auto pixels = ScreenPixels::open();
  if (!pixels) return pixels.error();
  auto stop = hold_signals();
  if (!stop) return stop.error();
  Desk desk(request.record, request.program, *std::move(colours), *std::move(pixels));
  sweep_left_over(desk);
  sweep_left_over_folders();
  Address address{*secret, 0};
  const Patience patience;
  HttpServer server(service_of(desk, address), patience);
  auto port = open_port(server, request);
  if (!port) return port.error();
  address.port = *port;
  BrowserStart start;
  show_address("http://127.0.0.1:" + std::to_string(*port) + "/" + *secret + "/",
               !request.no_browser && has_screen(), start);
  auto ended = server.serve(*stop);
  ::close(*stop);
  if (!ended) return ended.error();
  const bool jobs_ended = desk.jobs.close(patience.closing_seconds);
  if (*ended && jobs_ended) return {};
  // Whatever still runs is given up; the record keeps a thing whole or not at all.
  std::cerr
      << "mendtone: closed while something was still being computed; nothing of it was kept\n";
  std::cout.flush();
  std::_Exit(0);
}

}  // namespace mendtone::bench
