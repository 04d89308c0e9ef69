// What is told while a set is filmed, as lines of JSON and as lines for a person.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/result.h"
#include "measure/live_event.h"
#include "measure/measurement.h"

namespace risetrace::report {

// How the telling went, for the last line.
struct LiveAccount {
  std::int64_t frames_left_out = 0;
  double most_behind_s = 0.0;
  double lag_s = 0.0;
  std::optional<measure::LiveSetEnd> told_end;  // the final one
};

// One line of docs/live.md's table, with its line feed. `said_s`: the time of the newest frame that was there when it
// was said.
std::string live_line(const measure::LiveEvent& event, double said_s);
// The last one: what all of the frames together give, or why they give nothing.
std::string live_done_line(const Result<measure::Measurement>& measured, const LiveAccount& account);

// A line for a person, without a line feed; empty where there is nothing to say of it.
std::string live_words(const measure::LiveEvent& event);
// A height as a bar of `width` columns, full at `full_cm`.
std::string live_bar(double height_cm, double full_cm, int width);

}  // namespace risetrace::report
