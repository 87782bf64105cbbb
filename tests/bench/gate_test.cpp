#include "bench/gate.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

// The rules are those of RFC 9110 (methods, Content-Length), RFC 3986 (percent-encoding), the Fetch
// standard (Origin, Sec-Fetch-Site) and, against rebinding, the Host check.
namespace mendtone::bench::gate_test {
namespace {

const Address here{"0123456789abcdefghijklmnopqrstuvwxyzABCDEFG", 4711};

Head get(const std::string& path) {
  return {"GET", "/" + here.secret + path, {{"Host", "127.0.0.1:4711"}}};
}

Head post(const std::string& path, const std::string& length = "2") {
  return {"POST",
          "/" + here.secret + path,
          {{"Host", "localhost:4711"},
           {"Origin", "http://localhost:4711"},
           {"X-Mendtone", "1"},
           {"Content-Length", length}}};
}

int status(const Head& head) {
  const auto decision = admit(head, here);
  const auto* refused = std::get_if<Reply>(&decision);
  return refused ? refused->status : 200;
}

Asked asked(const Head& head) {
  return std::get<Asked>(admit(head, here));
}

void set(Head& head, const std::string& name, const std::string& value) {
  for (auto& field : head.fields)
    if (field.first == name) {
      field.second = value;
      return;
    }
  head.fields.push_back({name, value});
}

TEST(Gate, AdmitsThePageAndItsCalls) {
  EXPECT_EQ(asked(get("/")).call, Call::page);
  EXPECT_EQ(asked(get("/bench.js")).parts, std::vector<std::string>{"bench.js"});
  EXPECT_EQ(asked(get("/api/record")).call, Call::record);
  EXPECT_EQ(asked(post("/api/keep")).call, Call::keep);
  EXPECT_EQ(asked(post("/api/keep")).body_bytes, 2u);
}

TEST(Gate, ValuesAreDecoded) {
  const Asked sheet = asked(get("/api/sheet?name=Bl%C3%A4tter+2%2f3&x="));
  EXPECT_EQ(sheet.value("name"), "Bl\xC3\xA4tter 2/3");
  EXPECT_EQ(sheet.value("x"), "");
  EXPECT_EQ(asked(get("/api/jobs/17")).parts, std::vector<std::string>{"17"});
}

TEST(Gate, AForeignHostIsRefusedBeforeAnythingElse) {
  for (const char* host : {"evil.example", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:47110",
                           "localhost:4711.evil.example", "[::1]:4711", ""}) {
    Head head = get("/");
    set(head, "Host", host);
    EXPECT_EQ(status(head), 403) << host;
    head.target = "/nothing";
    EXPECT_EQ(status(head), 403) << host;
  }
  Head none = get("/");
  none.fields.clear();
  EXPECT_EQ(status(none), 403);
  Head two = get("/");
  two.fields.push_back({"host", "evil.example"});
  EXPECT_EQ(status(two), 403);
}

TEST(Gate, WithoutTheSecretNothingIsHere) {
  std::string other = here.secret;
  other.back() = other.back() == 'x' ? 'y' : 'x';
  for (const std::string& target :
       {std::string("/"), std::string("/api/record"), "/" + here.secret, "/" + other + "/",
        "/" + here.secret.substr(1) + "/", "//" + here.secret + "/", "/" + here.secret + "x/",
        "http://127.0.0.1:4711/" + here.secret + "/", std::string("*"), std::string()}) {
    Head head = get("/");
    head.target = target;
    EXPECT_EQ(status(head), 404) << target;
  }
}

TEST(Gate, NoRefusalSaysTheSecret) {
  Head head = get("/api/nothing");
  EXPECT_EQ(std::get<Reply>(admit(head, here)).body.find(here.secret), std::string::npos);
  head = post("/api/keep", "99999999999");
  EXPECT_EQ(std::get<Reply>(admit(head, here)).body.find(here.secret), std::string::npos);
}

TEST(Gate, AForeignOriginIsRefused) {
  for (const char* origin : {"http://evil.example", "null", "https://localhost:4711",
                             "http://localhost:4712", "http://localhost:4711.evil.example"}) {
    Head head = post("/api/keep");
    set(head, "Origin", origin);
    EXPECT_EQ(status(head), 403) << origin;
  }
  Head head = get("/api/record");
  head.fields.push_back({"Sec-Fetch-Site", "cross-site"});
  EXPECT_EQ(status(head), 403);
  set(head, "Sec-Fetch-Mode", "navigate");
  set(head, "Sec-Fetch-Dest", "document");
  EXPECT_EQ(status(head), 403);
  set(head, "Sec-Fetch-Site", "same-origin");
  EXPECT_EQ(status(head), 200);
}

// The file that opens the browser is another site to it.
TEST(Gate, ThePageMayBeGoneToFromElsewhereButNotBeLoadedThere) {
  Head head = get("/");
  set(head, "Sec-Fetch-Site", "cross-site");
  EXPECT_EQ(status(head), 403);
  set(head, "Sec-Fetch-Mode", "navigate");
  set(head, "Sec-Fetch-Dest", "iframe");
  EXPECT_EQ(status(head), 403);
  set(head, "Sec-Fetch-Dest", "document");
  EXPECT_EQ(status(head), 200);
}

TEST(Gate, WhatChangesSomethingNeedsTheHeaderThatNoFormCanSend) {
  Head head = post("/api/keep");
  set(head, "X-Mendtone", "2");
  EXPECT_EQ(status(head), 403);
  head.fields.pop_back();
  head.fields.pop_back();
  EXPECT_EQ(status(head), 403);
}

TEST(Gate, NoPathLeadsOut) {
  for (const char* path :
       {"/../etc/passwd", "/..%2f..%2fetc%2fpasswd", "/%2e%2e/x", "/./bench.js", "/api//record",
        "/a%00b", "/a%5cb", "/%zz", "/%", "/a/b/c", "/api/jobs/-1", "/api/jobs/1x", "/api/jobs/",
        "/api/jobs/9999999999999999999", "/%ff%fe", "/api/record/"})
    EXPECT_EQ(status(get(path)), 404) << path;
}

TEST(Gate, BodiesComeWithTheirLengthAndWithinTheLimit) {
  EXPECT_EQ(status(post("/api/keep", "1048576")), 200);
  EXPECT_EQ(status(post("/api/keep", "1048577")), 413);
  EXPECT_EQ(status(post("/api/keep", "18446744073709551618")), 400);
  for (const char* length : {"-1", "1 ", "0x10", "1,1", "", "+1"})
    EXPECT_EQ(status(post("/api/keep", length)), 400) << length;
  Head twice = post("/api/keep");
  twice.fields.push_back({"content-length", "3"});
  EXPECT_EQ(status(twice), 400);
  Head chunked = post("/api/keep");
  chunked.fields.push_back({"Transfer-Encoding", "chunked"});
  EXPECT_EQ(status(chunked), 411);
  Head none = post("/api/keep");
  none.fields.pop_back();
  EXPECT_EQ(status(none), 411);
  Head packed = post("/api/keep");
  packed.fields.push_back({"Content-Encoding", "gzip"});
  EXPECT_EQ(status(packed), 411);
  Head get_with_body = get("/");
  get_with_body.fields.push_back({"Content-Length", "5"});
  EXPECT_EQ(status(get_with_body), 400);
}

TEST(Gate, OtherMethodsAndBrokenQueriesAreRefused) {
  Head head = get("/api/keep");
  EXPECT_EQ(status(head), 405);
  head = post("/api/record");
  EXPECT_EQ(status(head), 405);
  for (const char* query : {"?a=%", "?=1", "?a=1&a=2", "?a=%00", "?a=%ff"})
    EXPECT_EQ(status(get(std::string("/api/record") + query)), 400) << query;
}

TEST(Gate, RefusalsAreJsonWithMessageAndPlace) {
  const Reply reply = refusal(bad_input("expected a \"name\"", "line 3"));
  EXPECT_EQ(reply.status, 400);
  const auto json = nlohmann::json::parse(reply.body);
  EXPECT_EQ(json["error"]["message"], "expected a \"name\"");
  EXPECT_EQ(json["error"]["where"], "line 3");
  EXPECT_EQ(refusal(outside_world("x")).status, 500);
  EXPECT_EQ(refusal(outside_world("cannot write: No space left on device")).status, 507);
  EXPECT_NO_THROW(refusal(400, "\xff\xfe"));
}

TEST(Gate, SecretsAreComparedWhole) {
  EXPECT_TRUE(same_secret("abc", "abc"));
  EXPECT_FALSE(same_secret("abc", "abd"));
  EXPECT_FALSE(same_secret("abc", "ab"));
  EXPECT_FALSE(same_secret("", "a"));
}

}  // namespace
}  // namespace mendtone::bench::gate_test
