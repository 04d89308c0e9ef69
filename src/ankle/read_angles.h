// From where the stickers were to how the leg was held.
#pragma once

#include <optional>

#include "ankle/leg_angles.h"
#include "ankle/plane_map.h"
#include "camera/view.h"
#include "sticker/leg_tracks.h"

namespace risetrace::ankle {

struct AngleQuestion {
  double forward = 1.0;  // +1: the toes point right in the picture, -1: left
  double localising_u_px = 0.0;
  double stiff_within = 0.0;  // models/angles.json
};

// Frame by frame, as measured: nothing is smoothed, nothing bridged. `tracks` has ankle and knee; with the hip the
// knee's angle too. Frames in which the stickers are not as far apart as mostly are left out and counted.
LegAngles read_angles(const sticker::LegTracks& tracks, const camera::CameraPath& camera, const PlaneMap& map,
                      const AngleQuestion& question);

}  // namespace risetrace::ankle
