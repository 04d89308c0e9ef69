#include "synth/movement.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "synth/random.h"

namespace risetrace::synth {
namespace {

constexpr std::uint64_t purpose_reps = 1;

// From 0 to 1 over share 0 .. 1.
// Minimum jerk: Flash & Hogan 1985, J Neurosci 5:1688 (from memory): 10 s^3 - 15 s^4 + 6 s^5.
double eased(Course course, double share) {
  if (course == Course::raised_cosine) return 0.5 - 0.5 * std::cos(std::numbers::pi * share);
  return share * share * share * (10.0 + share * (6.0 * share - 15.0));
}

}  // namespace

std::vector<RepSpec> planned_reps(const Scene& scene) {
  if (scene.movement.lunge) return {};
  if (!scene.movement.reps.empty()) return scene.movement.reps;
  const RepRule& rule = scene.movement.rule;
  std::vector<RepSpec> reps;
  Random random(mixed_seed(scene.seed, purpose_reps));
  for (int i = 0; i < rule.count; ++i) {
    const double share = rule.count > 1 ? static_cast<double>(i) / (rule.count - 1) : 0.0;
    RepSpec rep;
    rep.height_cm = rule.height_first_cm +
                    (rule.height_last_cm - rule.height_first_cm) * std::pow(share, rule.fatigue_power) +
                    rule.height_jitter_cm * random.normal();
    rep.floor_cm = rule.floor_last_cm * share;
    const double period_s = rule.period_s + rule.period_jitter_s * random.normal();
    rep.hold_s = rule.hold_s;
    rep.up_s = rep.down_s = std::max(0.05, (period_s - rule.hold_s) / 2);
    reps.push_back(rep);
  }
  return reps;
}

MovementCourse::MovementCourse(const Scene& scene) : course_(scene.movement.course) {
  const std::vector<RepSpec> plan = planned_reps(scene);
  double now_s = scene.movement.lead_in_s;
  for (std::size_t i = 0; i < plan.size(); ++i) {
    RepTimes rep;
    rep.height_cm = plan[i].height_cm;
    rep.floor_before_cm = plan[i].floor_cm;
    rep.floor_after_cm = i + 1 < plan.size() ? plan[i + 1].floor_cm : 0.0;
    rep.leaves_s = now_s + plan[i].pause_before_s;
    rep.top_from_s = rep.leaves_s + plan[i].up_s;
    rep.top_to_s = rep.top_from_s + plan[i].hold_s;
    rep.lands_s = rep.top_to_s + plan[i].down_s;
    now_s = rep.lands_s;
    reps_.push_back(rep);
  }
  length_s_ = now_s + scene.movement.tail_s;
}

double MovementCourse::height_cm(double time_s) const {
  const auto later = std::upper_bound(reps_.begin(), reps_.end(), time_s,
                                      [](double t, const RepTimes& rep) { return t < rep.leaves_s; });
  if (later == reps_.begin()) return 0.0;
  const RepTimes& rep = *(later - 1);
  if (time_s >= rep.lands_s) return rep.floor_after_cm;
  if (time_s >= rep.top_to_s) {
    const double share = (time_s - rep.top_to_s) / (rep.lands_s - rep.top_to_s);
    return rep.height_cm + (rep.floor_after_cm - rep.height_cm) * eased(course_, share);
  }
  if (time_s >= rep.top_from_s) return rep.height_cm;
  const double share = (time_s - rep.leaves_s) / (rep.top_from_s - rep.leaves_s);
  return rep.floor_before_cm + (rep.height_cm - rep.floor_before_cm) * eased(course_, share);
}

}  // namespace risetrace::synth
