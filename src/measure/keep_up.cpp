#include "measure/keep_up.h"

#include <algorithm>
#include <string>

#include "base/rounded.h"

namespace risetrace::measure {
namespace {

constexpr double said_from_s = 1.0;  // twice what the set's end may take; pieces of a recording come 0.3 s apart
constexpr double thin_from_s = 0.5;  // the machine owes so much: time to leave frames out
constexpr double thin_until_s = 0.1;
constexpr std::int64_t most_in_a_row = 3;  // a rep needs frames: of 60 a second 15 are left

}  // namespace

void KeepUp::choose(double time_s, double owed_s, Verdict& verdict) {
  if (!thinning_ && owed_s > thin_from_s) {
    thinning_ = true;
    left_out_before_ = left_out_;
    verdict.notes.push_back(
        {"frames-left-out",
         "This machine is slower than the pictures come: frames are left out until it has caught up.", time_s});
  } else if (thinning_ && owed_s < thin_until_s) {
    thinning_ = false;
    verdict.notes.push_back(
        {"caught-up",
         "The machine has caught up; " + std::to_string(left_out_ - left_out_before_) + " frames were left out.",
         time_s});
  }
  const std::int64_t each = owed_s > 2 * thin_from_s ? most_in_a_row : 1;
  verdict.measure = !thinning_ || in_a_row_ >= each;
  in_a_row_ = verdict.measure ? 0 : in_a_row_ + 1;
  if (!verdict.measure) ++left_out_;
}

KeepUp::Verdict KeepUp::look(double time_s, double now_s, bool waited) {
  Verdict verdict;
  const double late_s = now_s - time_s;
  promptest_s_ = std::min(promptest_s_.value_or(late_s), late_s);
  if (waited || !waited_at_s_) waited_at_s_ = late_s;
  behind_s_ = late_s - *promptest_s_;
  most_behind_s_ = std::max(most_behind_s_, behind_s_);
  if (behind_s_ > said_from_s && behind_s_ > 2 * said_s_) {
    said_s_ = behind_s_;
    verdict.notes.push_back(
        {"behind",
         "What is said comes " + rounded(behind_s_, 1) + " s late: the machine, or what sends the pictures, is slow.",
         time_s});
  } else if (behind_s_ < said_from_s / 2) {
    said_s_ = 0.0;
  }
  choose(time_s, late_s - *waited_at_s_, verdict);
  return verdict;
}

}  // namespace risetrace::measure
