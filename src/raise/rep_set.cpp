#include "raise/rep_set.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "base/rounded.h"
#include "math/statistics.h"
#include "raise/on_beat.h"

namespace risetrace::raise {
namespace {

constexpr std::array told_fractions = {0.50, 0.75, 0.90};

Rep rep_of(const Found& found, std::size_t i, const model::RaiseProtocol& protocol) {
  const Rise& rise = found.rises[i];
  Rep rep;
  rep.n = static_cast<int>(i) + 1;
  rep.start_s = rise.start_s;
  rep.peak_s = rise.peak_s;
  rep.end_s = rise.end_s;
  rep.height_cm = rise.peak_cm - found.standing_cm;
  rep.floor_cm = rise.floor_cm - found.standing_cm;
  rep.of_reference = rep.height_cm / *found.reference_cm;
  rep.low = is_low(rep.height_cm, *found.reference_cm, protocol.end_fraction);
  // How low the heel was before a rep that the clip begins in was not filmed.
  const bool floor_filmed = i > 0 || !found.standing_guessed;
  rep.lowered = !floor_filmed || rep.floor_cm <= (protocol.not_lowered_of_reference + 1e-9) * *found.reference_cm;
  rep.by_hand = rise.by_hand;
  if (i > 0) rep.period_s = rise.peak_s - found.rises[i - 1].peak_s;
  rep.counted = rep.n <= found.set_end.after_rep && !rep.low;
  return rep;
}

std::vector<CountAt> counts_at(const Found& found, int end_after) {
  std::vector<CountAt> out;
  for (const double fraction : told_fractions) {
    out.push_back({fraction, 0});
    if (!found.reference_cm) continue;
    const auto end = end_of_set(found.rises, found.standing_cm, *found.reference_cm, fraction, end_after);
    int after_rep = end ? end->after_rep : static_cast<int>(found.rises.size());
    // A person's word holds whatever the fraction.
    if (found.set_end.why == EndWhy::by_hand) after_rep = found.set_end.after_rep;
    out.back().count = count_full(found.rises, found.standing_cm, *found.reference_cm, fraction, after_rep);
  }
  return out;
}

void add_totals(RepSet& set) {
  double total_cm = 0;
  std::vector<double> periods_s;
  for (const Rep& rep : set.reps) {
    if (!rep.counted) continue;
    ++set.count;
    total_cm += rep.height_cm;
    set.greatest_height_cm = std::max(set.greatest_height_cm.value_or(rep.height_cm), rep.height_cm);
    if (rep.period_s) periods_s.push_back(*rep.period_s);
  }
  if (set.count > 0) set.total_height_cm = total_cm;
  if (!periods_s.empty()) set.rep_period_s = math::median(periods_s);
}

void note_not_lowered(RepSet& set) {
  std::string which;
  int how_many = 0;
  std::optional<double> first_s;
  for (const Rep& rep : set.reps) {
    if (rep.lowered) continue;
    which += (which.empty() ? "" : ", ") + std::to_string(rep.n);
    ++how_many;
    if (!first_s) first_s = rep.start_s;
  }
  if (how_many == 0) return;
  set.notes.push_back(
      {"not-lowered",
       (how_many == 1 ? "The heel was not lowered before rep " : "The heel was not lowered before reps ") + which +
           "; it counts all the same.",
       first_s});
}

// A heel can rise no higher than the foot is long behind its ball, and a set of heel raises loses height. So a rise
// this much higher than the reference was hardly made on the ball of the foot, or the reference is not what it should
// be.
constexpr double far_higher = 1.5;

void note_far_higher(RepSet& set) {
  if (!set.reference_height_cm) return;
  const auto rep = std::find_if(set.reps.begin(), set.reps.end(),
                                [&](const Rep& r) { return r.height_cm > far_higher * *set.reference_height_cm; });
  if (rep == set.reps.end()) return;
  set.notes.push_back({"rep-far-higher",
                       "Rep " + std::to_string(rep->n) + ", of " + rounded(rep->height_cm, 1) +
                           " cm, is far higher than the reference height: look whether the whole foot was lifted, or "
                           "whether the first rises were none yet.",
                       rep->peak_s});
}

// Reps that all are meant to be as high as the person can.
constexpr double even_enough = 0.7;

// `used`: so many reps made the reference.
void note_uneven_reference(RepSet& set, std::size_t used) {
  used = std::min(used, set.reps.size());
  if (used < 2) return;
  std::string heights;
  double least = set.reps.front().height_cm;
  double greatest = least;
  for (std::size_t i = 0; i < used; ++i) {
    const double height_cm = set.reps[i].height_cm;
    heights += (i == 0 ? "" : i + 1 == used ? " and " : ", ") + rounded(height_cm, 1);
    least = std::min(least, height_cm);
    greatest = std::max(greatest, height_cm);
  }
  if (least >= even_enough * greatest) return;
  set.notes.push_back({"reference-uneven",
                       "The first " + std::to_string(used) + " reps differ: " + heights +
                           " cm, and the reference height rests on them. Was one of them none, a fidget or a foot put "
                           "straight? Take it out by hand, or film again from standing ready.",
                       set.reps.front().peak_s});
}

void add_notes(RepSet& set, const Found& found, int reference_reps) {
  if (found.began_in_a_rep) {
    set.notes.push_back(
        {"rep-cut-off-at-start", "The clip begins in the middle of a rep; that rep is not listed.", found.first_s});
  }
  if (found.standing_guessed && !set.reps.empty()) {
    set.notes.push_back({"no-standing-at-start",
                         "The clip shows no standing still before the first rep, so heights are above the lowest place "
                         "beside the first peak.",
                         set.reps.front().start_s});
  }
  if (found.reference_from_fewer) {
    set.notes.push_back({"reference-from-fewer-reps",
                         "The reference height is meant to be the mean of " + std::to_string(reference_reps) +
                             " reps, but the set had fewer.",
                         std::nullopt});
  }
  for (const double step_s : found.steps_s) {
    set.notes.push_back(
        {"step-not-counted", "The foot was lifted and set down elsewhere; that is not counted as a rep.", step_s});
  }
  note_not_lowered(set);
  note_far_higher(set);
  note_uneven_reference(set,
                        std::min(static_cast<std::size_t>(std::max(1, reference_reps)), before_pause(found.rises)));
  if (!found.rises.empty() && found.rises.back().cut) {
    set.notes.push_back({"last-rep-cut",
                         "The clip ends while the heel is coming down from the last rep, which counts; its end is the "
                         "clip's end.",
                         found.last_s});
  }
  if (found.ended_in_a_rep) {
    set.notes.push_back(
        {"rep-cut-off-at-end", "The clip ends before the peak of a rep; that rep is not listed.", found.last_s});
  }
}

}  // namespace

RepSet rep_set_of(const Found& found, const model::RaiseProtocol& protocol) {
  RepSet set;
  set.standing_cm = found.standing_cm;
  set.reference_height_cm = found.reference_cm;
  set.set_end = found.set_end;
  for (std::size_t i = 0; i < found.rises.size(); ++i) set.reps.push_back(rep_of(found, i, protocol));
  set.count_at = counts_at(found, protocol.end_after);
  add_totals(set);
  judge_beat(set, protocol.beat_bpm, protocol.on_beat_tolerance);
  add_notes(set, found, protocol.reference_reps);
  return set;
}

}  // namespace risetrace::raise
