// The result's table from what was found.
#pragma once

#include <optional>
#include <vector>

#include "model/raise_protocol.h"
#include "raise/reps.h"
#include "raise/set_end.h"

namespace risetrace::raise {

struct Found {
  std::vector<Rise> rises;  // all closed
  double standing_cm = 0.0;
  std::vector<double> steps_s;  // when the foot was lifted and put down elsewhere
  bool standing_guessed = false;
  std::optional<double> reference_cm;  // set where there are rises
  bool reference_from_fewer = false;
  bool began_in_a_rep = false;
  bool ended_in_a_rep = false;
  SetEnd set_end;
  double first_s = 0.0;  // of the samples
  double last_s = 0.0;
};

RepSet rep_set_of(const Found& found, const model::RaiseProtocol& protocol);

}  // namespace risetrace::raise
