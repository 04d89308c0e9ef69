// Sudden beginnings in a sound.
#pragma once

#include <array>

#include "beat/band_power.h"

namespace risetrace::beat {

constexpr int shape_slots = 64;
constexpr int shape_before = 24;  // slots of a shape that lie before the onset

// Something short and bright, as a click is.
struct Onset {
  double time_s = 0.0;                     // where the power in `band` jumps
  double strength_db = 0.0;                // the 3 ms after over the 10 ms before, in `band`
  int band = 0;                            // where it stands out most
  std::array<float, click_bands> power{};  // of the 3 ms after, less what was there before
  std::array<float, shape_slots> shape{};  // slot by slot of 0.25 ms, the power in `band`
};

struct LowOnset {
  double time_s = 0.0;       // where the power from 160 to 640 Hz jumps
  double strength_db = 0.0;  // the 10 ms after over the 40 ms before, from 40 to 160 Hz
  double low_s = 0.0;   // where that from 40 to 160 Hz reaches a tenth of its greatest: later, but no click moves it
  double rise_s = 0.0;  // to the greatest power from 160 to 640 Hz from a hundredth of it
  double soft_s = 0.0;  // to `time_s` from that hundredth
};

}  // namespace risetrace::beat
