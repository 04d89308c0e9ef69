// Keeps the books of a clip while it is read: which times were shown, what was lost, and what to tell about it.
// Plain numbers, no video library. Inside of the reader.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "clip/clip_facts.h"
#include "clip/steps.h"

namespace risetrace::clip {

class Account {
 public:
  // `facts` holds what the container says; `tick_s` is one tick of its clock in seconds of the file.
  Account(ClipFacts facts, double tick_s) : facts_(std::move(facts)), tick_s_(tick_s) {}

  // From the times found before decoding. Settles `stretch` once and for all, because every time handed out is divided
  // by it. A capture rate within 5 % of the file's rate means that nothing was stretched.
  void set_clock(const std::vector<std::int64_t>& scanned_ticks, std::optional<double> capture_rate_hz);

  // Of what is read while it grows: the usual step is learnt from the first frames. Never stretched.
  void learn_clock() { learns_ = true; }

  // Seconds of filming since the first frame shown; nothing where the frame comes at or before the time of the one
  // before it and is left out.
  std::optional<double> time_of(std::int64_t tick, std::int64_t length_ticks);

  // Where a frame without a time would lie in a container that counts frames.
  [[nodiscard]] std::optional<std::int64_t> next_tick() const;

  // A frame at `tick` would come later than the next one after the last frame shown.
  [[nodiscard]] bool leaves_gap(std::int64_t tick) const;

  void add_damaged() {
    if (damaged_++ == 0) damage_after_s_ = filming_s(time_in_file_s() / tick_s_);
  }
  void add_timeless() { ++timeless_; }
  void note(Note note) { facts_.notes.push_back(std::move(note)); }
  void set_cut_off() { cut_off_ = true; }

  [[nodiscard]] double file_rate_hz() const { return step_ticks_ > 0.0 ? 1.0 / (step_ticks_ * tick_s_) : 0.0; }
  [[nodiscard]] double time_in_file_s() const;
  // Where the file has the first frame shown, in seconds of its own clock; nothing before there was one.
  [[nodiscard]] std::optional<double> zero_in_file_s() const {
    return ticks_.empty() ? std::nullopt : std::optional(static_cast<double>(ticks_.front()) * tick_s_);
  }
  [[nodiscard]] std::int64_t frames() const { return static_cast<std::int64_t>(ticks_.size()); }
  [[nodiscard]] std::int64_t damaged() const { return damaged_; }

  void finish();
  [[nodiscard]] ClipFacts facts() const;
  ClipFacts& known() { return facts_; }

 private:
  void write_notes(const StepFacts& steps);
  [[nodiscard]] double filming_s(double ticks) const { return ticks * tick_s_ / facts_.stretch; }

  ClipFacts facts_;
  double tick_s_ = 1.0;
  double step_ticks_ = 0.0;
  double last_length_ticks_ = 0.0;
  std::vector<std::int64_t> ticks_;
  std::int64_t damaged_ = 0;
  double damage_after_s_ = 0.0;  // the last good frame before the first damage
  std::int64_t timeless_ = 0;
  bool cut_off_ = false;
  bool learns_ = false;
};

}  // namespace risetrace::clip
