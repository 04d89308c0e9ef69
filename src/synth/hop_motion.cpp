#include "synth/hop_motion.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "base/geometry.h"
#include "synth/leg_solver.h"
#include "synth/random.h"

namespace risetrace::synth {
namespace {

constexpr std::uint64_t purpose_form = 8;
constexpr double pi = std::numbers::pi;
constexpr double step_s = 0.00025;
// Standing up into the first hop, and coming to rest after the last.
constexpr double crouch_s = 0.40;
constexpr double last_rise_s = 0.14;
constexpr double settle_s = 0.45;
constexpr double last_sink_s = 0.16;
constexpr double standing_load = 0.35;  // of the greatest load of a hop
constexpr double lowest_at = 0.45;      // share of the contact at which the heel is lowest
constexpr double least_power = 1.3;     // of the heel's way: above 1, so that it comes to rest at its lowest
constexpr double knee_at_landing_rad = 16 * rad_per_deg;
constexpr double knee_at_takeoff_rad = 10 * rad_per_deg;
constexpr double knee_before_first_rad = 42 * rad_per_deg;
constexpr double knee_after_last_rad = 36 * rad_per_deg;
constexpr double deepest_knee_rad = 100 * rad_per_deg;
constexpr double ankle_share = 0.65;    // the ankle sinks by this share of the heel sticker's way
constexpr double droops_at = 0.45;      // share of the flight
constexpr double pose_change_s = 0.12;  // a flight as long as this leaves time for the whole change of pose

double blend(double a, double b, double share) { return a + (b - a) * share; }

double smooth(double share) { return share * share * (3.0 - 2.0 * share); }

// Cubic with given values and slopes at 0 and `length`.
double hermite(double y0, double slope0, double y1, double slope1, double length, double t) {
  const double s = t / length;
  return y0 + (y1 - y0) * smooth(s) + length * s * (1 - s) * (slope0 * (1 - s) - slope1 * s);
}

// No steeper than a curve between the two values can start without swinging.
double held(double slope, double rise, double length) {
  const double most = 3.0 * std::abs(rise) / length;
  return std::clamp(slope, -most, most);
}

double soft_s(const HopForm& form, double flight_s) { return std::min(form.leave_soft_s, flight_s / 6); }

double lift_cm(double flight_s, double t) { return gravity_cm_s2 * t * (flight_s - t) / 2; }

// The foot goes on stretching for a moment after take-off: the lowest point falls behind the body and catches up.
double clearance_cm(const HopForm& form, double flight_s, double t) {
  const double soft = soft_s(form, flight_s);
  if (soft <= 0) return lift_cm(flight_s, t);
  const double speed = gravity_cm_s2 * flight_s / 2;
  return lift_cm(flight_s, t) - speed * soft * (1 - std::exp(-t / soft)) * (1 - smooth(t / flight_s));
}

// One end of a time on the ground.
struct End {
  double heel_cm = 0.0;
  double heel_slope = 0.0;  // cm/s, on the ground's side
  double toe_rad = 0.0;
  double toe_slope = 0.0;
  double roll_s = 0.0;  // before a take-off
  double speed = 0.0;   // of the body, cm/s, downwards at landing, upwards at take-off
  double place_cm = 0.0;
};

struct Ground {
  End landing;
  End takeoff;
  double lowest_cm = 0.0;
  double knee_rad = 0.0;  // at its deepest
  double length_s = 0.0;
};

class Shaper {
 public:
  Shaper(const Scene& scene, const LegModel& leg, const HopPlan& plan)
      : form_(scene.movement.hops->form),
        plan_(plan),
        solver_(leg),
        standing_knee_rad_(scene.leg.knee_bend_deg * rad_per_deg),
        random_(mixed_seed(scene.seed, purpose_form)) {}

  PoseTable table() {
    find_grounds();
    const double first_s = plan_.first_takeoff_s();
    stretch(first_s - crouch_s, first_s, [&](double t) { return crouching(t); });
    for (std::size_t i = 1; i < grounds_.size(); ++i) {
      const Landing& landing = plan_.landings()[i - 1];
      const double left_s = landing.touchdown_s - landing.flight_s;
      stretch(left_s, landing.touchdown_s, [&](double t) { return flying(i, landing.flight_s, t); });
      if (i + 1 == grounds_.size()) {
        stretch(landing.touchdown_s, landing.touchdown_s + settle_s, [&](double t) { return settling(t); });
      } else {
        stretch(landing.touchdown_s, landing.takeoff_s, [&](double t) { return on_ground(grounds_[i], t); });
      }
    }
    return std::move(table_);
  }

 private:
  void find_grounds();
  void find_heel(Ground& ground, double flight_before_s);
  void find_toes(Ground& ground) const;
  void find_knee(Ground& ground) const;
  [[nodiscard]] Wanted crouching(double t) const;
  [[nodiscard]] Wanted settling(double t) const;
  [[nodiscard]] Wanted flying(std::size_t to, double flight_s, double t) const;
  [[nodiscard]] Wanted on_ground(const Ground& ground, double t) const;
  [[nodiscard]] double toes_in_air(const End& from, const End& to, double flight_s, double t) const;
  [[nodiscard]] double jittered(double cm) { return std::max(0.0, cm + form_.jitter_cm * random_.normal()); }

  template <typename WantedAt>
  void stretch(double from_s, double to_s, const WantedAt& wanted_at) {
    const int steps = std::max(1, static_cast<int>(std::ceil((to_s - from_s) / step_s)));
    for (int i = 0; i <= steps; ++i) {
      const double t = (to_s - from_s) * i / steps;
      table_.add(from_s + t, solver_.solve(wanted_at(t)));
    }
  }

  const HopForm& form_;
  const HopPlan& plan_;
  LegSolver solver_;
  double standing_knee_rad_;
  Random random_;
  std::vector<Ground> grounds_;  // the standing before the first flight, then one a landing
  PoseTable table_;
};

void Shaper::find_grounds() {
  grounds_.resize(plan_.landings().size() + 1);
  for (std::size_t i = 0; i < grounds_.size(); ++i) {
    Ground& ground = grounds_[i];
    const bool first = i == 0;
    const bool last = i + 1 == grounds_.size();
    const double before_s = first ? 0.0 : plan_.landings()[i - 1].flight_s;
    const double after_s = last ? 0.0 : plan_.landings()[i].flight_s;
    const double place_cm = first ? 0.0 : plan_.landings()[i - 1].place_cm;
    ground.landing.place_cm = ground.takeoff.place_cm = place_cm;
    ground.landing.speed = gravity_cm_s2 * before_s / 2;
    ground.takeoff.speed = gravity_cm_s2 * after_s / 2;
    ground.length_s = first  ? crouch_s
                      : last ? settle_s
                             : plan_.landings()[i - 1].takeoff_s - plan_.landings()[i - 1].touchdown_s;
    ground.landing.heel_cm = jittered(form_.landing_heel_cm);
    ground.takeoff.heel_cm = jittered(form_.takeoff_heel_cm);
    ground.lowest_cm = first || last ? 0.0 : jittered(form_.lowest_heel_cm);
    if (!first) {  // a short flight leaves the foot as it was
      const double left_cm = grounds_[i - 1].takeoff.heel_cm;
      ground.landing.heel_cm = left_cm + (ground.landing.heel_cm - left_cm) * std::min(1.0, before_s / pose_change_s);
    }
    find_toes(ground);
    find_heel(ground, before_s);
    find_knee(ground);
  }
}

// The ball leaves or lands no faster than the body goes.
void Shaper::find_toes(Ground& ground) const {
  const double toes_cm = solver_.leg().toe_tip_point_cm().x - solver_.leg().ball_point_cm();
  const double roll_s = std::min(form_.toe_roll_s, ground.length_s / 3);
  const double first_s = std::min(form_.toe_first_s, ground.length_s / 3);
  if (roll_s > 0)
    ground.takeoff.toe_rad =
        std::min(form_.toe_roll_deg * rad_per_deg, ground.takeoff.speed * roll_s / (1.5 * toes_cm));
  if (first_s > 0)
    ground.landing.toe_rad =
        std::min(form_.toe_first_deg * rad_per_deg, ground.landing.speed * first_s / (2 * toes_cm));
  if (first_s > 0) ground.landing.toe_slope = -2 * ground.landing.toe_rad / first_s;
  ground.takeoff.roll_s = roll_s;
}

// The heel sinks as lowest + depth (1 - t / T)^p and rises the same way; p makes its speed at the event the body's.
void Shaper::find_heel(Ground& ground, double flight_before_s) {
  const bool lands = flight_before_s > 0;
  const bool leaves = ground.takeoff.speed > 0;
  const double sink_s = leaves ? lowest_at * ground.length_s : last_sink_s;
  const double rise_s = lands ? (1 - lowest_at) * ground.length_s : last_rise_s;
  if (lands && leaves) {
    const double shallow_cm =
        std::min(ground.landing.heel_cm, ground.takeoff.heel_cm) - ground.landing.speed * sink_s / 1.6;
    ground.lowest_cm = std::max(ground.lowest_cm, shallow_cm);
    ground.lowest_cm = std::min(ground.lowest_cm, std::min(ground.landing.heel_cm, ground.takeoff.heel_cm) - 0.02);
  }
  const double sink_cm = std::max(0.02, ground.landing.heel_cm - ground.lowest_cm);
  const double rise_cm = std::max(0.02, ground.takeoff.heel_cm - ground.lowest_cm);
  ground.landing.heel_slope = -sink_cm * std::max(least_power, ground.landing.speed * sink_s / sink_cm) / sink_s;
  ground.takeoff.heel_slope = rise_cm * std::max(least_power, ground.takeoff.speed * rise_s / rise_cm) / rise_s;
}

// By Morin's formula the leg shortens by Fmax T^2 / (m pi^2) - g T^2 / 8 with Fmax = m g pi / 2 (flight / T + 1); here
// with the mean of the flights before and after, in which g flight / 2 is the speed.
void Shaper::find_knee(Ground& ground) const {
  const double length = ground.length_s;
  const double flight = (ground.landing.speed + ground.takeoff.speed) / gravity_cm_s2;
  const double shorter_cm = gravity_cm_s2 * length * ((flight + length) / (2 * pi) - length / 8);
  const double by_ankle_cm = ankle_share * (ground.landing.heel_cm - ground.lowest_cm);
  const double leg_cm = solver_.leg_length_cm(knee_at_landing_rad) - std::max(0.0, shorter_cm - by_ankle_cm);
  ground.knee_rad = std::min(deepest_knee_rad, solver_.knee_for_length_rad(std::max(1.0, leg_cm)));
}

double sinking(const End& landing, double lowest_cm, double sink_s, double t) {
  const double depth = landing.heel_cm - lowest_cm;
  if (t >= sink_s || depth <= 0) return lowest_cm;
  return lowest_cm + depth * std::pow(1 - t / sink_s, -landing.heel_slope * sink_s / depth);
}

double rising(const End& takeoff, double lowest_cm, double rise_s, double left_s) {
  const double depth = takeoff.heel_cm - lowest_cm;
  if (left_s >= rise_s || depth <= 0) return lowest_cm;
  return lowest_cm + depth * std::pow(1 - left_s / rise_s, takeoff.heel_slope * rise_s / depth);
}

double rolling(const End& takeoff, double left_s) {
  if (takeoff.toe_rad <= 0) return 0.0;
  return takeoff.toe_rad * smooth(std::max(0.0, 1 - left_s / takeoff.roll_s));
}

double coming_down(const End& landing, double t) {
  if (landing.toe_rad <= 0) return 0.0;
  const double first_s = -2 * landing.toe_rad / landing.toe_slope;
  const double share = std::max(0.0, 1 - t / first_s);
  return landing.toe_rad * share * share;
}

// From one angle to the deepest in the middle and on to another, without a jump of speed.
double bending(double from_rad, double deepest_rad, double to_rad, double share) {
  return share < 0.5 ? blend(from_rad, deepest_rad, smooth(2 * share))
                     : blend(deepest_rad, to_rad, smooth(2 * share - 1));
}

Wanted Shaper::crouching(double t) const {
  const End& takeoff = grounds_.front().takeoff;
  const double share = smooth(t / crouch_s);
  Wanted wanted;
  wanted.heel_cm = rising(takeoff, 0.0, last_rise_s, crouch_s - t);
  wanted.toe_turn_rad = rolling(takeoff, crouch_s - t);
  wanted.knee_rad = bending(standing_knee_rad_, knee_before_first_rad, knee_at_takeoff_rad, t / crouch_s);
  wanted.thinner_cm = form_.sole_give_cm * (1 - share) * (standing_load + 1.2 * share);
  return wanted;
}

Wanted Shaper::settling(double t) const {
  const End& landing = grounds_.back().landing;
  const double share = smooth(t / settle_s);
  Wanted wanted;
  wanted.heel_cm = sinking(landing, 0.0, last_sink_s, t);
  wanted.toe_turn_rad = coming_down(landing, t);
  wanted.knee_rad = bending(knee_at_landing_rad, knee_after_last_rad, standing_knee_rad_, t / settle_s);
  wanted.place_cm = landing.place_cm;
  wanted.thinner_cm = form_.sole_give_cm * share * (standing_load + 1.2 * (1 - share));
  return wanted;
}

Wanted Shaper::on_ground(const Ground& ground, double t) const {
  const double length = ground.length_s;
  const double sink_s = lowest_at * length;
  Wanted wanted;
  wanted.heel_cm = t < sink_s ? sinking(ground.landing, ground.lowest_cm, sink_s, t)
                              : rising(ground.takeoff, ground.lowest_cm, length - sink_s, length - t);
  wanted.toe_turn_rad = coming_down(ground.landing, t) + rolling(ground.takeoff, length - t);
  wanted.knee_rad = bending(knee_at_landing_rad, ground.knee_rad, knee_at_takeoff_rad, t / length);
  wanted.place_cm = ground.landing.place_cm;
  wanted.thinner_cm = form_.sole_give_cm * std::sin(pi * t / length);
  return wanted;
}

double Shaper::toes_in_air(const End& from, const End& to, double flight_s, double t) const {
  const double in_line = solver_.leg().raised(from.heel_cm).foot_turn_rad;
  const double droop = form_.toe_droop * in_line * std::min(1.0, flight_s / pose_change_s);
  const double turn_s = droops_at * flight_s;
  if (t < turn_s) {
    return hermite(from.toe_rad, held(from.toe_slope, droop - from.toe_rad, turn_s), droop, 0.0, turn_s, t);
  }
  const double left_s = flight_s - turn_s;
  return hermite(droop, 0.0, to.toe_rad, held(to.toe_slope, droop - to.toe_rad, left_s), left_s, t - turn_s);
}

Wanted Shaper::flying(std::size_t to, double flight_s, double t) const {
  const End& left = grounds_[to - 1].takeoff;
  const End& landing = grounds_[to].landing;
  const double lift = lift_cm(flight_s, t);
  Wanted wanted;
  wanted.heel_cm = lift + hermite(left.heel_cm, left.heel_slope - left.speed, landing.heel_cm,
                                  landing.heel_slope + landing.speed, flight_s, t);
  wanted.clearance_cm = std::max(0.0, clearance_cm(form_, flight_s, t));
  wanted.toe_turn_rad = toes_in_air(left, landing, flight_s, t);
  wanted.knee_rad = blend(knee_at_takeoff_rad, knee_at_landing_rad, smooth(t / flight_s));
  wanted.place_cm = left.place_cm + (landing.place_cm - left.place_cm) * smooth(t / flight_s);
  return wanted;
}

}  // namespace

Pose blended_pose(const Pose& a, const Pose& b, double share) {
  Pose out;
  out.foot_turn_rad = blend(a.foot_turn_rad, b.foot_turn_rad, share);
  out.toe_turn_rad = blend(a.toe_turn_rad, b.toe_turn_rad, share);
  out.ball_cm = {blend(a.ball_cm.x, b.ball_cm.x, share), blend(a.ball_cm.y, b.ball_cm.y, share)};
  out.thinner_cm = blend(a.thinner_cm, b.thinner_cm, share);
  out.shank_lean_rad = blend(a.shank_lean_rad, b.shank_lean_rad, share);
  out.thigh_lean_rad = blend(a.thigh_lean_rad, b.thigh_lean_rad, share);
  return out;
}

void PoseTable::add(double time_s, const Pose& pose) {
  times_s_.push_back(time_s);
  poses_.push_back(pose);
}

Pose PoseTable::at(double time_s) const {
  const auto later = std::upper_bound(times_s_.begin(), times_s_.end(), time_s);
  if (later == times_s_.begin()) return poses_.front();
  if (later == times_s_.end()) return poses_.back();
  const auto i = static_cast<std::size_t>(later - times_s_.begin());
  return blended_pose(poses_[i - 1], poses_[i], (time_s - times_s_[i - 1]) / (times_s_[i] - times_s_[i - 1]));
}

PoseTable hop_poses(const Scene& scene, const LegModel& leg, const HopPlan& plan) {
  return Shaper(scene, leg, plan).table();
}

double planned_clearance_cm(const Scene& scene, const HopPlan& plan, double time_s) {
  if (plan.in_contact(time_s)) return 0.0;
  for (const Landing& landing : plan.landings()) {
    const double left_s = landing.touchdown_s - landing.flight_s;
    if (time_s < landing.touchdown_s) {
      return std::max(0.0, clearance_cm(scene.movement.hops->form, landing.flight_s, time_s - left_s));
    }
  }
  return 0.0;
}

}  // namespace risetrace::synth
