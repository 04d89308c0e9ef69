#include "ankle/judge_lunge.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "ankle/pose_angles.h"
#include "base/rounded.h"
#include "math/statistics.h"

namespace risetrace::ankle {
namespace {

constexpr double still_s = 0.3;  // standing is told from the clip's first so many seconds

struct Reading {
  double time_s = 0.0;
  double shank_deg = 0.0;
  LegPlaces places;
};

// From `first` to `last`, both in it.
struct Stretch {
  std::size_t first = 0;
  std::size_t last = 0;
  double mean_deg = 0.0;
};

std::vector<Reading> readings_of(const LegAngles& angles) {
  std::vector<Reading> out;
  for (const LegSample& s : angles.samples) {
    if (s.shank_deg) out.push_back({s.time_s, *s.shank_deg, *s.places});
  }
  return out;
}

double mean_deg(const std::vector<Reading>& all, std::size_t first, std::size_t last) {
  double sum = 0;
  for (std::size_t i = first; i <= last; ++i) sum += all[i].shank_deg;
  return sum / static_cast<double>(last - first + 1);
}

// The stretch of at least `long_s` whose mean is greatest.
std::optional<Stretch> farthest(const std::vector<Reading>& all, double long_s) {
  std::optional<Stretch> best;
  std::size_t last = 0;
  for (std::size_t first = 0; first < all.size(); ++first) {
    while (last < all.size() && all[last].time_s - all[first].time_s < long_s) ++last;
    if (last == all.size()) break;
    const double mean = mean_deg(all, first, last);
    if (!best || mean > best->mean_deg) best = Stretch{first, last, mean};
  }
  return best;
}

// As far as the readings on both sides stay near the stretch's mean; then the mean of them all. Within a stretch that
// was only passed through, the part about its mean.
Stretch hold_about(const std::vector<Reading>& all, const Stretch& core, double within_deg) {
  const auto near = [&](std::size_t i) { return std::abs(all[i].shank_deg - core.mean_deg) <= within_deg; };
  Stretch hold = core;
  while (hold.first < hold.last && !near(hold.first)) ++hold.first;
  while (hold.last > hold.first && !near(hold.last)) --hold.last;
  while (hold.first > 0 && near(hold.first - 1)) --hold.first;
  while (hold.last + 1 < all.size() && near(hold.last + 1)) ++hold.last;
  hold.mean_deg = mean_deg(all, hold.first, hold.last);
  return hold;
}

LegPlaces middle_of(const std::vector<Reading>& all, const Stretch& stretch) {
  const auto median_of = [&](const auto& value) {
    std::vector<double> values;
    for (std::size_t i = stretch.first; i <= stretch.last; ++i) values.push_back(value(all[i].places));
    return math::median(values);
  };
  return {{median_of([](const LegPlaces& p) { return p.ankle_px.x; }),
           median_of([](const LegPlaces& p) { return p.ankle_px.y; })},
          {median_of([](const LegPlaces& p) { return p.knee_px.x; }),
           median_of([](const LegPlaces& p) { return p.knee_px.y; })},
          std::nullopt};
}

// The clip's first moments, where the shank was still and well short of the hold.
std::optional<Stretch> standing_of(const std::vector<Reading>& all, double hold_deg, const model::AngleRules& rules) {
  std::size_t last = 0;
  while (last + 1 < all.size() && all[last].time_s - all.front().time_s < still_s) ++last;
  const double mean = mean_deg(all, 0, last);
  for (std::size_t i = 0; i <= last; ++i) {
    if (std::abs(all[i].shank_deg - mean) > rules.hold_within_deg) return std::nullopt;
  }
  if (hold_deg - mean < rules.lunge_least_deg) return std::nullopt;
  return Stretch{0, last, mean};
}

// Out of sight for so long, beside an angle of more than half the way, that a farther one may have been missed.
std::optional<Error> hidden_far(const std::vector<Reading>& all, double hold_deg, double least_deg,
                                double hidden_most_s) {
  const double far_deg = (hold_deg + least_deg) / 2;
  for (std::size_t i = 1; i < all.size(); ++i) {
    if (all[i].time_s - all[i - 1].time_s <= hidden_most_s) continue;
    if (std::max(all[i].shank_deg, all[i - 1].shank_deg) < far_deg) continue;
    return Error{Fault::leg_stickers_missing,
                 "one was out of sight, or how the camera moved not known, from " + rounded(all[i - 1].time_s, 1) +
                     " s to " + rounded(all[i].time_s, 1) + " s, while the shank leant far",
                 "film again on a tripod, with nothing in front of the stickers, the wall's edge neither"};
  }
  return std::nullopt;
}

void add_standing(Lunge& lunge, const std::vector<Reading>& all, const Stretch& hold, const LegAngles& angles,
                  const PlaneMap& map, const model::AngleRules& rules) {
  const auto standing = standing_of(all, lunge.shank_deg, rules);
  if (!standing) {
    lunge.notes.push_back({"standing-not-seen",
                           "The clip does not begin with the runner standing still, so there is no change from "
                           "standing: film a second of it first.",
                           std::nullopt});
    return;
  }
  const LegPlaces stands = middle_of(all, *standing);
  const LegPlaces held = middle_of(all, hold);
  const auto effects = [&](const LegPlaces& p) { return pose_effects(&shank_deg, map, p, angles.forward, rules); };
  lunge.standing_shank_deg = standing->mean_deg;
  lunge.change_deg = lunge.shank_deg - standing->mean_deg;
  lunge.change_deg_u = std::hypot(math::standard_u(math::plus(effects(held), -1, effects(stands))),
                                  std::sqrt(2.0) * angles.localising_deg);
  if (!map.in_cm()) return;
  const Point from = map.map(stands.ankle_px);
  const Point to = map.map(held.ankle_px);
  lunge.ankle_rise_cm = to.y - from.y;
  lunge.ankle_forward_cm = angles.forward * (to.x - from.x);
}

void add_toe(Lunge& lunge, const LungeQuestion& question, const PlaneMap& map, const model::AngleRules& rules) {
  if (!question.toe_px || !question.wall_x_px || !map.in_cm()) return;
  const Point wall_px{*question.wall_x_px, question.toe_px->y};
  const auto distance = [&](Point toe, Point wall) { return std::abs(wall.x - toe.x); };
  const double cm = distance(map.map(*question.toe_px), map.map(wall_px));
  lunge.toe_to_wall_cm = cm;
  if (!map.by_card()) return;  // of a scale by hand no doubt is known
  math::Effects effects{rules.hand_mark_u_cm, rules.hand_mark_u_cm};
  for (std::size_t d = 0; d < map.doubts(); ++d) {
    effects.push_back(distance(map.map_doubted(d, *question.toe_px), map.map_doubted(d, wall_px)) - cm);
  }
  lunge.toe_to_wall_cm_u = math::standard_u(effects);
}

void add_foot_notes(Lunge& lunge, const LungeQuestion& question, const model::AngleRules& rules) {
  const auto note = [&](const char* code, const std::string& text) {
    lunge.notes.push_back({code, text, lunge.hold_from_s});
  };
  if (!lunge.held) {
    note("lunge-not-held", "The farthest place was passed through, not held: the angle is the mean over " +
                               rounded(lunge.held_s(), 1) + " s; hold it for a second or two.");
  }
  if (lunge.ankle_rise_cm.value_or(0) > rules.ankle_rise_cm) {
    note("heel-may-have-risen", "The ankle's sticker came up by " + rounded(*lunge.ankle_rise_cm, 1) +
                                    " cm: if the heel left the floor the lunge does not count; look at the clip.");
  }
  if (std::abs(lunge.ankle_forward_cm.value_or(0)) <= rules.foot_moved_cm) return;
  const bool asked = question.toe_px && question.wall_x_px;
  note("foot-moved",
       "Between the clip's beginning and the hold the ankle's sticker moved by " +
           rounded(std::abs(*lunge.ankle_forward_cm), 1) + " cm along the floor" +
           (asked ? ": the toe is no longer where it was pointed out, so there is no distance to the wall."
                  : ": the foot was set down elsewhere, or the heel came up."));
  lunge.toe_to_wall_cm.reset();
  lunge.toe_to_wall_cm_u.reset();
}

}  // namespace

std::optional<double> facing_of_lunge(const LegAngles& angles, const model::AngleRules& rules) {
  const std::vector<Reading> all = readings_of(angles);
  if (all.empty()) return std::nullopt;
  const auto less = [](const Reading& a, const Reading& b) { return a.shank_deg < b.shank_deg; };
  const double least = std::min_element(all.begin(), all.end(), less)->shank_deg;
  const double greatest = std::max_element(all.begin(), all.end(), less)->shank_deg;
  if (std::max(std::abs(least), std::abs(greatest)) < rules.lunge_least_deg) return std::nullopt;
  return greatest + least > 0 ? 1.0 : -1.0;
}

Result<Lunge> judge_lunge(const LegAngles& angles, const LungeQuestion& question, const PlaneMap& map,
                          const model::AngleRules& rules) {
  const std::vector<Reading> all = readings_of(angles);
  const auto core = farthest(all, rules.hold_least_s);
  if (!core) {
    return Error{Fault::leg_stickers_missing,
                 "both were seen together in " + std::to_string(all.size()) + " of " +
                     std::to_string(angles.samples.size()) + " frames",
                 ""};
  }
  double least_deg = core->mean_deg;
  for (const Reading& r : all) least_deg = std::min(least_deg, r.shank_deg);
  const double farthest_deg = core->mean_deg;
  if (farthest_deg < rules.lunge_least_deg) {
    return Error{Fault::no_lunge, "the shank leant forward by no more than " + rounded(farthest_deg, 1) + " degrees",
                 ""};
  }
  if (auto hidden = hidden_far(all, farthest_deg, least_deg, rules.hidden_most_s)) return *hidden;
  const Stretch hold = hold_about(all, *core, rules.hold_within_deg);
  Lunge lunge;
  lunge.shank_deg = hold.mean_deg;
  lunge.hold_from_s = all[hold.first].time_s;
  lunge.hold_to_s = all[hold.last].time_s;
  lunge.held = lunge.held_s() >= rules.hold_least_s;
  const LegPlaces held = middle_of(all, hold);
  lunge.shank_deg_u =
      std::hypot(math::standard_u(pose_effects(&shank_deg, map, held, angles.forward, rules)), angles.localising_deg);
  add_standing(lunge, all, hold, angles, map, rules);
  add_toe(lunge, question, map, rules);
  add_foot_notes(lunge, question, rules);
  return lunge;
}

}  // namespace risetrace::ankle
