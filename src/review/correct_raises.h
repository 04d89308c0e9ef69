// A person's corrections laid over the reps that were found, and judged anew by the same rules.
#pragma once

#include <vector>

#include "base/result.h"
#include "model/raise_protocol.h"
#include "path/path.h"
#include "raise/rep_set.h"
#include "review/corrections.h"

namespace risetrace::review {

// `found` as RepFinder gives it for `samples` under `protocol`, which already has the corrections' settings
// (by_hand.h). What no correction touches stays as it is, to the last bit: a rep's floor changes only with its own peak
// or the one before, a pause only with its rep's end or the next start. Heights of peaks that were moved or put in are
// the smoothed path's at that time. Standing stays what it was found to be.
//
// A rep is meant by where its peak was found (within a tenth of a second: another way of following the sticker moves it
// a little). Fault corrections_wrong, naming the correction: no such rep, an instant outside the path, instants that
// are out of order.
Result<raise::Found> correct_raises(const raise::Found& found, const std::vector<path::PathSample>& samples,
                                    const Corrections& corrections, const model::RaiseProtocol& protocol);

// The same in one: found, corrected, judged by `protocol`, which already has the corrections' settings.
Result<raise::RepSet> corrected_set(const std::vector<path::PathSample>& samples, const Corrections& corrections,
                                    const model::RaiseProtocol& protocol);

}  // namespace risetrace::review
