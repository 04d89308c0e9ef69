#include "visit/read_screen.h"

#include <algorithm>
#include <charconv>
#include <nlohmann/json.hpp>
#include <string_view>

#include "base/calendar.h"
#include "base/read_file.h"
#include "model/fields.h"
#include "model/form_fields.h"

namespace risetrace::visit {
namespace {

namespace fs = std::filesystem;
using model::Complaint;
using model::Fields;
using nlohmann::json;

constexpr std::string_view schema_name = "risetrace/screen/";
constexpr int schema_number = 1;
constexpr double any = 1e300;  // a range that bars nothing
constexpr int any_count = 1000000000;

std::optional<int> whole_number(std::string_view text) {
  int number = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), number);
  return fault == std::errc() && end == text.data() + text.size() ? std::optional(number) : std::nullopt;
}

void read_schema(Fields& in) {
  std::string schema;
  in.text("schema", schema);
  const std::string ours = std::string(schema_name) + std::to_string(schema_number);
  if (schema == ours) return;
  const auto number = schema.starts_with(schema_name)
                          ? whole_number(std::string_view(schema).substr(schema_name.size()))
                          : std::nullopt;
  if (number && *number > schema_number) {
    return in.complain("schema", "is " + schema + ", of a newer risetrace: this one reads up to " + ours);
  }
  in.complain("schema", "must be \"" + ours + "\"");
}

void read_text(Fields& in, const char* name, std::string& value) {
  std::optional<std::string> given;
  in.text(name, given);
  value = given.value_or("");
}

// Null: not stated.
void read_knee(Fields& in, Knee& knee) {
  if (const json* found = in.raw("knee"); found == nullptr || found->is_null()) return;
  model::read_knee(in, "knee", knee);
}

void read_slot(Fields& in, Slot& slot) {
  in.need("test");
  model::read_test(in, "test", slot.test);
  in.need("side");
  model::read_side(in, "side", slot.side);
  read_knee(in, slot.knee);
}

// "K" is the value, "K_u" its uncertainty, "K_shared_relative_u" the part of it that the sides share.
void read_values(Fields& in, Values& values) {
  in.need("values");
  const json* found = in.raw("values");
  if (found == nullptr || found->is_null()) return;
  if (!found->is_object()) return in.complain("values", "must be an object");
  const std::string shared = "_shared_relative_u";
  const std::string u = "_u";
  const auto wrong = [&](const std::string& key, const std::string& what) {
    in.complain(("values." + key).c_str(), what);
  };
  for (const auto& [key, number] : found->items()) {
    if (number.is_null()) continue;
    if (!number.is_number()) return wrong(key, "must be a number");
    if (!key.ends_with(u)) values[key].value = number.get<double>();
  }
  for (const auto& [key, number] : found->items()) {
    if (!key.ends_with(u) || number.is_null()) continue;
    const std::string& end = key.ends_with(shared) ? shared : u;
    const auto value = values.find(key.substr(0, key.size() - end.size()));
    if (value == values.end()) return wrong(key, "is of a value that is not there");
    const double given = number.get<double>();
    if (given < 0) return wrong(key, "is less than 0");
    if (end == shared) value->second.shared_relative_u = given;
    if (end == u) value->second.u = given;
  }
}

void read_beats(Fields& in, std::vector<BeatValues>& beats) {
  in.list("beats", [&](Fields& item) {
    BeatValues beat;
    item.need("beat_bpm");
    item.number("beat_bpm", beat.beat_bpm, 0, any);
    item.need("kept");
    item.flag("kept", beat.kept);
    read_values(item, beat.values);
    beats.push_back(beat);
  });
}

void read_strokes(Fields& in, const Slot& slot, std::vector<Stroke>& strokes) {
  const char* value = slot.test == Test::hop ? "contact_ms" : "height_cm";
  in.list("strokes", [&](Fields& item) {
    Stroke stroke;
    item.integer("n", stroke.n, 0, any_count);
    item.need("t_s");
    item.number("t_s", stroke.t_s, -any, any);
    item.need(value);
    item.number(value, stroke.value, -any, any);
    item.flag("counted", stroke.counted);
    strokes.push_back(stroke);
  });
}

void read_notes(Fields& in, Notes& notes) {
  in.list("notes", [&](Fields& item) {
    Note note;
    item.text("code", note.code);
    item.text("text", note.text);
    item.number("t_s", note.t_s, -any, any);
    notes.push_back(note);
  });
}

void read_form(Fields& in, TestResult& result) {
  in.number("asked_bpm", result.asked_bpm, 0, any);
  in.number("end_fraction", result.end_fraction, 0, any);
  in.number("incline_deg", result.incline_deg, -any, any);
  in.number("mass_kg", result.mass_kg, 0, any);
  in.text("set_end", result.set_end);
  read_text(in, "marker", result.marker);
  read_text(in, "scale_from", result.scale_from);
}

void read_source(Fields& in, TestResult& result) {
  in.need("got_by");
  in.choice<GotBy>("got_by", result.got_by,
                   {{"clip", GotBy::clip}, {"result", GotBy::result}, {"by-hand", GotBy::hand}});
  read_text(in, "source_file", result.source_file);
  read_text(in, "source_sha256", result.source_sha256);
  read_text(in, "recorded_at", result.recorded_at);
  read_text(in, "program_version", result.program_version);
}

TestResult read_result(Fields& in) {
  TestResult result;
  read_slot(in, result.slot);
  read_source(in, result);
  read_values(in, result.values);
  read_beats(in, result.beats);
  read_form(in, result);
  in.part("pain", [&](Fields& pain) {
    pain.integer("before", result.pain.before, 0, 10);
    pain.integer("worst", result.pain.worst, 0, 10);
    pain.integer("after", result.pain.after, 0, 10);
  });
  read_strokes(in, result.slot, result.strokes);
  read_text(in, "remark", result.remark);
  read_notes(in, result.notes);
  return result;
}

void read_session(Fields& in, EarlierVisit& visit) {
  in.need("date");
  in.text("date", visit.date);
  if (!day_number(visit.date)) in.complain("date", "must be a date such as 2026-03-02");
  in.need("person");
  in.part("person", [&](Fields& person) {
    person.need("code");
    person.text("code", visit.person_code);
    if (visit.person_code.empty()) person.complain("code", "is empty");
  });
}

// Much of a screen is of no use to the next visit, and a later version may have added to it under the same schema
// number.
void read_visit(Fields& in, EarlierVisit& visit) {
  in.let_unknown_pass();
  read_schema(in);
  in.need("session");
  in.part("session", [&](Fields& session) { read_session(session, visit); });
  in.need("results");
  in.list("results", [&](Fields& item) {
    const TestResult result = read_result(item);
    const auto same = [&](const TestResult& other) { return other.slot == result.slot; };
    if (std::any_of(visit.results.begin(), visit.results.end(), same)) {
      item.complain("test", "is a second result of " + key_of(result.slot));
    }
    visit.results.push_back(result);
  });
}

Error unusable(const std::string& name, const std::string& why) {
  return {Fault::session_wrong, name + ": " + why, "give the screen.json of an earlier visit as it was written"};
}

}  // namespace

Result<EarlierVisit> read_screen_text(const std::string& text, const std::string& name) {
  const json parsed = json::parse(text, nullptr, false);
  if (parsed.is_discarded()) return unusable(name, "is not JSON");
  EarlierVisit visit;
  Complaint complaint{"a screen", ""};
  {
    Fields fields(parsed, "", complaint);
    read_visit(fields, visit);
  }
  if (!complaint.text.empty()) return unusable(name, complaint.text);
  return visit;
}

Result<EarlierVisit> read_screen(const fs::path& file) {
  const auto text = read_file(file, most_document_bytes);
  if (!text) return unusable(file.string(), "there is no such file, or it cannot be opened");
  return read_screen_text(*text, file.string());
}

}  // namespace risetrace::visit
