// Reads the data files of models/. Each value there has its source and mark; nothing of the kind is a constant in code.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "model/angle_rules.h"
#include "model/card.h"
#include "model/check_limits.h"
#include "model/hand_marks.h"
#include "model/hop_protocol.h"
#include "model/raise_protocol.h"
#include "model/sticker.h"

namespace risetrace::model {

struct Models {
  Cards cards;
  RaiseProtocol heel_raise;
  HopProtocol hop;
  AngleRules angles;
  Stickers stickers;
  CheckLimits check;
  HandMarks hand_marks;
};

// The folder to read: RISETRACE_MODELS if set, else models/ or share/risetrace/models/ in the program's folder or one
// of those above it. Fault model_unreadable.
Result<std::filesystem::path> find_models_folder(const std::filesystem::path& program);

// Fault model_unreadable, naming the file and the field.
Result<Models> read_models(const std::filesystem::path& folder);

}  // namespace risetrace::model
