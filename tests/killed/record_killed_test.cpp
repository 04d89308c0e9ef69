// Programs that write to the record, killed at any moment (SIGKILL), and several that write at once. What they said was
// kept is there, whole; what they were at is there whole or not at all. A kill is not a loss of power: what the disk
// itself had not written yet is not tested here.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <functional>
#include <map>
#include <set>
#include <thread>

#include "record/made_record.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;
using test::Desk;
using test::kept;
using test::opened;

// The N-th visit: the same for whoever writes it and whoever looks for it.
Visit visit_number(int n, const Desk& desk) {
  std::mt19937 engine(static_cast<unsigned>(n));
  const auto text = [&] { return "[\"" + std::string(engine() % 60000, static_cast<char>('a' + n % 26)) + "\"]"; };
  Visit visit{"P" + std::to_string(n % 5), "2" + std::to_string(100 + n / 28 / 12) + "-", {}, {}};
  const auto two = [](int value) { return (value < 10 ? "0" : "") + std::to_string(value); };
  visit.date += two(n / 28 % 12 + 1) + "-" + two(n % 28 + 1);
  visit.documents = {{Kind::session, "", text()}, {Kind::result, "hop/left", text()}, {Kind::screen, "", text()}};
  if (n % 3 == 0) visit.clips.push_back({"hop/left", desk / ("clip-" + std::to_string(n % 4))});
  return visit;
}

void make_clips(const Desk& desk) {
  for (unsigned i = 0; i < 4; ++i) test::made_clip(desk, "clip-" + std::to_string(i), 100000 * (i + 1), i);
}

bool is_whole(const Record& record, const KeptSession& session, const Visit& visit) {
  if (session.documents.size() != 3 || session.clips.size() != visit.clips.size()) return false;
  std::set<std::string> texts;
  for (const auto& one : session.documents) texts.insert(kept(record.text_of(one)));
  std::set<std::string> wanted;
  for (const auto& one : visit.documents) wanted.insert(one.json);
  if (texts != wanted) return false;
  for (const auto& one : session.clips) {
    if (test::read_bytes(one.file) != test::read_bytes(visit.clips.at(0).file)) return false;
  }
  return true;
}

// A child that does `work` and is killed after so long; what it wrote to the pipe by then.
std::vector<int> killed_at(std::chrono::microseconds after, const std::function<void(int)>& work) {
  std::array<int, 2> ends{};
  if (::pipe(ends.data()) != 0) throw std::runtime_error("no pipe");
  const pid_t child = ::fork();
  if (child == 0) {
    ::close(ends[0]);
    work(ends[1]);
    ::_exit(0);
  }
  ::close(ends[1]);
  std::this_thread::sleep_for(after);
  ::kill(child, SIGKILL);
  int state = 0;
  ::waitpid(child, &state, 0);
  std::vector<int> said;
  for (int n = 0; ::read(ends[0], &n, sizeof n) == static_cast<ssize_t>(sizeof n);) said.push_back(n);
  ::close(ends[0]);
  return said;
}

// How long it takes when nobody kills it; so the kills fall within it on any machine.
std::chrono::microseconds time_of(const std::function<void()>& work) {
  const auto begin = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - begin);
}

// Between nothing and half as long again as `whole`.
std::chrono::microseconds moment(std::mt19937& engine, std::chrono::microseconds whole) {
  return std::chrono::microseconds(engine() % static_cast<unsigned>(whole.count() * 3 / 2 + 1));
}

std::string shell_says(const fs::path& file) {
  std::string said;
  std::FILE* shell = ::popen(("sqlite3 '" + file.string() + "' 'PRAGMA integrity_check' 2>&1").c_str(), "r");
  for (int c = std::fgetc(shell); c != EOF; c = std::fgetc(shell)) said += static_cast<char>(c);
  ::pclose(shell);
  return said;
}

// Only a clip put in place whose visit was not: it can be cleared.
void expect_mendable(Record& record) {
  for (const auto& one : kept(record.verify(true))) {
    EXPECT_EQ(one.code, "clip-of-nobody") << one.text;
    EXPECT_TRUE(one.mended);
  }
  EXPECT_EQ(test::problems_of(record), "");
}

TEST(Killed, WhileSavingTwoHundredTimes) {
  std::mt19937 engine(20261126);
  int said_in_all = 0;
  int kills_in_work = 0;
  for (int round = 0; round < 10; ++round) {
    const Desk desk;
    make_clips(desk);
    std::map<std::string, int> said;  // code and date -> number
    int next = 0;
    for (int kill = 0; kill < 20; ++kill) {
      const auto numbers = killed_at(std::chrono::microseconds(engine() % 100000), [&](int to) {
        auto record = opened(desk.file());
        for (int n = next;; ++n) {
          if (!record.save_session(visit_number(n, desk))) ::_exit(1);
          (void)!::write(to, &n, sizeof n);
        }
      });
      ASSERT_TRUE(!fs::exists(desk.file()) || shell_says(desk.file()) == "ok\n")
          << "round " << round << " kill " << kill;
      auto record = opened(desk.file());
      expect_mendable(record);
      for (const int n : numbers) said[visit_number(n, desk).code + visit_number(n, desk).date] = n;
      said_in_all += static_cast<int>(numbers.size());
      kills_in_work += numbers.empty() ? 0 : 1;
      next = numbers.empty() ? next : numbers.back() + 1;
      std::size_t found = 0;
      for (const auto& person : kept(record.people())) {
        for (const auto& session : kept(record.sessions_of(person.code))) {
          ++found;
          const auto known = said.find(session.code + session.date);
          // At most the one that the child was at when it was killed was kept without a word of it.
          const int n = known == said.end() ? next : known->second;
          const Visit visit = visit_number(n, desk);
          ASSERT_EQ(session.code + session.date, visit.code + visit.date);
          ASSERT_TRUE(is_whole(record, session, visit)) << n;
          if (known == said.end()) said[visit.code + visit.date] = n;
        }
      }
      ASSERT_EQ(found, said.size());
    }
  }
  RecordProperty("said_to_be_kept", said_in_all);
  std::cout << said_in_all << " visits said to be kept, " << kills_in_work << " of 200 kills after the first of them\n";
  EXPECT_GT(said_in_all, 100) << "the kills came too early to show anything";
}

void fill_seven(const Desk& desk) {
  make_clips(desk);
  auto record = opened(desk.file());
  for (int n = 0; n < 7; ++n) kept(record.save_session(visit_number(n, desk)));
}

TEST(Killed, WhileErasing) {
  std::mt19937 engine(7);
  const Desk first;
  fill_seven(first);
  const auto whole = time_of([&] { kept(opened(first.file()).erase("P1")); });
  int gone = 0;
  for (int kill = 0; kill < 40; ++kill) {
    const Desk desk;
    fill_seven(desk);
    // The rows go early, the sweep takes most of the time: half of the kills are aimed at the first part.
    const auto finished = killed_at(moment(engine, kill % 2 == 0 ? whole : whole / 5), [&](int to) {
      auto record = opened(desk.file());
      const int done = record.erase("P1") ? 1 : 0;
      (void)!::write(to, &done, sizeof done);
      ::pause();
    });
    ASSERT_EQ(shell_says(desk.file()), "ok\n");
    auto record = opened(desk.file());
    expect_mendable(record);
    const auto left = record.sessions_of("P1");
    ASSERT_EQ(left.ok(), kept(record.receipts()).empty());
    ASSERT_TRUE(finished.empty() || !left.ok());
    if (left) {
      for (int i = 0; i < 2; ++i) {
        ASSERT_TRUE(is_whole(record, left->at(static_cast<std::size_t>(i)), visit_number(1 + 5 * i, desk)));
      }
    } else {
      ++gone;
      ASSERT_TRUE(test::files_with(desk.file().parent_path(), std::string(50, 'b')).empty());  // visit 1's letter
      ASSERT_TRUE(test::files_with(desk.file().parent_path(), std::string(50, 'g')).empty());  // visit 6's
    }
    const auto others = kept(record.sessions_of("P0"));
    ASSERT_EQ(others.size(), 2U);
    for (int i = 0; i < 2; ++i) {
      ASSERT_TRUE(is_whole(record, others.at(static_cast<std::size_t>(i)), visit_number(5 * i, desk)));
    }
  }
  std::cout << gone << " of 40 erasures were under way or done\n";
  EXPECT_GT(gone, 0);
  EXPECT_LT(gone, 40);
}

TEST(Killed, WhileImporting) {
  const Desk from;
  make_clips(from);
  {
    auto record = opened(from.file());
    for (int n = 0; n < 60; n += 5) kept(record.save_session(visit_number(n, from)));
    kept(record.export_person("P0", from / "out", {"a heron on one leg", {1, 8192}, ""}));
  }
  std::mt19937 engine(8);
  const Desk first;
  const auto whole = time_of([&] { kept(opened(first.file()).import(from / "out", "a heron on one leg")); });
  int taken = 0;
  for (int kill = 0; kill < 40; ++kill) {
    const Desk desk;
    const auto finished = killed_at(moment(engine, whole), [&](int to) {
      auto record = opened(desk.file());
      const int done = record.import(from / "out", "a heron on one leg") ? 1 : 0;
      (void)!::write(to, &done, sizeof done);
      ::pause();
    });
    auto record = opened(desk.file());
    expect_mendable(record);
    const auto people = kept(record.people());
    ASSERT_TRUE(finished.empty() || !people.empty());
    if (people.empty()) continue;
    ++taken;
    const auto sessions = kept(record.sessions_of("P0"));
    ASSERT_EQ(sessions.size(), 12U);
    for (int i = 0; i < 12; ++i) {
      ASSERT_TRUE(is_whole(record, sessions.at(static_cast<std::size_t>(i)), visit_number(5 * i, from)));
    }
  }
  std::cout << taken << " of 40 imports were done\n";
  EXPECT_GT(taken, 0);
  EXPECT_LT(taken, 40);
}

TEST(AtOnce, TwoThatSaveAndOneThatMends) {
  const Desk desk;
  make_clips(desk);
  opened(desk.file());
  const auto start = [&](const std::function<bool(Record&)>& work) {
    const pid_t child = ::fork();
    if (child != 0) return child;
    auto record = opened(desk.file());
    ::_exit(work(record) ? 0 : 1);
  };
  const auto saver = [&](int first) {
    return start([&, first](Record& record) {
      bool good = true;
      for (int n = first; n < 100; n += 2) good = good && record.save_session(visit_number(n, desk)).ok();
      return good;
    });
  };
  const pid_t even = saver(0);
  const pid_t odd = saver(1);
  const pid_t mender = start([](Record& record) {
    bool good = true;
    while (good && kept(record.people()).size() < 5) good = record.verify(true).ok();
    for (int i = 0; i < 20 && good; ++i) good = record.verify(true).ok();
    return good;
  });
  for (const pid_t child : {even, odd, mender}) {
    int state = 0;
    ::waitpid(child, &state, 0);
    EXPECT_EQ(state, 0);
  }
  auto record = opened(desk.file());
  EXPECT_EQ(test::problems_of(record), "");
  std::size_t found = 0;
  std::map<std::string, int> numbers;
  for (int n = 0; n < 100; ++n) numbers[visit_number(n, desk).code + visit_number(n, desk).date] = n;
  for (const auto& person : kept(record.people())) {
    for (const auto& session : kept(record.sessions_of(person.code))) {
      ++found;
      EXPECT_TRUE(is_whole(record, session, visit_number(numbers.at(session.code + session.date), desk)));
    }
  }
  EXPECT_EQ(found, 100U);
}

}  // namespace
}  // namespace risetrace::record
