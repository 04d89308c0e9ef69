// Makes a click track. The same plan gives the same samples.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "beat/click_track.h"

namespace risetrace::beat {

constexpr int beats_per_bar = 4;
constexpr int run_in_beats = 4;
constexpr double least_bpm = 30.0, greatest_bpm = 240.0;

struct ClickTrackPlan {
  std::vector<TempoStep> steps;  // in order; at least one, all together at most half an hour
  double silence_s = 0.5;        // before the first click: a wireless loudspeaker needs time to wake. 0 .. 10
};

// Each beat lies one period of its own step's tempo before the next beat, so a step's last beat lasts as long as the
// others. No click is moved by the rounding of those before it: each begins at the sample nearest to its ideal time.
// Ends one beat after the last click. Fault option_wrong.
Result<ClickTrack> make_click_track(const ClickTrackPlan& plan);

// "150:100:6": six tempos evenly from 150 down to 100 per minute. Fault option_wrong, with the part that is wrong.
Result<std::vector<double>> ladder_bpm(const std::string& text);

}  // namespace risetrace::beat
