#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/calendar.h"
#include "base/read_file.h"
#include "model/fields.h"
#include "visit/follow_ladder.h"

namespace risetrace::visit {
namespace {

using model::Fields;
using nlohmann::json;

Error wrong(const std::filesystem::path& file, const std::string& why) {
  return {Fault::session_wrong, "training log " + file.filename().string() + ": " + why,
          "see docs/screen.md for the fields of a training log"};
}

void read_rung(Fields& in, const model::TrainingRules& rules, TrainingDay& day) {
  in.need("ladder");
  in.text("ladder", day.ladder);
  in.need("rung");
  in.text("rung", day.rung);
  const model::Ladder* ladder = rules.ladder(day.ladder);
  if (ladder == nullptr) return in.complain("ladder", "is not one of ladders.json");
  const bool known = std::any_of(ladder->rungs.begin(), ladder->rungs.end(),
                                 [&](const model::Rung& rung) { return rung.key == day.rung; });
  if (!known) in.complain("rung", "is not one of the ladder " + day.ladder);
}

void read_day(Fields& in, const model::TrainingRules& rules, TrainingLog& log) {
  TrainingDay day;
  in.need("date");
  in.text("date", day.date);
  if (!day_number(day.date)) in.complain("date", "must be a day like \"2026-03-02\"");
  if (!log.days.empty() && day.date < log.days.back().date) in.complain("date", "is before the day above it");
  read_rung(in, rules, day);
  for (const TrainingDay& other : log.days) {
    if (other.date == day.date && other.ladder == day.ladder) in.complain("date", "has two entries of one ladder");
  }
  in.list("sets", [&](Fields& item) {
    TrainedSet set;
    item.integer("reps", set.reps, 0, 500);
    item.integer("seconds", set.seconds, 0, 3600);
    item.number("load_kg", set.load_kg, 0, 300);
    item.number("beat_bpm", set.beat_bpm, 10, 300);
    if (!set.reps && !set.seconds) item.complain("reps", "is missing, and so is seconds");
    day.sets.push_back(set);
  });
  in.integer("pain_during", day.pain_during, 0, 10);
  in.integer("pain_next_morning", day.pain_next_morning, 0, 10);
  in.text("remark", day.remark);
  log.days.push_back(day);
}

}  // namespace

Result<TrainingLog> read_training_log(const std::filesystem::path& file, const std::string& person,
                                      const model::TrainingRules& rules) {
  const auto text = read_file(file, most_document_bytes);
  if (!text) return wrong(file, "cannot be opened");
  const json parsed = json::parse(*text, nullptr, false);
  if (parsed.is_discarded()) return wrong(file, "it is not JSON");
  TrainingLog log;
  model::Complaint complaint{"a training log", ""};
  {
    Fields fields(parsed, "", complaint);
    std::string ignored;
    std::string schema;
    fields.text("$schema", ignored);
    fields.need("schema");
    fields.text("schema", schema);
    if (schema != "risetrace/training-log/1") fields.complain("schema", "must be \"risetrace/training-log/1\"");
    fields.need("person");
    fields.text("person", log.person);
    if (log.person != person) fields.complain("person", "is " + log.person + ", but the session is of " + person);
    fields.list("days", [&](Fields& item) { read_day(item, rules, log); });
  }
  if (!complaint.text.empty()) return wrong(file, complaint.text);
  return log;
}

}  // namespace risetrace::visit
