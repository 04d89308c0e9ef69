// Where the heel sticker was in each frame.
#pragma once

#include <cstdint>
#include <vector>

#include "base/geometry.h"
#include "base/note.h"

namespace risetrace::sticker {

enum class FoundBy { search, hand };

struct TrackSample {
  std::int64_t frame = 0;
  double time_s = 0.0;
  Point px;  // upright pixels; where seen is false, the tracker's guess, not a measurement
  bool seen = false;
  bool repeated = false;  // the frame before shown again while the sticker was moving: no measurement
  double fit = 0.0;       // 0 .. 1: share of the patch's contrast that the sticker model explains
};

struct Track {
  FoundBy found_by = FoundBy::search;
  double radius_px = 0.0;
  double noise_px = 0.0;             // standard deviation of one position, one axis, estimated from the fit
  std::vector<TrackSample> samples;  // one a frame, from the first frame on which it was found
  std::int64_t frames_seen = 0;
  std::int64_t frames_repeated = 0;
  std::int64_t frames_bridged = 0;  // not seen, between two that were seen
  Notes notes;
};

}  // namespace risetrace::sticker
