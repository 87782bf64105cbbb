#pragma once
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string>

#include "app/examples.hpp"
#include "bench/desk.hpp"
#include "bench/scratch.hpp"

namespace mendtone::bench {

/// A bench on a new record, asked as the page asks it: through the gate.
class Calls {
 public:
  explicit Calls(const std::string& record)
      : desk(record, "mendtone test", *ScreenColours::open(), *ScreenPixels::open()) {
    open_record(record);
  }

  Reply call(const std::string& method, const std::string& path, const std::string& body = {}) {
    Head head{method,
              "/" + address.secret + path,
              {{"Host", "127.0.0.1:1"},
               {"X-Mendtone", "1"},
               {"Content-Length", std::to_string(body.size())}}};
    auto decision = admit(head, address);
    if (auto* refused = std::get_if<Reply>(&decision)) return *refused;
    const Asked& asked = std::get<Asked>(decision);
    if (asked.body != BodyWay::disk) return answer(desk, asked, body);
    auto to = incoming(desk, asked);
    if (!to) return refusal(to.error());
    if (auto kept = (*to)->piece(body.data(), body.size()); !kept) return refusal(kept.error());
    return (*to)->finish();
  }

  Json get(const std::string& path) { return sound(call("GET", path), path); }
  Json post(const std::string& path, const Json& body) {
    return sound(call("POST", path, body.dump()), path + " " + body.dump());
  }
  Json send(const std::string& path, const std::string& bytes) {
    return sound(call("POST", path, bytes), path);
  }
  int status(const std::string& path, const Json& body) {
    return call("POST", path, body.dump()).status;
  }
  Json keep(const std::string& kind, const Json& columns) {
    return post("/api/keep", {{"kind", kind}, {"columns", columns}, {"by", "K. Bay"}});
  }
  /// The result of a job, when it is over.
  Json job(const std::string& verb, const Json& body, const std::string& more = {}) {
    const Json started = post("/api/jobs?verb=" + verb + more, body);
    const std::string path = "/api/jobs/" + std::to_string(started["job"].get<int>());
    while (true) {
      Json facts = get(path);
      if (facts["state"] != "waiting" && facts["state"] != "running") return facts;
      std::this_thread::yield();
    }
  }

  Desk desk;
  Address address{"secret-of-the-test-0123456789abcdefghijklmn", 1};

 private:
  static void open_record(const std::string& path);
  static Json sound(const Reply& reply, const std::string& what) {
    EXPECT_LT(reply.status, 300) << what << '\n' << reply.body;
    Json json = Json::parse(reply.body, nullptr, false);
    EXPECT_FALSE(json.is_discarded()) << what << '\n' << reply.body;
    return json;
  }
};

inline std::string kestrel_bay(const std::string& name) {
  std::ifstream file(test::example(name), std::ios::binary);
  EXPECT_TRUE(file) << name;
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace mendtone::bench
