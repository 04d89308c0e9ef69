// How a heel-raise set is judged, as models/heel-raise.json describes it.
#pragma once

namespace risetrace::model {

struct RaiseProtocol {
  double end_fraction = 0.0;              // a rep under this x reference height is low
  int end_after = 0;                      // so many low reps in a row end the set
  int reference_reps = 0;                 // the reference height is the mean of the first so many
  double beat_bpm = 0.0;                  // one beat up, one beat down
  double least_rise_cm = 0.0;             // a smaller rise is no rep, whatever the reference
  double least_rise_of_reference = 0.0;   // nor is one under this x reference
  double onset_of_rise = 0.0;             // a rise has begun, or ended, at this x its height above the floor
  double not_lowered_of_reference = 0.0;  // floor above this x reference: the heel was not lowered
  double step_across_cm = 0.0;            // a rise that goes farther forward or back and does not turn back is a step
  double end_pause_s = 0.0;               // so long without a rise ends the set
  double on_beat_tolerance = 0.0;         // |period - asked| / asked at most this
  double smooth_cutoff_hz = 0.0;          // of the height trace
  double knee_straight_most_deg = 0.0;    // a knee to be held straight: bent by no more than this
  double knee_bent_least_deg = 0.0;       // one to be held bent: by at least this ...
  double knee_bent_most_deg = 0.0;        // ... and at most this
};

}  // namespace risetrace::model
