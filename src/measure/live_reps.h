// What is told of the reps as they come: each once, and once more where it has changed.
#pragma once

#include <optional>
#include <vector>

#include "measure/live_event.h"
#include "model/raise_protocol.h"
#include "path/path.h"
#include "raise/find_reps.h"

namespace risetrace::measure {

class LiveReps {
 public:
  explicit LiveReps(const model::RaiseProtocol& protocol) : protocol_(protocol), finder_(protocol) {}

  // `told`: the samples are of now, and the last one's height is said.
  std::vector<LiveEvent> push(const std::vector<path::PathSample>& samples, bool told);
  // No more samples come; `why` as LiveMeasure::last_words().
  std::vector<LiveEvent> finish(raise::EndWhy why);
  [[nodiscard]] bool ended() const { return over_told_; }

 private:
  void tell(const raise::RepSet& set, int closed, bool reference_known, std::vector<LiveEvent>& events);
  void tell_end(std::vector<LiveEvent>& events);
  void warn(std::vector<LiveEvent>& events);

  model::RaiseProtocol protocol_;
  raise::RepFinder finder_;
  std::vector<raise::Rep> told_;
  double standing_cm_ = 0.0;
  std::optional<double> last_s_;
  bool any_standing_ = false;
  bool over_told_ = false;
  bool end_told_ = false;  // the final one
  int warned_of_ = 0;      // the last low rep that was warned of
  double next_height_s_ = 0.0;
};

}  // namespace risetrace::measure
