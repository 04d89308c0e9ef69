#include <cmath>
#include <nlohmann/json.hpp>

#include "report/json_number.h"
#include "report/screen_keys.h"
#include "report/screen_parts.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;

constexpr int trace_s_decimals = 6;  // as trace.csv
constexpr int trace_cm_decimals = 4;

// A folder's name may be a person's.
Json file_json(const std::filesystem::path& file) { return text(file.filename().string()); }

Json person_json(const visit::Person& person) {
  return {{"code", person.code},
          {"birth_year", whole(person.birth_year)},
          {"sex", stated(person.sex)},
          {"height_cm", exact(person.height_cm)},
          {"mass_kg", exact(person.mass_kg)},
          {"sport", text(person.sport)},
          {"affected_side", person.affected_none ? Json("none") : stated(person.affected_side)}};
}

Json point_json(const std::optional<Point>& point) {
  if (!point) return nullptr;
  return Json::array({exact(point->x), exact(point->y)});
}

Json options_json(const visit::ClipOptions& options) {
  return {{"card", options.card},
          {"card_offset_cm", exact(options.card_offset_cm)},
          {"distance_m", exact(options.distance_m)},
          {"px_per_cm", exact(options.px_per_cm)},
          {"heel_px", point_json(options.heel_px)},
          {"forefoot_px", point_json(options.forefoot_px)},
          {"ankle_px", point_json(options.ankle_px)},
          {"knee_px", point_json(options.knee_px)},
          {"hip_px", point_json(options.hip_px)},
          {"toe_px", point_json(options.toe_px)},
          {"wall_px", exact(options.wall_px)},
          {"end_fraction", exact(options.end_fraction)},
          {"end_after", whole(options.end_after)},
          {"reference_reps", whole(options.reference_reps)},
          {"beat_bpm", exact(options.beat_bpm)},
          {"capture_fps", exact(options.capture_fps)}};
}

Json pain_json(const visit::Pain& pain) {
  return {{"before", whole(pain.before)}, {"worst", whole(pain.worst)}, {"after", whole(pain.after)}};
}

Json entry_json(const visit::TestEntry& entry) {
  Json by_hand = Json::object();
  for (const auto& [quantity, value] : entry.by_hand) by_hand[quantity] = exact(value);
  Json out = Json::object();
  add_slot(out, entry.slot);
  out["got_by"] = key_of(entry.got_by);
  out["file"] = file_json(entry.file);
  out["options"] = entry.got_by == visit::GotBy::clip ? options_json(entry.options) : Json(nullptr);
  out["by_hand"] = by_hand;
  out["incline_deg"] = exact(entry.incline_deg);
  out["marker"] = text(entry.marker);
  out["pain"] = pain_json(entry.pain);
  out["remark"] = text(entry.remark);
  out["keep_clip"] = entry.keep_clip;
  return out;
}

Json beat_json(const visit::BeatValues& beat) {
  return {{"beat_bpm", exact(beat.beat_bpm)}, {"kept", beat.kept}, {"values", values_json(beat.values)}};
}

Json strokes_json(const visit::TestResult& result) {
  const char* value = result.slot.test == Test::hop ? "contact_ms" : "height_cm";
  Json out = Json::array();
  for (const visit::Stroke& stroke : result.strokes) {
    if (!std::isfinite(stroke.t_s) || !std::isfinite(stroke.value)) continue;
    out.push_back(
        {{"n", stroke.n}, {"t_s", exact(stroke.t_s)}, {value, exact(stroke.value)}, {"counted", stroke.counted}});
  }
  return out;
}

Json trace_json(const std::vector<visit::TracePoint>& trace) {
  if (trace.empty()) return nullptr;
  const auto time = [](const visit::TracePoint& point) { return number(point.t_s, trace_s_decimals); };
  const auto height = [](const visit::TracePoint& point) { return number(point.height_cm, trace_cm_decimals); };
  return {{"t_s", list_json(trace, time)}, {"height_cm", list_json(trace, height)}};
}

}  // namespace

void add_slot(Json& object, const visit::Slot& slot) {
  object["test"] = key_of(slot.test);
  object["side"] = stated(slot.side);
  object["knee"] = stated(slot.knee);
}

Json values_json(const visit::Values& values) {
  Json out = Json::object();
  for (const auto& [quantity, value] : values) {
    if (!std::isfinite(value.value)) continue;
    out[quantity] = exact(value.value);
    out[quantity + "_u"] = exact(value.u);
    out[quantity + "_shared_relative_u"] = exact(value.shared_relative_u);
  }
  return out;
}

Json notes_json(const Notes& notes) {
  return list_json(notes, [](const Note& note) {
    return Json{{"code", note.code}, {"text", note.text}, {"t_s", exact(note.t_s)}};
  });
}

Json session_json(const visit::Session& session) {
  Json cautions = Json::object();
  for (const auto& [question, answer] : session.cautions) cautions[question] = key_of(answer);
  return {{"date", session.date},
          {"person", person_json(session.person)},
          {"cautions", cautions},
          {"shoes", text(session.shoes)},
          {"tester", text(session.tester)},
          {"remark", text(session.remark)},
          {"tests", list_json(session.tests, entry_json)},
          {"earlier", list_json(session.earlier, file_json)},
          {"training_log", session.training_log ? file_json(*session.training_log) : Json(nullptr)}};
}

Json result_of_test_json(const visit::TestResult& result) {
  Json out = Json::object();
  add_slot(out, result.slot);
  out["got_by"] = key_of(result.got_by);
  out["values"] = values_json(result.values);
  out["beats"] = list_json(result.beats, beat_json);
  out["asked_bpm"] = exact(result.asked_bpm);
  out["end_fraction"] = exact(result.end_fraction);
  out["set_end"] = text(result.set_end.value_or(""));
  out["marker"] = text(result.marker);
  out["incline_deg"] = exact(result.incline_deg);
  out["mass_kg"] = exact(result.mass_kg);
  out["scale_from"] = text(result.scale_from);
  out["pain"] = pain_json(result.pain);
  out["remark"] = text(result.remark);
  out["source_file"] = file_json(result.source_file);
  out["source_sha256"] = text(result.source_sha256);
  out["recorded_at"] = text(result.recorded_at);
  out["program_version"] = text(result.program_version);
  out["notes"] = notes_json(result.notes);
  out["strokes"] = strokes_json(result);
  out["trace"] = trace_json(result.trace);
  return out;
}

}  // namespace risetrace::report
