// Reads what a visit is judged by: norms, cautions, reading rules, ladders.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "model/cautions.h"
#include "model/ladders.h"
#include "model/norms.h"
#include "model/reading_rules.h"
#include "model/wording.h"

namespace risetrace::model {

struct UsedFile {
  std::string file;  // "references.json"
  bool own = false;  // the user's own in place of ours
};

struct VisitModels {
  Norms norms;
  Cautions cautions;
  ReadingRules reading;
  TrainingRules training;
  std::vector<UsedFile> used;  // every file read: a report says which were the user's own
};

// From `folder`; a file of the same name in `own`, if given, stands in place of ours. Faults: model_unreadable for one
// of ours, option_wrong for one of the user's, naming file and field.
Result<VisitModels> read_visit_models(const std::filesystem::path& folder,
                                      const std::optional<std::filesystem::path>& own = std::nullopt);

// The words of one audience in one language, words/AUDIENCE-LANGUAGE.json. Faults: model_unreadable; option_wrong for a
// language that there is none of, naming those there are.
Result<Wording> read_wording(const std::filesystem::path& folder, const std::string& audience,
                             const std::string& language);

}  // namespace risetrace::model
