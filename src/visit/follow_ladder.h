// Reads a training log and says, by the rules of models/ladders.json, what comes next on each ladder.
#pragma once

#include <filesystem>
#include <vector>

#include "base/result.h"
#include "model/ladders.h"
#include "visit/training_log.h"

namespace risetrace::visit {

// A training log, schema risetrace/training-log/1. Fault session_wrong, naming the field: a ladder or rung that there
// is none of, a date that is none or goes back, another person's code.
Result<TrainingLog> read_training_log(const std::filesystem::path& file, const std::string& person,
                                      const model::TrainingRules& rules);

// One step for each ladder that was trained. The last days on the last rung decide:
// pain over the limit while training: a rung down. Pain that was not gone next morning: hold, and after two days
// running a rung down. `sessions_in_row` days running with every set at the top of its range: up, or, on a loaded rung,
// more load once the last set went `reps_over` beyond the top; on the last rung hold. Pain that was not written down
// keeps it at hold: nobody is moved up blind. While one ladder hurts, none moves up. On the easiest rung pain leaves
// nothing to step down to ("pain-on-easiest"): no plan is made. Days after `date`, the visit's, and those more than
// log_weeks before it are left out: what was trained long ago says nothing of today.
std::vector<NextStep> follow_ladders(const TrainingLog& log, const std::string& date,
                                     const model::TrainingRules& rules);

}  // namespace risetrace::visit
