#include "measure/live_reps.h"

#include <algorithm>

namespace risetrace::measure {
namespace {

constexpr double height_every_s = 1.0 / 31;  // what an eye can follow; a little more often than every other frame of 60

bool same(const raise::Rep& a, const raise::Rep& b) {
  return a.of_reference == b.of_reference && a.low == b.low && a.counted == b.counted && a.end_s == b.end_s;
}

// What is only known by the reference height.
raise::Rep without_reference(raise::Rep rep) {
  rep.of_reference.reset();
  rep.low = false;
  rep.counted = true;
  rep.lowered = true;
  return rep;
}

}  // namespace

std::vector<LiveEvent> LiveReps::push(const std::vector<path::PathSample>& samples, bool told) {
  std::vector<LiveEvent> events;
  for (const path::PathSample& sample : samples) {
    const int closed = finder_.closed();
    finder_.push(sample);
    if (finder_.closed() != closed) {
      const raise::RepSet set = finder_.finish();
      standing_cm_ = set.standing_cm;
      any_standing_ = true;
      const bool reference_known = finder_.ended() || finder_.closed() >= protocol_.reference_reps;
      tell(set, finder_.closed(), reference_known, events);
    }
    tell_end(events);
    if (told && any_standing_ && sample.time_s >= next_height_s_) {
      events.emplace_back(LiveHeight{sample.time_s, sample.up_cm - standing_cm_});
      next_height_s_ = sample.time_s + height_every_s;
    }
  }
  return events;
}

void LiveReps::tell(const raise::RepSet& set, int closed, bool reference_known, std::vector<LiveEvent>& events) {
  const std::size_t known = std::min(set.reps.size(), static_cast<std::size_t>(closed));
  int count = 0;
  for (std::size_t i = 0; i < known; ++i) {
    const raise::Rep rep = reference_known ? set.reps[i] : without_reference(set.reps[i]);
    if (rep.counted) ++count;
    if (i < told_.size() && same(told_[i], rep)) continue;
    if (i < told_.size()) {
      told_[i] = rep;
    } else {
      told_.push_back(rep);
    }
    events.emplace_back(LiveRep{rep, count});
  }
  warn(events);
}

void LiveReps::warn(std::vector<LiveEvent>& events) {
  if (told_.empty() || over_told_ || told_.back().n == warned_of_ || !told_.back().low) return;
  const auto first_full = std::find_if(told_.rbegin(), told_.rend(), [](const raise::Rep& rep) { return !rep.low; });
  const int left = protocol_.end_after - static_cast<int>(first_full - told_.rbegin());
  if (left <= 0) return;
  warned_of_ = told_.back().n;
  events.emplace_back(LowWarning{warned_of_, left});
}

void LiveReps::tell_end(std::vector<LiveEvent>& events) {
  const auto ending = finder_.ending();
  const bool final = finder_.ended().has_value();
  if (!ending || end_told_ || (over_told_ && !final)) return;
  const raise::RepSet set = finder_.finish();
  if (!over_told_) events.emplace_back(LiveSetEnd{*ending, set.count, false});
  if (final) events.emplace_back(LiveSetEnd{*ending, set.count, true});
  over_told_ = true;
  end_told_ = final;
}

std::vector<LiveEvent> LiveReps::finish(raise::EndWhy why) {
  std::vector<LiveEvent> events;
  const raise::RepSet set = finder_.finish();
  if (set.reps.empty()) return events;
  const bool over = set.set_end.why != raise::EndWhy::clip_end;
  tell(set, static_cast<int>(set.reps.size()), true, events);
  if (end_told_) return events;
  LiveSetEnd last{set.set_end, set.count, false};
  if (!over) last.end.why = why;
  if (!over_told_) events.emplace_back(last);
  last.final = true;
  events.emplace_back(last);
  over_told_ = end_told_ = true;
  return events;
}

}  // namespace risetrace::measure
