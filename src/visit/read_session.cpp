#include "visit/read_session.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/calendar.h"
#include "base/person_code.h"
#include "base/read_file.h"
#include "model/fields.h"
#include "model/form_fields.h"

namespace risetrace::visit {
namespace {

namespace fs = std::filesystem;
using model::Fields;
using nlohmann::json;

constexpr double greatest_px = 20000;
constexpr int least_age = 5;
constexpr int greatest_age = 110;
constexpr std::uintmax_t largest_file = 8 << 20;  // bytes: a session is some kilobytes

Error wrong(const std::string& why) {
  return {Fault::session_wrong, why, "see docs/screen.md for the fields of a session"};
}

void read_date(Fields& in, Session& session) {
  in.need("date");
  in.text("date", session.date);
  if (!day_number(session.date)) in.complain("date", "must be a day like \"2026-03-02\"");
}

void read_affected_side(Fields& in, Person& person) {
  std::optional<std::string> side;
  in.text("affected_side", side);
  person.affected_none = side == "none";
  if (!side || person.affected_none) return;
  const auto known = side_from(*side);
  if (!known || *known == Side::not_stated) in.complain("affected_side", "must be one of left, right, both, none");
  person.affected_side = known.value_or(Side::not_stated);
}

void read_person(Fields& in, const std::string& date, Person& person) {
  in.need("code");
  in.text("code", person.code);
  if (!is_person_code(person.code)) {
    in.complain("code", "must be a code of up to 40 letters, digits, dots, dashes; never a name");
  }
  in.integer("birth_year", person.birth_year, 1800, 2200);
  if (person.birth_year && day_number(date)) {
    const int age = year_of(date) - *person.birth_year;
    if (age < least_age || age > greatest_age) {
      in.complain("birth_year", "is " + std::to_string(*person.birth_year) + ", which makes an age of " +
                                    std::to_string(age) + " at the date of the visit");
    }
  }
  std::optional<std::string> sex;
  in.text("sex", sex);
  if (sex && *sex != "female" && *sex != "male" && *sex != "other") {
    in.complain("sex", "must be one of female, male, other");
  }
  if (sex) person.sex = *sex == "female" ? Sex::female : *sex == "male" ? Sex::male : Sex::other;
  in.number("height_cm", person.height_cm, 80, 250);
  in.number("mass_kg", person.mass_kg, 10, 400);
  std::optional<std::string> sport;
  in.text("sport", sport);
  person.sport = sport.value_or("");
  read_affected_side(in, person);
}

void read_cautions(Fields& in, const model::Cautions& cautions, Session& session) {
  in.part("cautions", [&](Fields& answers) {
    for (const auto& question : cautions.questions) {
      if (!answers.has(question.key.c_str())) continue;
      Answer answer = Answer::not_asked;
      answers.choice<Answer>(question.key.c_str(), answer,
                             {{"yes", Answer::yes}, {"no", Answer::no}, {"not-asked", Answer::not_asked}});
      session.cautions[question.key] = answer;
    }
  });
}

std::optional<Point> read_point(Fields& in, const char* name) {
  const json* found = in.raw(name);
  if (found == nullptr) return std::nullopt;
  if (!found->is_array() || found->size() != 2 || !(*found)[0].is_number() || !(*found)[1].is_number()) {
    in.complain(name, "must be a list of x and y");
    return std::nullopt;
  }
  const Point px{(*found)[0].get<double>(), (*found)[1].get<double>()};
  if (!(px.x >= 0 && px.x <= greatest_px && px.y >= 0 && px.y <= greatest_px)) {
    in.complain(name, "must lie within the picture, from 0 to 20000");
  }
  return px;
}

void read_options(Fields& in, ClipOptions& options) {
  in.text("card", options.card);
  if (options.card != "tags" && options.card != "id-1" && options.card != "none") {
    in.complain("card", "must be one of tags, id-1, none");
  }
  in.number("card_offset_cm", options.card_offset_cm, -200, 200);
  in.number("distance_m", options.distance_m, 0.3, 30);
  in.number("px_per_cm", options.px_per_cm, 0.1, 1000);
  options.heel_px = read_point(in, "heel_px");
  options.forefoot_px = read_point(in, "forefoot_px");
  options.ankle_px = read_point(in, "ankle_px");
  options.knee_px = read_point(in, "knee_px");
  options.hip_px = read_point(in, "hip_px");
  options.toe_px = read_point(in, "toe_px");
  in.number("wall_px", options.wall_px, 0, greatest_px);
  in.number("end_fraction", options.end_fraction, 0.05, 1);
  in.integer("end_after", options.end_after, 1, 100);
  in.integer("reference_reps", options.reference_reps, 1, 100);
  in.number("beat_bpm", options.beat_bpm, 10, 300);
  in.number("capture_fps", options.capture_fps, 1, 5000);
}

// Which tests go with which sides and knees: a heel raise is of one leg and one form, a lunge of one leg.
void read_slot(Fields& in, Slot& slot) {
  in.need("test");
  model::read_test(in, "test", slot.test);
  in.need("side");
  model::read_side(in, "side", slot.side);
  if (slot.test == Test::heel_raise) in.need("knee");
  if (in.has("knee")) model::read_knee(in, "knee", slot.knee);
  if (slot.test != Test::heel_raise && in.has("knee")) in.complain("knee", "is asked of heel raises only");
  if (slot.test != Test::hop && slot.side == Side::both)
    in.complain("side", "must be left or right: one leg is tested");
}

void read_by_hand(Fields& in, const model::Norms& norms, TestEntry& entry) {
  in.part("by_hand", [&](Fields& values) {
    for (const model::Quantity& q : norms.quantities) {
      if (!q.by_hand || q.test != entry.slot.test || !values.has(q.key.c_str())) continue;
      double value = 0;
      values.number(q.key.c_str(), value, q.hand_least, q.hand_greatest);
      entry.by_hand[q.key] = value;
    }
  });
  if (entry.by_hand.empty()) in.complain("by_hand", "holds no number of this test");
}

void read_pain(Fields& in, Pain& pain) {
  in.part("pain", [&](Fields& part) {
    part.integer("before", pain.before, 0, 10);
    part.integer("worst", pain.worst, 0, 10);
    part.integer("after", pain.after, 0, 10);
    for (const auto& other : {pain.before, pain.after}) {
      if (pain.worst && other && *other > *pain.worst) part.complain("worst", "is less than before or after");
    }
  });
}

void read_entry(Fields& in, const fs::path& folder, const model::Norms& norms, Session& session) {
  TestEntry entry;
  read_slot(in, entry.slot);
  const int ways = (in.has("clip") ? 1 : 0) + (in.has("result") ? 1 : 0) + (in.has("by_hand") ? 1 : 0);
  if (ways != 1) in.complain("clip", "or result or by_hand must be given, and one of them only");
  std::string file;
  in.text("clip", file);
  in.text("result", file);
  if (!file.empty()) entry.file = folder / file;
  entry.got_by = in.has("clip") ? GotBy::clip : in.has("result") ? GotBy::result : GotBy::hand;
  if (entry.got_by == GotBy::hand) read_by_hand(in, norms, entry);
  in.part("options", [&](Fields& part) { read_options(part, entry.options); });
  if (in.has("options") && entry.got_by != GotBy::clip) in.complain("options", "are for a clip");
  in.number("incline_deg", entry.incline_deg, 0, 45);
  in.text("marker", entry.marker);
  read_pain(in, entry.pain);
  in.text("remark", entry.remark);
  in.flag("keep_clip", entry.keep_clip);
  std::string clip;
  in.text("result_of", clip);
  if (!clip.empty()) entry.clip_of_result = folder / clip;
  if (!clip.empty() && entry.got_by != GotBy::result) in.complain("result_of", "names the clip of a result");
  if (entry.keep_clip && entry.got_by != GotBy::clip && clip.empty()) in.complain("keep_clip", "is for a clip");
  for (const TestEntry& other : session.tests) {
    if (other.slot == entry.slot) in.complain("side", "makes a second entry for " + key_of(entry.slot));
    if (!entry.file.empty() && other.file == entry.file) {
      in.complain(in.has("clip") ? "clip" : "result", "is the file of " + key_of(other.slot) + " too");
    }
  }
  session.tests.push_back(entry);
}

void read_all(Fields& in, const fs::path& folder, const model::VisitModels& models, Session& session) {
  std::string ignored;
  std::string schema;
  in.text("$schema", ignored);
  in.need("schema");
  in.text("schema", schema);
  if (schema != "risetrace/session/1") in.complain("schema", "must be \"risetrace/session/1\"");
  read_date(in, session);
  in.need("person");
  in.part("person", [&](Fields& part) { read_person(part, session.date, session.person); });
  read_cautions(in, models.cautions, session);
  in.text("shoes", session.shoes);
  in.text("tester", session.tester);
  in.text("remark", session.remark);
  in.list("tests", [&](Fields& item) { read_entry(item, folder, models.norms, session); });
  std::vector<std::string> earlier;
  if (in.has("earlier")) in.text_list("earlier", earlier);
  for (const std::string& file : earlier) session.earlier.push_back(folder / file);
  std::optional<std::string> log;
  in.text("training_log", log);
  if (log) session.training_log = folder / *log;
  const bool any_yes = std::any_of(session.cautions.begin(), session.cautions.end(),
                                   [](const auto& answer) { return answer.second == Answer::yes; });
  if (session.tests.empty() && !any_yes && !session.training_log) {
    in.complain("tests", "holds none, and no caution was answered with yes: there is nothing to say");
  }
}

}  // namespace

Result<Session> session_from(const std::string& text, const fs::path& folder, const model::VisitModels& models) {
  const json parsed = json::parse(text, nullptr, false);
  if (parsed.is_discarded()) return wrong("a session must be JSON, and this is not");
  Session session;
  model::Complaint complaint{"a session", ""};
  {
    Fields in(parsed, "", complaint);
    read_all(in, folder, models, session);
  }
  if (!complaint.text.empty()) return wrong(complaint.text);
  return session;
}

Result<Session> read_session(const fs::path& file, const model::VisitModels& models) {
  const auto text = read_file(file, largest_file);
  if (!text) {
    return Error{Fault::session_wrong, file.string() + " cannot be opened, or is too large for one",
                 "give a session file"};
  }
  return session_from(*text, file.parent_path(), models);
}

}  // namespace risetrace::visit
