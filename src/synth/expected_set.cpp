#include "synth/expected_set.h"

#include <algorithm>
#include <array>

namespace risetrace::synth {
namespace {

// The fractions at which the contract always gives the count.
constexpr std::array<double, 3> shown_fractions{0.50, 0.75, 0.90};

// When the course comes to `level_cm` between two times, at the first below it and at the second above, or the reverse.
double time_at_level(const MovementCourse& course, double level_cm, double from_s, double to_s) {
  const bool rising = course.height_cm(to_s) > course.height_cm(from_s);
  for (int i = 0; i < 60; ++i) {
    const double middle_s = (from_s + to_s) / 2;
    if ((course.height_cm(middle_s) < level_cm) == rising) {
      from_s = middle_s;
    } else {
      to_s = middle_s;
    }
  }
  return (from_s + to_s) / 2;
}

TruthRep rep_from(const RepTimes& times, const MovementCourse& course, double onset) {
  TruthRep rep;
  rep.leaves_s = times.leaves_s;
  rep.lands_s = times.lands_s;
  rep.height_cm = times.height_cm;
  rep.floor_cm = times.floor_before_cm;
  rep.peak_s = (times.top_from_s + times.top_to_s) / 2;
  const double rise_from = times.floor_before_cm + onset * (times.height_cm - times.floor_before_cm);
  const double fall_to = times.floor_after_cm + onset * (times.height_cm - times.floor_after_cm);
  rep.start_s = time_at_level(course, rise_from, times.leaves_s, times.top_from_s);
  rep.end_s = time_at_level(course, fall_to, times.top_to_s, times.lands_s);
  return rep;
}

double reference_of(const std::vector<TruthRep>& reps, int first_reps) {
  const std::size_t n = std::min(reps.size(), static_cast<std::size_t>(std::max(1, first_reps)));
  double sum = 0;
  for (std::size_t i = 0; i < n; ++i) sum += reps[i].height_cm;
  return sum / static_cast<double>(n);
}

void drop_small(std::vector<TruthRep>& reps, double least_cm) {
  std::erase_if(reps, [&](const TruthRep& rep) { return rep.height_cm - rep.floor_cm < least_cm; });
}

struct End {
  const char* why = "clip-end";
  double t_s = 0.0;
  int after_rep = 0;
};

End end_of(const std::vector<TruthRep>& reps, double clip_end_s, double low_under_cm,
           const model::RaiseProtocol& protocol) {
  int low_in_a_row = 0;
  for (std::size_t i = 0; i < reps.size(); ++i) {
    const int n = static_cast<int>(i) + 1;
    low_in_a_row = reps[i].height_cm < low_under_cm ? low_in_a_row + 1 : 0;
    if (low_in_a_row >= protocol.end_after) return {"low-height", reps[i].end_s, n};
    const double next_s = i + 1 < reps.size() ? reps[i + 1].start_s : clip_end_s;
    if (next_s - reps[i].end_s >= protocol.end_pause_s) return {"pause", reps[i].end_s + protocol.end_pause_s, n};
  }
  return {"clip-end", clip_end_s, static_cast<int>(reps.size())};
}

int count_with(const std::vector<TruthRep>& reps, double clip_end_s, double low_under_cm,
               const model::RaiseProtocol& protocol) {
  const End end = end_of(reps, clip_end_s, low_under_cm, protocol);
  int count = 0;
  for (int i = 0; i < end.after_rep; ++i) {
    if (reps[static_cast<std::size_t>(i)].height_cm >= low_under_cm) ++count;
  }
  return count;
}

void judge(TruthSet& set, double reference_cm, double clip_end_s, const model::RaiseProtocol& protocol) {
  const double low_under_cm = protocol.end_fraction * reference_cm;
  const End end = end_of(set.reps, clip_end_s, low_under_cm, protocol);
  set.end_why = end.why;
  set.end_s = end.t_s;
  set.after_rep = end.after_rep;
  double total_cm = 0;
  double greatest_cm = 0;
  for (TruthRep& rep : set.reps) {
    rep.n = static_cast<int>(&rep - set.reps.data()) + 1;
    rep.of_reference = rep.height_cm / reference_cm;
    rep.low = rep.height_cm < low_under_cm;
    rep.lowered = rep.floor_cm <= protocol.not_lowered_of_reference * reference_cm;
    rep.counted = rep.n <= end.after_rep && !rep.low;
    set.count += rep.counted ? 1 : 0;
    total_cm += rep.counted ? rep.height_cm : 0.0;
    greatest_cm = std::max(greatest_cm, rep.height_cm);
  }
  set.reference_height_cm = reference_cm;
  set.greatest_height_cm = greatest_cm;
  set.total_height_cm = total_cm;
}

}  // namespace

TruthSet expected_set(const MovementCourse& course, double clip_end_s, const model::RaiseProtocol& protocol) {
  TruthSet set;
  for (const RepTimes& times : course.reps()) {
    const TruthRep rep = rep_from(times, course, protocol.onset_of_rise);
    if (rep.end_s <= clip_end_s) set.reps.push_back(rep);
  }
  drop_small(set.reps, protocol.least_rise_cm);
  if (!set.reps.empty()) {
    drop_small(set.reps, protocol.least_rise_of_reference * reference_of(set.reps, protocol.reference_reps));
  }
  set.end_why = "clip-end";
  set.end_s = clip_end_s;
  const double reference_cm = set.reps.empty() ? 0.0 : reference_of(set.reps, protocol.reference_reps);
  for (const double fraction : shown_fractions) {
    set.count_at.push_back({fraction, count_with(set.reps, clip_end_s, fraction * reference_cm, protocol)});
  }
  if (!set.reps.empty()) judge(set, reference_cm, clip_end_s, protocol);
  return set;
}

}  // namespace risetrace::synth
