#include "clip/account.h"

#include <cmath>

namespace risetrace::clip {
namespace {

std::string counted(std::int64_t count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

}  // namespace

void Account::set_clock(const std::vector<std::int64_t>& scanned_ticks, std::optional<double> capture_rate_hz) {
  step_ticks_ = study_steps(scanned_ticks).step_ticks;
  if (!capture_rate_hz || step_ticks_ <= 0.0) return;
  const double ratio = *capture_rate_hz / file_rate_hz();
  constexpr double same = 0.05;
  if (std::abs(ratio - 1.0) > same) facts_.stretch = ratio;
}

std::optional<double> Account::time_of(std::int64_t tick, std::int64_t length_ticks) {
  if (!ticks_.empty() && tick <= ticks_.back()) {
    ++facts_.steps_zero;
    return std::nullopt;
  }
  ticks_.push_back(tick);
  last_length_ticks_ = static_cast<double>(length_ticks);
  constexpr std::size_t enough_to_learn = 30;
  if (learns_ && ticks_.size() == enough_to_learn) step_ticks_ = study_steps(ticks_).step_ticks;
  return filming_s(static_cast<double>(tick) - static_cast<double>(ticks_.front()));
}

double Account::time_in_file_s() const {
  return ticks_.empty() ? 0.0 : (static_cast<double>(ticks_.back()) - static_cast<double>(ticks_.front())) * tick_s_;
}

std::optional<std::int64_t> Account::next_tick() const {
  if (ticks_.empty() || step_ticks_ <= 0.0) return std::nullopt;
  return ticks_.back() + std::llround(step_ticks_);
}

bool Account::leaves_gap(std::int64_t tick) const {
  return !ticks_.empty() && missing_in(static_cast<double>(tick) - static_cast<double>(ticks_.back()), step_ticks_) > 0;
}

void Account::finish() {
  const StepFacts steps = study_steps(ticks_);
  if (steps.step_ticks > 0.0) step_ticks_ = steps.step_ticks;
  facts_.frames_missing = steps.frames_missing;
  facts_.timing_irregular = steps.uneven || steps.frames_missing > 0 || facts_.steps_zero > 0;
  write_notes(steps);
}

void Account::write_notes(const StepFacts& steps) {
  if (steps.frames_missing > 0) {
    const std::int64_t gap_tick = ticks_[static_cast<std::size_t>(steps.first_gap_at)];
    const double gap_s = filming_s(static_cast<double>(gap_tick) - static_cast<double>(ticks_.front()));
    note({"frames-missing",
          counted(steps.frames_missing, "frame is", "frames are") +
              " missing between others: the phone or a later program left them out.",
          gap_s});
  }
  if (facts_.steps_zero > 0) {
    note({"time-steps-zero",
          counted(facts_.steps_zero, "frame", "frames") +
              " came at or before the time of the frame before and had to be left out.",
          std::nullopt});
  }
  if (damaged_ > 0) {
    note({"frames-damaged",
          counted(damaged_, "frame is", "frames are") + " damaged, or built on a damaged one, and had to be left out.",
          damage_after_s_});
  }
  if (timeless_ > 0) {
    note({"frames-without-time", counted(timeless_, "frame has", "frames have") + " no time and had to be left out.",
          std::nullopt});
  }
  if (cut_off_) {
    note({"clip-cut-off", "The file ends in the middle of the clip: the copy or the recording was broken off.",
          filming_s(time_in_file_s() / tick_s_)});
  }
}

ClipFacts Account::facts() const {
  ClipFacts facts = facts_;
  facts.frames = frames();
  if (step_ticks_ > 0.0) facts.frame_rate_hz = 1.0 / filming_s(step_ticks_);
  if (ticks_.empty()) return facts;
  // How long the last frame lasts is often not said, or said of half a picture; then the usual step stands in.
  const bool likely = last_length_ticks_ > 0.75 * step_ticks_ && last_length_ticks_ < 1.5 * step_ticks_;
  const double last = likely || step_ticks_ <= 0.0 ? last_length_ticks_ : step_ticks_;
  facts.duration_s = filming_s(time_in_file_s() / tick_s_ + last);
  return facts;
}

}  // namespace risetrace::clip
