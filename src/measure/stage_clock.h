// How long the stages of a measurement took.
#pragma once

#include <chrono>
#include <vector>

#include "measure/measurement.h"

namespace risetrace::measure {

// Counts from its making, or from the stage before. `times` must outlive it.
class StageClock {
 public:
  explicit StageClock(std::vector<StageTime>& times) : times_(times) {}
  void done(const char* stage) {
    const auto now = std::chrono::steady_clock::now();
    times_.push_back({stage, std::chrono::duration<double>(now - since_).count()});
    since_ = now;
  }

 private:
  std::vector<StageTime>& times_;
  std::chrono::steady_clock::time_point since_ = std::chrono::steady_clock::now();
};

}  // namespace risetrace::measure
