// Whether the machine keeps up with the camera, and which frames are left out where it does not.
#pragma once

#include <cstdint>
#include <optional>

#include "base/note.h"

namespace risetrace::measure {

// Whole frames are left out, never silently, and none while what is waited for is the camera or the decoder.
class KeepUp {
 public:
  struct Verdict {
    bool measure = true;  // false: leave this frame out
    Notes notes;          // codes: behind, frames-left-out, caught-up
  };

  // `now_s`: on a clock of the caller's, when the frame was taken up. `waited`: nothing lay ready before.
  Verdict look(double time_s, double now_s, bool waited);
  // How much later than the promptest one the last frame was taken up.
  [[nodiscard]] double behind_s() const { return behind_s_; }
  [[nodiscard]] double most_behind_s() const { return most_behind_s_; }
  [[nodiscard]] std::int64_t left_out() const { return left_out_; }

 private:
  void choose(double time_s, double owed_s, Verdict& verdict);

  std::optional<double> promptest_s_;  // least of now - time
  std::optional<double> waited_at_s_;  // now - time when a frame was last waited for
  double behind_s_ = 0.0;
  double most_behind_s_ = 0.0;
  double said_s_ = 0.0;
  bool thinning_ = false;
  std::int64_t in_a_row_ = 0;  // left out since the last one that was measured
  std::int64_t left_out_ = 0;
  std::int64_t left_out_before_ = 0;
};

}  // namespace risetrace::measure
