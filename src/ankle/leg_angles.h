// How the leg is held over time: the shank against the vertical, the knee against straight.
//
// Degrees. The shank leans forward (towards the toes) positive; 0 is upright. The knee is bent positive; 0 is hip, knee
// and ankle in one line, under 0 is bent backwards.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/geometry.h"

namespace risetrace::ankle {

// Of the stickers' middles, upright pixels of the camera's reference view.
struct LegPlaces {
  Point ankle_px;
  Point knee_px;
  std::optional<Point> hip_px;
};

struct LegSample {
  std::int64_t frame = 0;
  double time_s = 0.0;
  std::optional<LegPlaces> places;  // empty where a sticker, or how the camera stood, was not seen
  std::optional<double> shank_deg;
  std::optional<double> knee_deg;  // empty without a hip's sticker too
};

struct LegAngles {
  double forward = 0.0;             // +1: the toes point right in the picture, -1: left
  bool upright_by_card = false;     // the vertical is the card's; else the picture's
  std::vector<LegSample> samples;   // one a frame from where both ankle and knee were first followed
  std::int64_t frames_seen = 0;     // with places
  std::int64_t frames_strayed = 0;  // left out: the stickers were not as far apart as the rest of the time
  double localising_deg = 0.0;      // standard uncertainty of one angle from the place of its stickers in the picture
};

}  // namespace risetrace::ankle
