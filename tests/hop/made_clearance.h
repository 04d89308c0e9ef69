// Clearances of a shoe made up for tests, with the instants at which it left and reached the ground. Numbers only.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include "hop/contacts.h"
#include "sole/clearance.h"

namespace risetrace::hop::test {

struct MadeHop {
  double flight_s = 0.2;  // before the landing
  double contact_s = 0.2;
};

// How a foot leaves, over `soft_s`: at once, at the body's full speed; its missing speed fading as exp(-t / soft), the
// push of a spring let go; or gathering speed as half a cosine does, so gently at first that no picture can show it.
enum class Leaving { at_once, fading, gathering };

// Standing until `start_s`, then the hops; after the last contact one more flight of `last_flight_s`, if it is not 0,
// and the foot stays down. The lowest point follows the body in the air, lands at full speed and leaves as told.
struct MadeClip {
  double start_s = 0.5;
  std::vector<MadeHop> hops;
  double last_flight_s = 0.2;
  double tail_s = 0.4;

  double fps = 240;
  double phase_s = 0.0;   // of the first frame
  double jitter_s = 0.0;  // standard deviation of a frame about its even place; known to who reads the clip
  double exposure_s = 0.0;
  double px_per_cm = 10;
  double noise_px = 0.1;  // standard deviation of a clearance, also what it says of itself
  Leaving leaving = Leaving::at_once;
  double soft_s = 0.0;
  double give_cm = 0.0;      // of the sole or the floor under the greatest load, half a sine over the contact
  double own_bend = 0.0;     // the foot is drawn up in the air: its bend is (1 + own_bend) of gravity's
  double slow_motion = 1.0;  // the clock runs slower by this
  unsigned seed = 1;
};

struct MadeEvents {
  std::vector<double> touchdowns_s;  // of contact 1, 2, ...; contact 0 is the standing before
  std::vector<double> takeoffs_s;    // of contact 0, 1, ...
};

inline MadeEvents events_of(const MadeClip& clip) {
  MadeEvents events;
  double t = clip.start_s;
  events.takeoffs_s.push_back(t);
  for (const MadeHop& hop : clip.hops) {
    events.touchdowns_s.push_back(t += hop.flight_s);
    events.takeoffs_s.push_back(t += hop.contact_s);
  }
  if (clip.last_flight_s > 0) {
    events.touchdowns_s.push_back(t + clip.last_flight_s);
  } else {
    events.takeoffs_s.pop_back();
  }
  return events;
}

// So long after a take-off, of a flight of that length. The path lost to the soft leaving is given back evenly by a
// higher speed, so that the landing is where it should be.
inline double in_flight_cm(const MadeClip& clip, double flight_s, double after_s) {
  const double gravity = 980.665 * (1 + clip.own_bend);
  const double soft = std::min(clip.soft_s, flight_s / 3);
  const auto gone = [&](double t) {  // the integral of the speed's share
    if (soft <= 0 || clip.leaving == Leaving::at_once) return t;
    if (clip.leaving == Leaving::fading) return t - soft * (1 - std::exp(-t / soft));
    if (t >= soft) return t - soft / 2;
    return t / 2 - soft / (2 * M_PI) * std::sin(M_PI * t / soft);
  };
  const double speed = gravity * flight_s * flight_s / 2 / gone(flight_s);
  return speed * gone(after_s) - gravity * after_s * after_s / 2;
}

inline double clearance_cm(const MadeClip& clip, const MadeEvents& events, double t) {
  if (t < events.takeoffs_s.front()) return 0;
  for (std::size_t i = 0; i < events.touchdowns_s.size(); ++i) {
    const double down = events.touchdowns_s[i];
    if (t < down) return std::max(0.0, in_flight_cm(clip, down - events.takeoffs_s[i], t - events.takeoffs_s[i]));
    if (i + 1 >= events.takeoffs_s.size()) return 0;  // the last stays down
    const double up = events.takeoffs_s[i + 1];
    if (t < up) return -clip.give_cm * std::sin(M_PI * (t - down) / (up - down));
  }
  return 0;
}

inline sole::Clearance clearance_of(const MadeClip& clip) {
  const MadeEvents events = events_of(clip);
  const double end_s = events.touchdowns_s.back() + clip.tail_s;
  std::mt19937 random(clip.seed);
  std::normal_distribution<double> normal(0, 1);
  sole::Clearance out;
  out.floor_row_px = 600;
  for (std::int64_t n = 0;; ++n) {
    const double t = clip.phase_s + static_cast<double>(n) / clip.fps + clip.jitter_s * normal(random);
    if (t > end_s) break;
    constexpr int pieces = 16;
    double sum = 0;
    for (int i = 0; i < pieces; ++i)
      sum += clearance_cm(clip, events, t + clip.exposure_s * ((i + 0.5) / pieces - 0.5));
    const double up_px = clip.px_per_cm * sum / pieces + clip.noise_px * normal(random);
    out.samples.push_back({n, t * clip.slow_motion, up_px, std::max(0.05, clip.noise_px), true});
  }
  return out;
}

// A run of hops about 0.2 s on the ground and `flight_s` in the air, uneven by some milliseconds, so that events meet
// the frames at every phase: 150 a minute at 240 fps would be 96 frames exactly.
inline MadeClip uneven_hops(int count, unsigned seed, double contact_s = 0.2, double flight_s = 0.2) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> about(-0.012, 0.012);
  MadeClip clip;
  clip.seed = seed;
  clip.start_s = 0.5 + about(random);
  for (int i = 0; i < count; ++i) clip.hops.push_back({flight_s + about(random), contact_s + about(random)});
  clip.last_flight_s = flight_s;
  return clip;
}

}  // namespace risetrace::hop::test
