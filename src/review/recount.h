// A result counted anew without its clip, in milliseconds: other rules, other corrections.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "hop/hops.h"
#include "model/hop_protocol.h"
#include "raise/reps.h"
#include "review/by_hand.h"
#include "review/kept_result.h"

namespace risetrace::review {

struct Recount {
  Test test = Test::heel_raise;
  model::RaiseProtocol protocol;              // heel raises: the rules counted by
  std::optional<double> beat_bpm;             // hops: asked for
  std::optional<raise::RepSet> raises;        // uncertainties are not in it: only a full measuring tells them
  std::optional<raise::RepSet> found_raises;  // the same with no correction
  std::optional<hop::HopSet> hops;
  std::optional<hop::HopSet> found_hops;
  std::vector<std::string> needs_measuring;  // corrections that only a full measuring can take in, as files spell them
};

// `asked` goes before the settings of `corrections`. With the kept result's own corrections and nothing asked the
// result's own count, set end and heights come out, to the last digit. Faults: corrections_wrong.
Result<Recount> recount(const KeptResult& kept, const Corrections& corrections, const HandSettings& asked,
                        const model::HopProtocol& hop_protocol);

}  // namespace risetrace::review
