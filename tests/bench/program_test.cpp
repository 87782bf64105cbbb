#include "bench/program.hpp"

#include <signal.h>

#include <filesystem>
#include <fstream>
#include <thread>

#include "bench/client.hpp"
#include "bench/scratch.hpp"

// The program itself, as a person starts and ends it.
namespace mendtone::bench::program_test {
namespace {

TEST(BenchProgram, PrintsAnAddressThatOpensThePage) {
  Scratch scratch;
  Program program(scratch, opening(scratch / "new.record"));
  const Printed at = parts_of(program.line());
  EXPECT_GE(at.secret.size(), 32u);
  Client client(at.port);
  client.say(head(at, "GET /" + at.secret + "/"));
  const std::string page = client.reply();
  EXPECT_EQ(status_of(page), 200);
  EXPECT_NE(page.find("<html"), std::string::npos);
  EXPECT_TRUE(std::filesystem::exists(scratch / "new.record"));
  client.say(head(at, "GET /"));
  EXPECT_EQ(status_of(client.reply()), 404);
  program.tell(SIGINT);
  EXPECT_EQ(program.exit_code(), 0);
  EXPECT_EQ(program.errors().find(at.secret), std::string::npos);
}

TEST(BenchProgram, EverySecretIsAnother) {
  Scratch scratch;
  Program one(scratch, opening(scratch / "a.record"));
  const std::string secret = parts_of(one.line()).secret;
  Program other(scratch, opening(scratch / "a.record"));
  EXPECT_NE(parts_of(other.line()).secret, secret);
}

/// A browser keeps drafts by address: a record comes back at the same port, where that is free.
TEST(BenchProgram, ARecordKeepsItsPort) {
  Scratch scratch;
  std::vector<int> ports;
  for (int launch = 0; launch < 2; ++launch) {
    Program program(scratch, opening(scratch / "a.record"));
    ports.push_back(parts_of(program.line()).port);
    if (launch == 1) {
      Program beside(scratch, opening(scratch / "a.record"));
      EXPECT_NE(parts_of(beside.line()).port, ports.back()) << "it is taken";
    }
    program.tell(SIGTERM);
    EXPECT_EQ(program.exit_code(), 0);
  }
  EXPECT_EQ(ports[0], ports[1]);
}

TEST(BenchProgram, ASignalRightAfterTheAddressIsObeyed) {
  for (int signal : {SIGTERM, SIGINT, SIGHUP})
    for (int i = 0; i < 3; ++i) {
      Scratch scratch;
      Program program(scratch, opening(scratch / "a.record"));
      ASSERT_NE(program.line(), "");
      program.tell(signal);
      EXPECT_EQ(program.exit_code(), 0) << signal;
    }
}

TEST(BenchProgram, ClosingWhileAPhotographArrivesLeavesNothingOfIt) {
  Scratch scratch;
  Program program(scratch, opening(scratch / "a.record"));
  const Printed at = parts_of(program.line());
  Client client(at.port);
  client.say(head(at, "PUT /" + at.secret + "/api/photograph?name=a.png&sheet=x&by=K",
                  "Content-Length: 100000\r\nExpect: 100-continue\r\n"));
  EXPECT_EQ(status_of(client.reply()), 100);
  client.say(std::string(5000, 'x'));
  program.tell(SIGTERM);
  EXPECT_EQ(program.exit_code(), 0);
  std::error_code none;
  for (const auto& entry :
       std::filesystem::directory_iterator(scratch / "a.record.photographs", none))
    ADD_FAILURE() << entry.path();
}

/// A limit on the size of files ends a program by a signal, unless it is ignored; it is said like a
/// full disk.
TEST(BenchProgram, AFileThatMayNotGrowIsSaid) {
  Scratch scratch;
  const std::string record = scratch / "a.record", program = MENDTONE_PROGRAM;
  const auto limited = [&](const std::string& words) {
    const int status =
        std::system(("ulimit -f 4; '" + program + "' record " + words + " '" + record + "' > '" +
                     scratch / "out" + "' 2> '" + scratch / "err" + "'")
                        .c_str());
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  };
  EXPECT_EQ(limited("new"), 4);
  EXPECT_FALSE(std::filesystem::exists(record));
  ASSERT_EQ(std::system(("'" + program + "' record new '" + record + "' > /dev/null").c_str()), 0);
  EXPECT_EQ(limited("note x --by K --record"), 4);
  std::ifstream said(scratch / "err");
  const std::string words{std::istreambuf_iterator<char>(said), {}};
  EXPECT_NE(words.find("the disk is full"), std::string::npos) << words;
  // What was kept is still read, without the files that SQLite lays beside a record.
  EXPECT_EQ(limited("show --record"), 0);
}

/// Where an answer is kept is said; one that cannot be kept is printed all the same.
TEST(BenchProgram, AnAnswerSaysWhereItIsKept) {
  Scratch scratch;
  const std::string record = scratch / "a.record";
  std::ofstream(scratch / "margin.csv")
      << "name,role,scale,400,450,500,550,600,650,700\n"
         "margin,target,fraction,0.40,0.48,0.55,0.61,0.66,0.69,0.71\n";
  const std::vector<std::string> words{
      "tone",      scratch / "margin.csv", "--record", record, "--by", "K. Bay", "--keep-as",
      "first tone"};
  Program nowhere(scratch, words);
  nowhere.all();
  EXPECT_EQ(nowhere.exit_code(), 4) << "a mistyped record is not made";
  Program make(scratch, {"record", "new", record});
  make.all();
  ASSERT_EQ(make.exit_code(), 0);
  Program kept(scratch, words);
  EXPECT_NE(kept.all().find("margin"), std::string::npos);
  EXPECT_EQ(kept.exit_code(), 0);
  EXPECT_NE(kept.errors().find("kept in " + record + " as 'first tone'"), std::string::npos)
      << kept.errors();
  // No file may grow: nothing can be kept.
  const int status = std::system(
      ("ulimit -f 4; '" MENDTONE_PROGRAM "' tone '" + (scratch / "margin.csv") + "' --record '" +
       record + "' --by K > '" + (scratch / "out") + "' 2> '" + (scratch / "err") + "'")
          .c_str());
  EXPECT_EQ(WEXITSTATUS(status), 4);
  std::ifstream out(scratch / "out");
  const std::string printed{std::istreambuf_iterator<char>(out), {}};
  EXPECT_NE(printed.find("margin"), std::string::npos) << printed;
}

TEST(BenchProgram, WhatCannotBeOpenedIsSaidBeforeAPageIs) {
  Scratch scratch;
  std::ofstream(scratch / "words.txt") << "no record";
  Program other(scratch, {"bench", "--record", scratch / "words.txt", "--no-browser"});
  EXPECT_EQ(other.line(), "");
  EXPECT_EQ(other.exit_code(), 3);
  EXPECT_NE(other.errors().find("words.txt"), std::string::npos);
  Program nowhere(scratch, {"bench", "--record", scratch / "no/where.record", "--no-browser"});
  EXPECT_EQ(nowhere.exit_code(), 4);
  Program missing(scratch, {"bench", "--record", scratch / "a.record", "--no-browser"});
  EXPECT_EQ(missing.exit_code(), 4);
  EXPECT_FALSE(std::filesystem::exists(scratch / "a.record")) << "only a first start makes one";
  Program wrong(scratch, {"bench", "--record", scratch / "a.record", "--port", "0"});
  EXPECT_EQ(wrong.exit_code(), 2);
}

}  // namespace
}  // namespace mendtone::bench::program_test
