// What the answers to the caution questions, and the pain, mean for this visit.
#pragma once

#include "model/cautions.h"
#include "visit/caution.h"
#include "visit/session.h"

namespace risetrace::visit {

CautionVerdict weigh_cautions(const Session& session, const model::Cautions& cautions);

}  // namespace risetrace::visit
