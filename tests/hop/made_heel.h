// The heel's sticker in the made-up hops of made_clearance.h.
#pragma once

#include <algorithm>
#include <cmath>
#include <random>

#include "made_clearance.h"
#include "sticker/track.h"

namespace risetrace::hop::test {

// The heel sinks on the ground and has no flight of its own: up 5 cm at touchdown, down to 1 cm, as in a soft hop.
inline sticker::Track heel_of(const test::MadeClip& clip) {
  const test::MadeEvents events = events_of(clip);
  sticker::Track track;
  std::mt19937 random(clip.seed);
  std::normal_distribution<double> noise(0, 0.1);
  const double end_s = events.touchdowns_s.back() + clip.tail_s;
  for (std::int64_t n = 0; static_cast<double>(n) / clip.fps < end_s; ++n) {
    const double t = static_cast<double>(n) / clip.fps;
    double cm = t < events.takeoffs_s.front() ? 5 * std::exp(-(events.takeoffs_s.front() - t) / 0.05) : 5;
    cm += std::max(0.0, clearance_cm(clip, events, t));
    for (std::size_t i = 0; i < events.touchdowns_s.size(); ++i) {
      const double down = events.touchdowns_s[i];
      const double up = i + 1 < events.takeoffs_s.size() ? events.takeoffs_s[i + 1] : down + 0.2;
      if (t >= down && t < up) cm -= 4 * std::sin(M_PI * (t - down) / (up - down));
    }
    track.samples.push_back({n, t, {100, 500 - clip.px_per_cm * cm + noise(random)}, true, false, 1});
  }
  return track;
}

}  // namespace risetrace::hop::test
