#include "model/read_training_rules.h"

#include "model/sourced_fields.h"

namespace risetrace::model {
namespace {

// A list of two, least and greatest, into the two.
void read_range(Fields& in, const char* name, std::optional<int>& low, std::optional<int>& high) {
  if (!in.has(name)) return;
  std::vector<int> both;
  in.number_list(name, both, 1, 10000);
  if (both.size() != 2 || both[0] > both[1]) return in.complain(name, "must be a list of the least and the greatest");
  low = both[0];
  high = both[1];
}

Rung read_rung(Fields& in) {
  Rung rung;
  in.need("key");
  in.text("key", rung.key);
  in.integer("sets", rung.sets, 1, 20);
  read_range(in, "reps", rung.reps_low, rung.reps_high);
  read_range(in, "seconds", rung.seconds_low, rung.seconds_high);
  if (!rung.reps_low && !rung.seconds_low) in.complain("reps", "is missing, and so is seconds");
  in.number("beat_bpm", rung.beat_bpm, 10, 300);
  in.flag("loaded", rung.loaded);
  in.flag("one_leg", rung.one_leg);
  in.integer("from_reps", rung.from_reps, 0, 200);
  const Sourced named = read_mark_and_source(in);
  rung.mark = named.mark;
  rung.source = named.source;
  return rung;
}

void read_ladder(Fields& in, TrainingRules& rules) {
  Ladder ladder;
  std::string start_mark;
  std::string start_source;
  in.need("key");
  in.text("key", ladder.key);
  ladder.days_a_week = static_cast<int>(read_sourced(in, "days_a_week", 1, 7).value);
  in.list("rungs", [&](Fields& item) { ladder.rungs.push_back(read_rung(item)); });
  in.text("start_mark", start_mark);
  in.text("start_source", start_source);
  if (ladder.rungs.empty()) in.complain("rungs", "holds none");
  rules.ladders.push_back(ladder);
}

}  // namespace

void read_training_rules(Fields& in, TrainingRules& rules) {
  rules.pain_limit = read_sourced(in, "pain_limit", 0, 10);
  rules.pain_morning = read_sourced(in, "pain_morning", 0, 10);
  rules.reps_over = read_sourced(in, "reps_over", 0, 50);
  rules.sessions_in_row = read_sourced(in, "sessions_in_row", 1, 20);
  rules.load_more_low_pct = read_sourced(in, "load_more_low_pct", 0, 100);
  rules.load_more_high_pct = read_sourced(in, "load_more_high_pct", 0, 100);
  rules.rest_hours_low = read_sourced(in, "rest_hours_low", 0, 336);
  rules.rest_hours_high = read_sourced(in, "rest_hours_high", 0, 336);
  rules.log_weeks = read_sourced(in, "log_weeks", 1, 104);
  rules.retest_weeks = read_sourced(in, "retest_weeks", 1, 104);
  in.list("ladders", [&](Fields& item) { read_ladder(item, rules); });
}

}  // namespace risetrace::model
