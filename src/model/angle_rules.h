// How sure an angle of the leg is and how a lunge is judged, as models/angles.json describes it.
#pragma once

namespace risetrace::model {

struct AngleRules {
  double landmark_u_cm = 0.0;        // a sticker off its landmark, along each of two axes of its limb
  double leg_depth_u_cm = 0.0;       // a sticker before or behind the plane that the card stands in
  double picture_level_u_deg = 0.0;  // the picture's upright against the true one, without a card
  double usual_shank_cm = 0.0;       // for doubts in cm where no scale is known
  double stiff_within = 0.0;         // shank and thigh keep their length but for this share
  double least_seen_share = 0.0;     // of a rep's frames
  int least_drift_reps = 0;
  double lunge_least_deg = 0.0;  // from standing
  double hold_least_s = 0.0;
  double hold_within_deg = 0.0;  // of its mean, while it is held
  double hidden_most_s = 0.0;    // a lunge's greatest angle may hide in a longer time out of sight
  double ankle_rise_cm = 0.0;    // beyond, the heel may have come up
  double foot_moved_cm = 0.0;    // beyond, the foot is not where it was in the first frame
  double hand_mark_u_cm = 0.0;   // of a place pointed at in the picture
};

}  // namespace risetrace::model
