// What a scene says about hops and about the beat they may follow. docs/scenes.md has the table.
#pragma once

#include <optional>
#include <vector>

namespace risetrace::synth {

// What a time on the ground is.
//   hop           the usual
//   double_touch  the foot leaves, touches once more briefly, and only then flies
//   stumble       long on the ground; a foot held up behind comes down
//   step_away     the foot comes down elsewhere
enum class HopKind { hop, double_touch, stumble, step_away };

// A hop is a flight, the landing at its end and the time on the ground after it.
struct HopItem {
  double contact_s = 0.20;
  double flight_s = 0.20;
  HopKind kind = HopKind::hop;
  double step_cm = 8.0;  // of a step away: so far ahead of the place before
};

// Hops made by rule, with jitter from the scene's seed.
struct HopRule {
  int count = 10;
  double contact_s = 0.20;
  double flight_s = 0.20;
  double contact_jitter_s = 0.004;  // standard deviations
  double flight_jitter_s = 0.004;
  int settle_hops = 3;          // the first so many are longer on the ground ...
  double settle_extra_s = 0.0;  // ... the first by this, each later one by evenly less
};

// One hop of a rule or of a beat that is not like the others.
struct SpecialHop {
  int n = 1;  // 1, 2, ...
  HopKind kind = HopKind::stumble;
  double step_cm = 8.0;
};

// So many beats at one tempo.
struct BeatPart {
  double bpm = 150.0;
  int beats = 16;
};

// Clicks: four (or so) to listen to at the first tempo, then step after step.
struct BeatPlan {
  double first_s = 0.0;  // the first of the run-in, of filming
  int run_in = 4;
  std::vector<BeatPart> steps;
};

// How the hops go with one step of the beat: touchdown on the beat, or at a rate of the runner's own.
struct FollowSpec {
  bool follows = true;
  std::optional<double> own_bpm;    // where it does not follow; unset: the rate of the step before, at first the beat's
  double lag_s = 0.0;               // touchdowns come so much after the beat
  double jitter_s = 0.008;          // standard deviation of each touchdown about that
  std::optional<double> contact_s;  // unset: the rule's
};

// The foot's way, the same for all hops but for jitter. Heights are of the heel sticker above standing.
struct HopForm {
  double landing_heel_cm = 5.0;  // at touchdown
  double lowest_heel_cm = 0.8;   // on the ground; a short contact does not come down so far
  double takeoff_heel_cm = 7.0;
  double jitter_cm = 0.2;       // standard deviation of the three
  double toe_roll_s = 0.015;    // before take-off only the toe tip still touches; 0: the ball leaves with it
  double toe_roll_deg = 20.0;   // the toes have then turned so far, or less: the ball is no faster than the body
  double toe_first_s = 0.0;     // at landing the toe tip comes first, the ball so much later
  double toe_first_deg = 12.0;  // or less, likewise
  double toe_droop = 0.7;       // in the air: 0 toes bent up, level; 1 in line with the foot
  double leave_soft_s = 0.004;  // how softly the lowest point leaves; 0: at the body's full speed
  double sole_give_cm = 0.0;    // the sole is thinner by this under the greatest load
};

// One of `list`, `rule` or the scene's beat says when. At most one of list and follow is not empty.
struct HopSpec {
  std::vector<HopItem> list;
  HopRule rule;                    // also the contact, its jitter and the settling of hops that follow a beat
  std::vector<FollowSpec> follow;  // not empty: one for each of the beat's steps
  std::vector<SpecialHop> special;
  HopForm form;
  std::optional<double> phase_s;  // shifts hops by rule or list; unset: 0 .. 1/60 s from the seed
};

}  // namespace risetrace::synth
