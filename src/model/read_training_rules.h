// Reads ladders.json.
#pragma once

#include "model/fields.h"
#include "model/ladders.h"

namespace risetrace::model {

void read_training_rules(Fields& in, TrainingRules& rules);

}  // namespace risetrace::model
