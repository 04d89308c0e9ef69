#include "raise/find_reps.h"

#include <algorithm>
#include <cmath>

#include "raise/rep_set.h"
#include "raise/rise_shape.h"
#include "raise/set_end.h"
#include "raise/standing.h"

namespace risetrace::raise {
namespace {

// How long the heel must keep still on the way down before it is taken to be down, and how still: a share of the
// onset's height. Only slow lowering waits for this; otherwise the landing's own shape tells (landing_of).
constexpr double landed_still_s = 0.15;
constexpr double landed_still_of_onset = 1.0 / 3.0;
// When the pause has lasted long enough but the heel is a little off the floor, it may be a rise that began in time: so
// long it may take to show itself.
constexpr double rise_shows_within_s = 1.0;
// A heel that comes down farther than this share of step_across_cm from where it went up has been set down elsewhere:
// as with a step's way at its highest, but a raise ends where it began, so that less is needed to tell. What is still
// up is on the foot's arc: at the height h of a small foot (b 13 cm, v 4 cm, see is_step) it is under h^2 / 9 cm
// forward.
constexpr double elsewhere_of_step = 1.0 / 3.0;
// Less is needed of a rise under half of the greatest before it: a foot put straight in the midst of a set. Ours.
constexpr double small_of_greatest = 0.5;
constexpr double small_elsewhere_of_step = 0.15;
constexpr double arc_cm = 9.0;

enum class Seeking { anything, rise, peak };

}  // namespace

struct RepFinder::Inside {
  explicit Inside(const model::RaiseProtocol& rules) : protocol(rules), least_rise_cm(rules.least_rise_cm) {}

  void push(const Height& height);
  Found finish();

  [[nodiscard]] std::size_t now() const { return heights.size() - 1; }
  [[nodiscard]] double now_s() const { return heights.back().time_s; }
  void seek_anything();
  void seek_rise();
  void seek_peak();
  void rise_shown();
  void peak_passed();
  [[nodiscard]] bool bump_stays() const;
  [[nodiscard]] bool is_step(const Rise& rise) const;
  [[nodiscard]] bool set_down_elsewhere(const Rise& rise, double at_s) const;
  [[nodiscard]] const Height& at(double time_s) const;
  [[nodiscard]] Rise rise_with_peak_at(std::size_t peak_at) const;
  void watch_landing();
  void watch_pause();
  void watch_ending();
  void read_landing(std::size_t to);
  void close_last();
  void take_for_step();
  [[nodiscard]] bool reference_settled() const;
  [[nodiscard]] bool settled_by_end() const;
  void mark_pause(double at_s);
  void guess_standing();
  void judge();
  void end_with_clip();

  std::optional<SetEnd> ended;
  std::optional<SetEnd> ending;  // before `ended` is known
  model::RaiseProtocol protocol;
  double least_rise_cm;  // grows once the reference is known
  Heights heights;
  Seeking seeking = Seeking::anything;
  std::size_t lowest_at = 0;   // since the last peak, or the first sample
  std::size_t highest_at = 0;  // since the last rise showed, or the first sample
  bool fell_first = false;
  std::vector<Rise> rises;
  std::optional<double> standing_cm;
  bool standing_guessed = false;
  std::optional<double> reference_cm;
  bool reference_from_fewer = false;
  std::vector<double> steps_s;
};

void RepFinder::Inside::push(const Height& height) {
  if (!std::isfinite(height.up_cm) || (!heights.empty() && !(height.time_s > now_s()))) return;
  heights.push_back(height);
  switch (seeking) {
    case Seeking::anything:
      return seek_anything();
    case Seeking::rise:
      return seek_rise();
    case Seeking::peak:
      return seek_peak();
  }
}

void RepFinder::Inside::seek_anything() {
  const double up_cm = heights.back().up_cm;
  if (up_cm < heights[lowest_at].up_cm) lowest_at = now();
  if (up_cm > heights[highest_at].up_cm) highest_at = now();
  if (up_cm - heights[lowest_at].up_cm >= least_rise_cm) {
    rise_shown();
  } else if (heights[highest_at].up_cm - up_cm >= least_rise_cm) {
    fell_first = true;
    seeking = Seeking::rise;
    lowest_at = now();
  }
}

void RepFinder::Inside::seek_rise() {
  if (heights.back().up_cm < heights[lowest_at].up_cm) lowest_at = now();
  if (heights.back().up_cm - heights[lowest_at].up_cm >= least_rise_cm) {
    rise_shown();
    return;
  }
  if (rises.empty()) return;
  watch_ending();
  if (!rises.back().closed) watch_landing();
  if (!rises.empty() && rises.back().closed) watch_pause();
}

void RepFinder::Inside::seek_peak() {
  if (heights.back().up_cm > heights[highest_at].up_cm) highest_at = now();
  if (heights[highest_at].up_cm - heights.back().up_cm >= least_rise_cm) {
    peak_passed();
  } else if (bump_stays()) {
    seeking = Seeking::rise;
    lowest_at = lowest(heights, highest_at, now());
    watch_pause();
  }
}

// A rise that lost most of its height, yet too little to be a rep, and for as long as a pause lasts did no more: the
// person rests, a little higher than before. One who stays up on the toes still may come down as from a rep.
bool RepFinder::Inside::bump_stays() const {
  if (rises.empty() || now_s() < heights[highest_at].time_s + protocol.end_pause_s) return false;
  return heights.back().up_cm < (heights[highest_at].up_cm + heights[lowest_at].up_cm) / 2;
}

void RepFinder::Inside::rise_shown() {
  if (!rises.empty() && !standing_cm) guess_standing();
  if (!rises.empty() && !settled_by_end()) {
    // What the landing looked like before may have been a stop on the way down: now all of it is known.
    read_landing(lowest_at);
    close_last();
  }
  if (rises.empty()) standing_cm = standing_from_stillness(heights, now(), least_rise_cm);
  seeking = Seeking::peak;
  highest_at = now();
}

void RepFinder::Inside::peak_passed() {
  const Rise next = rise_with_peak_at(highest_at);
  if (is_step(next)) {
    steps_s.push_back(next.peak_s);
    seeking = Seeking::rise;
    lowest_at = lowest(heights, highest_at, now());
    return;
  }
  if (!rises.empty() && !rises.back().pause_s) {
    const double deadline_s = rises.back().end_s + protocol.end_pause_s;
    if (next.start_s >= deadline_s) mark_pause(deadline_s);
  }
  rises.push_back(next);
  seeking = Seeking::rise;
  lowest_at = lowest(heights, highest_at, now());
  judge();
}

// Asked when the heel has just come down from the rise's peak. A foot that turns about its ball takes the heel forward
// too, and a high rise takes it far, but it goes back the way it came; a foot that steps goes on.
//
// Derived here: the ball is b ahead of the sticker and v under it, and f is how far forward the sticker has gone at the
// height h, so that (b - f)^2 + (v + h)^2 = b^2 + v^2. As f is at most b, (v + h)^2 >= v^2 + f^2, and on the way down
// the heel goes back by (v + h) / (b - f) of what it comes down: with f over 12 cm and b under 24 cm (a shoe of 33 cm)
// more than 1, the whole way to where f is 12 again. Half of that is asked for, so that noise decides nothing.
bool RepFinder::Inside::is_step(const Rise& rise) const {
  const Height& peak = heights[rise.peak_at];
  const double forward_cm = peak.across_cm - at(rise.start_s).across_cm;
  if (std::abs(forward_cm) <= protocol.step_across_cm) return false;
  const double back_cm = (peak.across_cm - heights.back().across_cm) * (forward_cm > 0 ? 1.0 : -1.0);
  return back_cm < (peak.up_cm - heights.back().up_cm) / 2;
}

const Height& RepFinder::Inside::at(double time_s) const {
  const auto found =
      std::lower_bound(heights.begin(), heights.end(), time_s, [](const Height& h, double t) { return h.time_s < t; });
  return found == heights.end() ? heights.back() : *found;
}

// Also a foot that is lifted straight up first, and goes its way from there.
bool RepFinder::Inside::set_down_elsewhere(const Rise& rise, double at_s) const {
  const Height& start = at(rise.start_s);
  const Height& down = at(at_s);
  const auto arc = [&](const Height& h) {
    return std::pow(std::max(0.0, h.up_cm - standing_cm.value_or(rise.floor_cm)), 2) / arc_cm;
  };
  const double by_arc_cm = std::abs(arc(down) - arc(start));
  const auto height_cm = [&](const Rise& r) { return r.peak_cm - standing_cm.value_or(r.floor_cm); };
  const bool small = std::any_of(rises.begin(), rises.end(), [&](const Rise& before) {
    return before.peak_s < rise.peak_s && height_cm(rise) < small_of_greatest * height_cm(before);
  });
  const double of_step = small ? small_elsewhere_of_step : elsewhere_of_step;
  return std::abs(down.across_cm - start.across_cm) > of_step * protocol.step_across_cm + by_arc_cm;
}

Rise RepFinder::Inside::rise_with_peak_at(std::size_t peak_at) const {
  const std::size_t from = rises.empty() ? 0 : rises.back().peak_at;
  Rise rise;
  rise.peak_at = peak_at;
  rise.floor_cm = floor_of_rise(heights, from, peak_at, rises.empty() ? standing_cm : std::nullopt);
  const Peak peak = peak_of(heights, peak_at, rise.floor_cm);
  rise.peak_s = peak.time_s;
  rise.peak_cm = peak.up_cm;
  rise.start_s = rise_start_s(heights, from, peak_at, rise.peak_cm, protocol.onset_of_rise);
  return rise;
}

// The height of a rise is known with its top, so only when it ends is still open.
void RepFinder::Inside::watch_ending() {
  if (ended || ending || rises.back().closed || !reference_settled()) return;
  if (heights.back().up_cm - *standing_cm > protocol.not_lowered_of_reference * *reference_cm) return;
  if (set_down_elsewhere(rises.back(), now_s())) return;
  std::vector<Rise> as_if = rises;
  as_if.back().closed = true;
  as_if.back().end_s = now_s();
  ending = end_of_set(as_if, *standing_cm, *reference_cm, protocol.end_fraction, protocol.end_after);
  if (ending) ending->frame = heights.back().frame;
}

void RepFinder::Inside::read_landing(std::size_t to) {
  Rise& last = rises.back();
  last.end_s = landing_of(heights, last.peak_at, to, last.peak_cm, protocol.onset_of_rise).time_s;
}

void RepFinder::Inside::watch_landing() {
  const Rise& last = rises.back();
  const double still_cm = landed_still_of_onset * protocol.onset_of_rise * (last.peak_cm - last.floor_cm);
  const bool whole = landing_of(heights, last.peak_at, now(), last.peak_cm, protocol.onset_of_rise).whole;
  if (!whole && range_cm(heights, now(), landed_still_s) > still_cm) return;
  read_landing(now());
  close_last();
}

// What has once been closed was said, and stays a rep.
void RepFinder::Inside::close_last() {
  if (!rises.back().closed && set_down_elsewhere(rises.back(), rises.back().end_s)) return take_for_step();
  rises.back().closed = true;
  judge();
}

// The reference may have been made by the top of a rise that then turns out to be none.
bool RepFinder::Inside::reference_settled() const {
  if (!reference_cm) return false;
  const auto made_by = std::min(rises.size(), static_cast<std::size_t>(std::max(1, protocol.reference_reps)));
  return reference_from_fewer || std::all_of(rises.begin(), rises.begin() + static_cast<std::ptrdiff_t>(made_by),
                                             [](const Rise& rise) { return rise.closed; });
}

// The last rise is none, and nothing rests on it any more: no set ends before the reference is settled.
void RepFinder::Inside::take_for_step() {
  steps_s.push_back(rises.back().peak_s);
  ending.reset();
  if (rises.size() <= static_cast<std::size_t>(protocol.reference_reps) && !reference_from_fewer) {
    reference_cm.reset();
    least_rise_cm = protocol.least_rise_cm;
  }
  rises.pop_back();
  if (!rises.empty()) return;
  standing_cm.reset();
  standing_guessed = false;
}

// The last rise's end has been used to end the set: it stays.
bool RepFinder::Inside::settled_by_end() const {
  return rises.back().pause_s || (ended && static_cast<int>(rises.size()) <= ended->after_rep);
}

void RepFinder::Inside::watch_pause() {
  if (rises.back().pause_s || now_s() < rises.back().end_s + protocol.end_pause_s) return;
  if (!settled_by_end()) read_landing(now());
  const Rise& last = rises.back();
  const double deadline_s = last.end_s + protocol.end_pause_s;
  if (now_s() < deadline_s) return;
  const double off_floor_cm = heights.back().up_cm - heights[lowest_at].up_cm;
  const bool may_be_rising = off_floor_cm > protocol.onset_of_rise * (last.peak_cm - last.floor_cm);
  if (may_be_rising && now_s() < deadline_s + rise_shows_within_s) return;
  mark_pause(deadline_s);
}

void RepFinder::Inside::mark_pause(double at_s) {
  rises.back().pause_s = at_s;
  if (!standing_cm) guess_standing();
  // What comes after the set's end must not change it, so the reference is made from the reps before the pause.
  if (!reference_cm) {
    reference_cm = reference_height_cm(rises, *standing_cm, protocol.reference_reps);
    reference_from_fewer = static_cast<int>(rises.size()) < protocol.reference_reps;
  }
  judge();
}

// No stillness before the first rise: the lowest place on either side of its peak.
void RepFinder::Inside::guess_standing() {
  standing_cm = heights[lowest(heights, 0, now())].up_cm;
  standing_guessed = true;
}

void RepFinder::Inside::judge() {
  if (!standing_cm || rises.empty()) return;
  if (!reference_cm && static_cast<int>(rises.size()) >= protocol.reference_reps) {
    reference_cm = reference_height_cm(rises, *standing_cm, protocol.reference_reps);
  }
  if (!reference_cm) return;
  least_rise_cm = std::max(protocol.least_rise_cm, protocol.least_rise_of_reference * *reference_cm);
  if (ended || !reference_settled()) return;
  ended = end_of_set(rises, *standing_cm, *reference_cm, protocol.end_fraction, protocol.end_after);
  if (ended) ended->frame = frame_at(heights, ended->t_s);
}

// What is open when the last sample has come.
void RepFinder::Inside::end_with_clip() {
  if (rises.empty()) return;
  if (seeking == Seeking::rise && !rises.back().closed) {
    Rise& last = rises.back();
    const double foot_cm = last.floor_cm + protocol.onset_of_rise * (last.peak_cm - last.floor_cm);
    last.cut = heights[lowest_at].up_cm >= foot_cm;
    read_landing(now());
    if (last.cut) last.end_s = now_s();
    close_last();
    if (rises.empty()) return;
  }
  if (!rises.back().pause_s) {
    const double deadline_s = rises.back().end_s + protocol.end_pause_s;
    // A rise that shows but whose peak is not known has at least begun.
    const double next_s = seeking == Seeking::peak ? rise_with_peak_at(highest_at).start_s : now_s();
    if (next_s >= deadline_s) mark_pause(deadline_s);
  }
  if (!standing_cm) guess_standing();
  if (!reference_cm) {
    reference_cm = reference_height_cm(rises, *standing_cm, protocol.reference_reps);
    reference_from_fewer = true;
  }
  judge();
}

Found RepFinder::Inside::finish() {
  end_with_clip();
  Found found;
  if (!heights.empty()) {
    found.first_s = heights.front().time_s;
    found.last_s = now_s();
    if (!standing_cm) guess_standing();
    found.standing_cm = *standing_cm;
  }
  found.rises = rises;
  found.steps_s = steps_s;
  found.standing_guessed = standing_guessed;
  found.reference_cm = reference_cm;
  found.reference_from_fewer = reference_from_fewer;
  found.began_in_a_rep = fell_first;
  found.ended_in_a_rep = seeking == Seeking::peak;
  found.set_end =
      ended ? *ended : end_of_clip(rises, found.standing_cm, reference_cm, protocol.end_fraction, found.last_s);
  if (!ended) found.set_end.frame = frame_at(heights, found.last_s);
  return found;
}

RepFinder::RepFinder(const model::RaiseProtocol& protocol) : inside_(std::make_unique<Inside>(protocol)) {}
RepFinder::RepFinder(RepFinder&&) noexcept = default;
RepFinder& RepFinder::operator=(RepFinder&&) noexcept = default;
RepFinder::~RepFinder() = default;

void RepFinder::push(const path::PathSample& sample) {
  inside_->push({sample.time_s, sample.up_cm, sample.frame, sample.across_cm});
}

std::optional<SetEnd> RepFinder::ended() const { return inside_->ended; }

std::optional<SetEnd> RepFinder::ending() const { return inside_->ended ? inside_->ended : inside_->ending; }

int RepFinder::closed() const {
  const auto& rises = inside_->rises;
  return static_cast<int>(std::count_if(rises.begin(), rises.end(), [](const Rise& rise) { return rise.closed; }));
}

// On a copy, so that a live view may ask how things stand and go on.
Found RepFinder::found() const { return Inside(*inside_).finish(); }

RepSet RepFinder::finish() const { return rep_set_of(found(), inside_->protocol); }

}  // namespace risetrace::raise
