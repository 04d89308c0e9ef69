// Everything that one clip gave: what the writers of report/ write.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "ankle/knee_set.h"
#include "ankle/leg_angles.h"
#include "ankle/lunge.h"
#include "base/geometry.h"
#include "base/note.h"
#include "base/test_form.h"
#include "beat/beats.h"
#include "camera/view.h"
#include "clip/clip_facts.h"
#include "clip/frame.h"
#include "hop/contacts.h"
#include "hop/hops.h"
#include "model/angle_rules.h"
#include "model/raise_protocol.h"
#include "path/path.h"
#include "raise/reps.h"
#include "review/corrections.h"
#include "scale/find_scale.h"
#include "scale/scale.h"
#include "sole/clearance.h"
#include "sticker/leg_tracks.h"
#include "sticker/track.h"

namespace risetrace::measure {

inline constexpr std::int64_t least_frames = 15;  // a shorter clip is refused

// How it was filmed and where the stickers are, as told. What a person corrected later is not here. Places are those in
// the first frame, upright pixels.
struct Told {
  scale::ScaleOptions scale;
  std::optional<double> capture_fps;
  std::optional<Point> heel_px;
  std::optional<Point> forefoot_px;
  std::optional<Point> ankle_px;
  std::optional<Point> knee_px;
  std::optional<Point> hip_px;
};

// What was asked, with every default filled in: a result says by which rules it was made.
struct Asked {
  Side side = Side::not_stated;
  Knee knee = Knee::not_stated;
  std::optional<double> mass_kg;
  model::RaiseProtocol protocol;  // with the command line's changes
  Test test = Test::heel_raise;
  std::optional<double> beat_bpm = std::nullopt;   // hops only, the beat asked for; heel raises: protocol.beat_bpm
  model::AngleRules angles = {};                   // of the knee in heel raises, and of lunges
  std::optional<Point> toe_px = std::nullopt;      // lunges only: the shoe's tip in the first frame, upright pixels
  std::optional<double> wall_x_px = std::nullopt;  // and the wall
  Told told = {};
};

struct EventFrame {
  std::int64_t frame = 0;
  double time_s = 0.0;
  clip::GreyPicture picture;
};

// The frames about one touchdown or one take-off, cut out round the shoe, so that a person can see that it is right.
// About twice as wide as tall shows best on paper.
struct EventStrip {
  std::vector<EventFrame> frames;  // in order of time; empty: there is none to show
  std::size_t event = 0;           // which of them is the first in contact, or the first off the ground
  int hop = 0;                     // the hop's n
  Box box;  // what was cut out, upright pixels, the same in every frame; a picture may be smaller
};

struct StageTime {
  std::string stage;
  double seconds = 0.0;
};

// What one source of doubt does to a height: standard uncertainty over the height of the highest rep.
struct ScalePart {
  scale::DoubtFrom from = scale::DoubtFrom::fit;
  double relative_u = 0.0;
};

// What was found before a person corrected it: with the same sticker and the same scale.
struct Automatic {
  Asked asked;
  std::optional<raise::RepSet> raises;
  std::optional<hop::HopSet> hops;
  hop::Contacts contacts;
};

struct Measurement {
  clip::ClipFacts clip;
  std::string clip_sha256;
  Asked asked;
  scale::Scale scale;
  camera::CameraPath camera;  // not of hops
  sticker::Track track;
  path::Path path;                      // empty without a scale
  std::optional<raise::RepSet> raises;  // empty without a scale
  std::vector<ScalePart> scale_parts;   // empty where the scale's uncertainty is not known
  std::optional<double> work_j;
  std::optional<double> work_j_u;   // the mass taken as stated
  std::optional<hop::HopSet> hops;  // only where hops were asked for; so are the six below
  hop::Contacts contacts;
  sole::Clearance clearance;               // empty where the sole could not be followed
  std::optional<sticker::Track> forefoot;  // the heel's is `track`
  EventStrip touchdown_strip;
  EventStrip takeoff_strip;
  std::optional<double> forward;           // of any test: +1: the toes point right in the picture, -1: left
  sticker::LegTracks leg;                  // of heel raises all three or none; of a lunge ankle and knee
  std::optional<ankle::LegAngles> angles;  // where there is a leg
  std::optional<ankle::KneeSet> knee;      // heel raises with a leg
  std::optional<ankle::Lunge> lunge;       // only where a lunge was asked for; `track` is then the knee's
  EventFrame lunge_still;                  // the whole picture, smaller, within the hold; empty: there is none to show
  beat::Beats beats;                       // for heel raises too, where it was listened for
  bool clock_trusted = true;               // hops: false: nothing that needs the clock's pace is given
  review::Corrections corrections;         // that were taken in
  std::optional<Automatic> automatic;      // where there are corrections
  Notes notes;                             // all rooms' notes together, in order of time
  std::vector<StageTime> stage_times;
};

// Where no card tells the scale a sticker is taken to have a radius of 1 cm: it sizes what is looked at and shown, and
// no number that is given.
inline double px_per_cm_of_sticker(double radius_px) { return std::max(2.0, radius_px); }

inline double px_per_cm_about(const Measurement& m) {
  return m.scale.px_per_cm.value_or(px_per_cm_of_sticker(m.track.radius_px));
}

}  // namespace risetrace::measure
