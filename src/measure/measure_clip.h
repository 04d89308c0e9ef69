// One clip in, one Measurement out: the only place that knows the order of the steps.
#pragma once

#include <string>

#include "base/progress.h"
#include "base/result.h"
#include "clip/read_clip.h"
#include "measure/measurement.h"
#include "model/card.h"
#include "model/hand_marks.h"
#include "model/hop_protocol.h"
#include "scale/find_scale.h"
#include "sticker/track_lunge.h"
#include "sticker/track_sticker.h"

namespace risetrace::measure {

struct MeasureOptions {
  clip::ReadOptions read;
  scale::ScaleOptions scale;
  sticker::TrackOptions track;
  Asked asked;  // protocol: from models/, with the command line's changes
  model::HopProtocol hop_protocol;
  sticker::LungeTrackOptions lunge_track;
  review::Corrections corrections;  // what a person corrected in an earlier result of this clip
  model::HandMarks hand_marks;
};

// How heel raises, lunges and the first look at hops are read. A sticker and a card do not notice blocks with borders.
// The sole's dark edge, which hops are timed by, does, and so does a plain wall that has to tell by itself whether the
// camera moved.
inline clip::ReadOptions for_stickers(clip::ReadOptions read, const scale::ScaleOptions& scale) {
  read.smooth_blocks = scale.px_per_cm || scale.card == scale::CardKind::none;
  return read;
}

// Reads the clip once, from front to back, in memory that does not grow with its length but for a few bytes a frame.
// Faults: those of clip/, scale/ and sticker/, and clip_too_short, sticker_lost (out of sight for so long that a rep
// may have been missed), no_movement, camera_lost (the same for the camera's movement), corrections_wrong,
// stopped.
Result<Measurement> measure_clip(const std::string& path, const model::Cards& cards, const MeasureOptions& options,
                                 const Watcher& watcher);

// The beat in the clip's sound; empty, with a note, where there is none or no sound.
beat::Beats hear_beats(const std::string& path, std::optional<double> capture_fps);

}  // namespace risetrace::measure
