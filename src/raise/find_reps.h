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
  // For who must say it at once: as ended(), or sooner, when the low rep that decides has passed its top and the heel
  // has come down far enough to count as lowered. That the set ends with this rep is then certain but for a foot that,
  // so far down, is still set down elsewhere; t_s is the sample's that showed it; ended() follows when the heel is down
  // for good and has the rule's own t_s.
  [[nodiscard]] std::optional<SetEnd> ending() const;
  // So many rises are over, their heels down again. What finish() says of these reps stays, but for a landing that was
  // only a stop on the way down, and, before the reference is known, all that is
  // told by it.
  [[nodiscard]] int closed() const;
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
