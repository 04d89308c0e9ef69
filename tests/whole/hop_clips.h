// Clips of hops to run the program on, and what every test of them asks of the answer.
#pragma once

#include <string>

#include "whole/run.h"

namespace risetrace::test {

// Eight hops at 120 frames a second, quick to render; change it by a JSON merge patch.
nlohmann::json small_hops(const nlohmann::json& changes = {});

// The result of `measure --test hop`, held against the schema. A failure is the test's.
nlohmann::json measured_hops(const std::string& clip, const Words& more = {});

// Every landing that the clip shows is listed, none is invented, its frames are right within one, and the middle time
// on the ground is right within twice what is stated of it, where one is given.
void expect_true_hops(const nlohmann::json& result, const nlohmann::json& truth);

// Within twice what is stated and a millisecond, and that is not much.
void expect_true_sound_offset(const nlohmann::json& result, const nlohmann::json& truth);

// Nothing in the result that needs the clock or the sight of the ground.
void expect_no_ground_times(const nlohmann::json& result);

// The note's text, empty where there is none of the code. Also asks that no note begins small, lacks its full stop or
// stands there twice.
std::string note_of(const nlohmann::json& result, const std::string& code);

}  // namespace risetrace::test
