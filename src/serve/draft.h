// An open visit: what the page has entered so far and what has come of its clips.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>

#include "serve/refusal.h"

namespace risetrace::serve {

enum class TestState { empty, uploading, waiting, measuring, measured, failed, cancelled };
const char* key_of(TestState state);

struct UploadPlan {
  std::string token;
  std::string name;  // as the client calls it
  std::uint64_t bytes = 0;
  std::string modified;  // whatever the client says to tell two files of one name and size apart; may be empty
  bool whole = false;    // all of it came: it takes the clip's place
};

struct DraftTest {
  TestState state = TestState::empty;
  std::string stage;  // of measuring
  double share = 0;   // of that stage
  std::optional<Failure> failure;
  std::optional<UploadPlan> upload;
  std::string clip_file;  // in the slot's folder; empty: there is none
  std::string clip_name;  // as it was uploaded, for the eye
  std::string options_json = "{}";
  std::string measured_at;  // UTC; empty: not measured
  int corrections = 0;
  int broken_off = 0;  // how often a server ended while it was measured
};

enum class ScreenState { none, running, ready, failed };
const char* key_of(ScreenState state);

struct DraftScreen {
  ScreenState state = ScreenState::none;
  std::optional<Failure> failure;
  std::string made_at;  // UTC
  int of_revision = 0;  // the session's, that it was made of
  int of_tests_revision = 0;
  bool kept = false;  // in the record, as it is
};

struct Draft {
  std::string id;
  int revision = 1;        // of the session; goes up with each change of it
  int tests_revision = 0;  // goes up with each result that comes or goes
  bool quick = false;
  std::string made_at;                     // UTC
  std::string session_json = "{}";         // as the page sees it: without files, which are ours to name
  std::map<std::string, DraftTest> tests;  // by slot name; one that is not here is empty
  DraftScreen screen;
  std::filesystem::path folder;

  // The papers were made, of something that has changed since.
  [[nodiscard]] bool has_stale_papers() const {
    return screen.state == ScreenState::ready &&
           (screen.of_revision != revision || screen.of_tests_revision != tests_revision);
  }
  [[nodiscard]] std::filesystem::path folder_of(const std::string& slot) const { return folder / slot; }
};

}  // namespace risetrace::serve
