// What a measurement of a rendered clip should find.
//
// Times are of filming, zero at the middle row's instant of the first frame. Pixels are upright, the centre of the top
// left pixel at (0, 0). A sticker's pixel is the projection of its centre; the middle of its image lies elsewhere where
// the camera looks at it aslant: by about radius^2 / distance^2 x focal length x tan(angle), under 0.03 px for the
// usual set-up.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "model/card.h"
#include "model/raise_protocol.h"
#include "synth/lunge_course.h"
#include "synth/scene.h"

namespace risetrace::synth {

// Of the tested foot of a hop clip, at the instant of the row that its lowest point is on.
struct TruthSole {
  double sole_s = 0.0;
  bool in_contact = false;
  double up_cm = 0.0;  // of the lowest point above the floor, from the plan
  double up_px = 0.0;  // the floor's row under it less its own
  Point lowest_px;
  Point toe_tip_px;   // at its own row's instant
  Point forefoot_px;  // of the forefoot sticker's place, whether there is one or not; at its own row's instant
};

// Of the tested leg in a clip of raises or lunges. Places are of the joints' stickers, whether there are any or not,
// each at its own row's instant; angles at the heel's.
struct TruthLeg {
  Point ankle_px;
  Point knee_px;
  Point hip_px;
  double shank_deg = 0.0;  // from the vertical, forwards positive
  double knee_deg = 0.0;   // bent so far
};

struct TruthFrame {
  int index = 0;
  double time_s = 0.0;     // what the file says
  double heel_s = 0.0;     // the middle of the exposure of the row that the heel sticker is on
  Point heel_px;           // at heel_s
  double height_cm = 0.0;  // of the heel sticker above standing, at heel_s
  bool heel_in_picture = true;
  bool heel_covered = false;  // something is before the sticker's centre
  bool repeated = false;      // shows the frame before again; heel_s is that frame's
  std::optional<TruthSole> sole;
  std::optional<TruthLeg> leg;
};

struct TruthRep {
  int n = 0;
  double leaves_s = 0.0;   // the rise begins
  double start_s = 0.0;    // it has come to the protocol's onset share of its height above the floor
  double peak_s = 0.0;     // the middle of the time at the top
  double end_s = 0.0;      // it is back down to that share
  double lands_s = 0.0;    // the descent ends
  double height_cm = 0.0;  // above standing
  double floor_cm = 0.0;
  std::optional<double> of_reference;
  bool low = false;
  bool lowered = true;
  bool counted = false;
};

struct TruthCountAt {
  double fraction = 0.0;
  int count = 0;
};

// By the contract's rule, from the true heights.
struct TruthSet {
  std::vector<TruthRep> reps;  // those that the clip shows to their end and that are rises by the protocol
  int count = 0;
  std::vector<TruthCountAt> count_at;
  std::optional<double> reference_height_cm;
  std::optional<double> greatest_height_cm;
  std::optional<double> total_height_cm;  // of the counted reps
  std::string end_why;                    // "low-height", "pause", "clip-end"
  double end_s = 0.0;
  int after_rep = 0;
};

// A landing with the flight before it and the time on the ground after it, by the scene's plan. Frames count those
// stored; empty where the clip does not show the event.
struct TruthHop {
  int n = 0;
  double touchdown_s = 0.0;            // before 0 if the clip begins on the ground
  std::optional<double> takeoff_s;     // empty: stays down
  std::optional<int> touchdown_frame;  // the first one in contact
  std::optional<int> takeoff_frame;    // the first one off the ground
  std::optional<double> contact_ms;
  double flight_ms = 0.0;
  double height_cm = 0.0;  // g flight^2 / 8
  HopKind kind = HopKind::hop;
  bool is_hop = true;
  std::optional<int> step;  // of the beat
};

struct TruthClick {
  double time_s = 0.0;        // of filming, picture time
  double file_sound_s = 0.0;  // in the file's sound track, where `on`
  std::optional<int> step;    // empty: of the run-in
  bool accent = false;
};

struct TruthStep {
  double bpm = 0.0;
  double first_s = 0.0;
  double from_s = 0.0;
  double to_s = 0.0;
  int beats = 0;
  int hops = 0;  // meant for this step, of those in the clip
  bool followed = false;
};

struct TruthHops {
  double first_takeoff_s = 0.0;
  std::optional<int> first_takeoff_frame;
  std::vector<TruthHop> hops;  // those of which the clip shows any time on the ground
  std::vector<TruthClick> clicks;
  std::vector<TruthStep> steps;
  double sound_offset_s = 0.0;  // the sound comes so much after the picture
};

struct TruthLunges {
  std::vector<LungeTimes> tries;
  double standing_shank_deg = 0.0;
  Point toe_px;                  // the shoe's tip in the first frame
  std::optional<Point> wall_px;  // where the wall's near face stands on the floor, in the leg's plane
  std::optional<double> toe_to_wall_cm;
};

struct TruthCard {
  CardKind kind = CardKind::tags;
  double offset_cm = 0.0;
  std::vector<int> tag_ids;                 // tags only
  std::vector<std::vector<Point>> tags_px;  // four corners each: top left, top right, bottom right, bottom left
  std::vector<Point> outline_px;            // the same of the whole card (of an ID-1 card as if its corners were sharp)
  std::optional<double> px_per_cm;          // at its middle, root of the area ratio
};

struct Truth {
  int width_px = 0;  // upright
  int height_px = 0;
  double fps = 0.0;
  std::uint64_t seed = 0;
  std::string title;
  double px_per_cm = 0.0;  // upright at the standing heel sticker, root of the area ratio in its plane
  double heel_radius_px = 0.0;
  bool heel_absent = false;
  std::vector<TruthFrame> frames;
  std::vector<TruthCard> cards;       // at the first frame
  TruthSet set;                       // of heel raises
  std::optional<TruthHops> hops;      // of hops; `set` is then empty
  std::optional<TruthLunges> lunges;  // the same
};

Truth truth_of(const Scene& scene, const model::Cards& cards, const model::RaiseProtocol& protocol);
// Indented JSON, schema "risetrace/truth/1".
std::string truth_json(const Truth& truth);

}  // namespace risetrace::synth
