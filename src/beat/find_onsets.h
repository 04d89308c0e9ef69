// Finds sudden beginnings while the sound arrives, 12 ms (bright) and 80 ms (low) behind it.
#pragma once

#include <vector>

#include "beat/onset.h"

namespace risetrace::beat {

// A low one counts where it dies away within 70 ms, which a voice does not, and is no click's own low part.
// An onset: the power after it over the power before, at its greatest within 6 ms (low: 80 ms), over 6 dB (low: 12 dB).
// Its place is the change of variance of greatest likelihood about there. What lies 50 dB under the loudest of the last
// seconds is silence.
class OnsetFinder {
 public:
  explicit OnsetFinder(double slot_s);
  void push(const Slot& slot);
  // The sound ends here, or has a gap: what is pending is settled, what comes next starts anew.
  void finish();

  std::vector<Onset> onsets;
  std::vector<LowOnset> lows;

 private:
  struct Peak {
    long at = -1;  // slot, counted from the beginning of the history; -1: none
    double strength_db = 0.0;
    int band = 0;
  };
  void look_for_click(long at);
  void look_for_low(long at);
  void settle_click();
  void settle_low();
  [[nodiscard]] LowOnset placed(long low_at, double strength_db) const;
  void forget_old();
  [[nodiscard]] double mean_of(int band, long from, long to) const;  // band: see power()
  // Of a click band, or -1: 40 to 160 Hz, -2: 160 to 640 Hz.
  [[nodiscard]] float power(int band, long at) const;
  [[nodiscard]] long change_point(int band, long from, long to, long least, long greatest) const;

  std::vector<Slot> history_;
  double forget_per_slot_;
  double loudest_ = 0.0, loudest_low_ = 0.0;
  Peak click_, low_;
};

}  // namespace risetrace::beat
