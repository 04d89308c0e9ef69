// The tests that a visit can have, and what its files may be called. Whatever a client names is looked up here; no path
// is ever made from what it sent.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/test_form.h"

namespace risetrace::serve {

struct TestSlot {
  std::string name;  // of its folder and in addresses: "heel-raise-left-straight"
  std::string key;   // in sessions and the record: "heel-raise/left/straight"
  Test test = Test::heel_raise;
  Side side = Side::left;
  Knee knee = Knee::not_stated;
};

const std::vector<TestSlot>& all_slots();
const TestSlot* find_slot(std::string_view name);
const TestSlot* find_slot_by_key(std::string_view key);

struct ServedFile {
  std::string name;
  std::string mime;
};

// Of a measured test's result folder; of a screen's. Null for any other name.
const ServedFile* find_result_file(std::string_view name);
const ServedFile* find_screen_file(std::string_view name);

// What an uploaded clip is called here: "clip.mp4" where the given name ends in a known ending, else "clip.bin".
std::string clip_file_for(std::string_view given_name);
std::string mime_of_clip(std::string_view clip_file);

// The given name as it may be shown again: its last part, control characters gone, 120 bytes at most.
std::string shown_name(std::string_view given_name);

}  // namespace risetrace::serve
