// Reps and the set's end from the heel's height, decided as the samples arrive: the same code runs on a file and live.
#pragma once

#include <memory>
#include <optional>

#include "model/raise_protocol.h"
#include "path/path.h"
#include "raise/rep_set.h"
#include "raise/reps.h"

namespace risetrace::raise {

class RepFinder {
 public:
  explicit RepFinder(const model::RaiseProtocol& protocol);
  RepFinder(const RepFinder&) = delete;
  RepFinder& operator=(const RepFinder&) = delete;
  RepFinder(RepFinder&&) noexcept;
  RepFinder& operator=(RepFinder&&) noexcept;
  ~RepFinder();

  // Samples in order of time. Never looks ahead: what is known after a sample rests on that sample and those before.
  void push(const path::PathSample& sample);
  // The set's end, once the rule has been met; it never changes afterwards.
  [[nodiscard]] std::optional<SetEnd> ended() const;
  // All that can be said when no more samples come. Empty `reps` where nothing rose. Changes nothing: a live view may
  // ask how things stand and go on.
  [[nodiscard]] RepSet finish() const;
  // The same before the rules are laid over it: what a person may correct.
  [[nodiscard]] Found found() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::raise
