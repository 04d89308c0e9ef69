// One visit of one person as it was written down: who, which cautions, what was tested and how each number was got.
#pragma once

#include <compare>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/test_form.h"

namespace risetrace::visit {

enum class Sex { not_stated, female, male, other };

struct Person {
  std::string code;  // never a name
  std::optional<int> birth_year;
  Sex sex = Sex::not_stated;
  std::optional<double> height_cm;
  std::optional<double> mass_kg;
  std::string sport;
  Side affected_side = Side::not_stated;  // injured or weaker
  bool affected_none = false;             // said to be neither
};

enum class Answer { not_asked, no, yes };

// What a number is of. At most one entry a slot and visit.
struct Slot {
  Test test = Test::heel_raise;
  Side side = Side::left;
  Knee knee = Knee::not_stated;  // heel raises only

  auto operator<=>(const Slot&) const = default;
};

std::string key_of(const Slot& slot);  // "heel-raise/left/straight", "hop/both"

enum class GotBy { clip, result, hand };
const char* key_of(GotBy got_by);  // "clip", "result", "by-hand"

// 0 .. 10; empty: not asked.
struct Pain {
  std::optional<int> before;
  std::optional<int> worst;
  std::optional<int> after;
};

// How a clip is to be measured: the options of `measure`, each empty where its default holds.
struct ClipOptions {
  std::string card = "tags";
  std::optional<double> card_offset_cm;
  std::optional<double> distance_m;
  std::optional<double> px_per_cm;
  std::optional<Point> heel_px;
  std::optional<Point> forefoot_px;
  std::optional<Point> ankle_px;
  std::optional<Point> knee_px;
  std::optional<Point> hip_px;
  std::optional<Point> toe_px;
  std::optional<double> wall_px;
  std::optional<double> end_fraction;
  std::optional<int> end_after;
  std::optional<int> reference_reps;
  std::optional<double> beat_bpm;
  std::optional<double> capture_fps;
};

struct TestEntry {
  Slot slot;
  GotBy got_by = GotBy::clip;
  std::filesystem::path file;             // of a clip or a result; taken from the session's folder on
  std::filesystem::path clip_of_result;   // what a result was measured of, to be kept with it; may be empty
  ClipOptions options;                    // of a clip
  std::map<std::string, double> by_hand;  // quantity -> value, in the unit that ends its key
  std::optional<double> incline_deg;      // of the floor under the foot
  std::string marker;                     // where the sticker was: "heel", "malleolus"; empty: heel
  Pain pain;
  std::string remark;
  bool keep_clip = false;  // in the record
};

struct Session {
  std::string date;  // ISO 8601, "2026-03-02"
  Person person;
  std::map<std::string, Answer> cautions;  // question -> answer; one that is not here was not asked
  std::string shoes;
  std::string tester;
  std::string remark;
  std::vector<TestEntry> tests;
  std::vector<std::filesystem::path> earlier;  // screen.json of earlier visits
  std::optional<std::filesystem::path> training_log;
};

}  // namespace risetrace::visit
