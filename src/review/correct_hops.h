// A person's corrections laid over the times on the ground that were found. What follows from them is hop/'s to judge.
#pragma once

#include <cstdint>
#include <vector>

#include "base/result.h"
#include "hop/contacts.h"
#include "review/corrections.h"

namespace risetrace::review {

struct FrameTime {
  std::int64_t frame = 0;
  double time_s = 0.0;
};

// `frames` in order. An instant given by its frame, the first in contact or the first off the ground, lies half-way
// between that frame and the one before, within half a frame to either side. A landing that is taken out stays in the
// list, doubtful, so that the flights beside it keep their times and the hops about it are not held against it; one
// that was none at all (no_landing) goes, and the flights on its two sides become one. A landing that is put in takes
// the place of any that was taken out there.
//
// Fault corrections_wrong, naming the correction: no such landing, a frame that the trace has not, times out of order.
Result<hop::Contacts> correct_hops(const hop::Contacts& found, const std::vector<FrameTime>& frames,
                                   const Corrections& corrections);

}  // namespace risetrace::review
