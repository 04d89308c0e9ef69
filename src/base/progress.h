// How a long job tells how far it is and is asked to stop.
#pragma once

#include <functional>

namespace risetrace {

struct Progress {
  const char* stage = "";  // "measuring", "drawing the overlay"
  double share = 0.0;      // 0 .. 1 of this stage
};

struct Watcher {
  std::function<void(const Progress&)> on_progress;  // may be empty; called from the calling thread
  std::function<bool()> stop_asked;                  // may be empty; polled once a frame

  void tell(const char* stage, double share) const {
    if (on_progress) on_progress({stage, share});
  }
  [[nodiscard]] bool stop() const { return stop_asked && stop_asked(); }
};

}  // namespace risetrace
