#include "synth/leg_solver.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace risetrace::synth {
namespace {

constexpr double steepest_rad = 85.0 * std::numbers::pi / 180.0;
constexpr double near_rad = 0.02;
constexpr double straightest = 1.0 - 1e-9;  // share of the leg's full length

// Of a triangle with sides a, b about the angle and c opposite.
double angle_between(double a, double b, double c) {
  return std::acos(std::clamp((a * a + b * b - c * c) / (2 * a * b), -1.0, 1.0));
}

}  // namespace

LegSolver::LegSolver(const LegModel& leg) : leg_(leg) {
  const Pose standing = leg.raised(0.0);
  standing_hip_cm_ = hip_of(standing);
  standing_heel_cm_ =
      leg.place_cm(Part::heel_part, leg.heel_sticker_point_cm(), standing).y - leg.lowest_of_shoe_cm(standing).y;
}

Point LegSolver::hip_of(const Pose& pose) const {
  return leg_.place_cm(Part::thigh, {0.0, leg_.thigh_length_cm()}, pose);
}

// How much higher than wanted the heel is with this turn.
double LegSolver::excess_cm(Pose& pose, double turn_rad, const Wanted& wanted) const {
  pose.foot_turn_rad = turn_rad;
  const double heel_cm = leg_.place_cm(Part::heel_part, leg_.heel_sticker_point_cm(), pose).y;
  return heel_cm - leg_.lowest_of_shoe_cm(pose).y - standing_heel_cm_ + wanted.clearance_cm - wanted.heel_cm;
}

// Regula falsi with the Illinois rule (Dowell & Jarratt 1971, BIT 11:168, from memory), first near the turn before.
double LegSolver::foot_turn(Pose pose, const Wanted& wanted) const {
  double low = std::max(0.0, last_turn_rad_ - near_rad);
  double high = std::min(steepest_rad, last_turn_rad_ + near_rad);
  double at_low = excess_cm(pose, low, wanted);
  double at_high = excess_cm(pose, high, wanted);
  if (at_low > 0 || at_high < 0) {
    low = 0.0;
    high = steepest_rad;
    at_low = excess_cm(pose, low, wanted);
    at_high = excess_cm(pose, high, wanted);
  }
  if (at_low >= 0) return low;
  if (at_high <= 0) return high;
  double turn = low;
  for (int round = 0; round < 60 && high - low > 1e-12; ++round) {
    turn = (low * at_high - high * at_low) / (at_high - at_low);
    const double at_turn = excess_cm(pose, turn, wanted);
    if (std::abs(at_turn) < 1e-9) break;
    if (at_turn < 0) {
      low = turn;
      at_low = at_turn;
      at_high /= 2;
    } else {
      high = turn;
      at_high = at_turn;
      at_low /= 2;
    }
  }
  return turn;
}

// The foot rolls over the toes' underside: what touches there stays where it is along the floor.
Pose LegSolver::solve(const Wanted& wanted) {
  Pose pose;
  pose.toe_turn_rad = wanted.toe_turn_rad;
  pose.foot_turn_rad = last_turn_rad_ = foot_turn(pose, wanted);
  pose.thinner_cm = wanted.thinner_cm;
  const double tip_cm = 0.8 * (leg_.toe_tip_point_cm().x - leg_.ball_point_cm());
  pose.ball_cm = {wanted.place_cm + tip_cm * (1.0 - std::cos(wanted.toe_turn_rad)),
                  wanted.clearance_cm - leg_.lowest_of_shoe_cm(pose).y};
  const Point ankle = leg_.place_cm(Part::heel_part, leg_.ankle_point_cm(), pose);
  const double length = leg_length_cm(wanted.knee_rad);
  const double aside = standing_hip_cm_.x + wanted.place_cm - ankle.x;
  bend_to_hip(pose, {ankle.x + aside, ankle.y + std::sqrt(std::max(0.0, length * length - aside * aside))});
  return pose;
}

void LegSolver::bend_to_hip(Pose& pose, Point hip_cm) const {
  const Point ankle = leg_.place_cm(Part::heel_part, leg_.ankle_point_cm(), pose);
  const double shank = leg_.shank_length_cm();
  const double thigh = leg_.thigh_length_cm();
  const double far = std::hypot(hip_cm.x - ankle.x, hip_cm.y - ankle.y);
  const double reach = std::clamp(far, std::abs(thigh - shank) + 1.0, (shank + thigh) * straightest);
  const double lean = std::atan2(hip_cm.x - ankle.x, hip_cm.y - ankle.y);
  pose.shank_lean_rad = lean + angle_between(shank, reach, thigh);
  pose.thigh_lean_rad = lean - angle_between(thigh, reach, shank);
}

double LegSolver::leg_length_cm(double knee_rad) const {
  const double shank = leg_.shank_length_cm();
  const double thigh = leg_.thigh_length_cm();
  return std::sqrt(shank * shank + thigh * thigh + 2 * shank * thigh * std::cos(knee_rad));
}

double LegSolver::knee_for_length_rad(double length_cm) const {
  return std::numbers::pi - angle_between(leg_.shank_length_cm(), leg_.thigh_length_cm(), length_cm);
}

}  // namespace risetrace::synth
