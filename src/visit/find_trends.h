// Each quantity over the visits of a person, and whether it changed more than retest noise.
#pragma once

#include <vector>

#include "model/norms.h"
#include "visit/earlier_visit.h"
#include "visit/trend.h"

namespace risetrace::visit {

// `visits` in any order; the latest is today's. Quantities seen today and at least once before: of each slot, of hops
// at each beat, and of the difference left - right, whose noise is that of two legs (the root of two, derived here).
// Where two visits were not tested alike (marker, incline, end fraction, by hand or from a clip) the verdict is
// cannot_tell.
std::vector<Trend> find_trends(std::vector<EarlierVisit> visits, const model::Norms& norms);

}  // namespace risetrace::visit
