// Reads a session file, schema risetrace/session/1 (models/schema/session.schema.json).
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "model/read_visit_models.h"
#include "visit/session.h"

namespace risetrace::visit {

// Files named in the session are taken from the session's own folder on. Fault session_wrong, naming the field: a value
// out of its range, a question or quantity that the models do not have, two entries for one slot, a date that is none,
// an age that nobody has, a session that says nothing.
Result<Session> read_session(const std::filesystem::path& file, const model::VisitModels& models);

// The same from text; `folder` is where its files are.
Result<Session> session_from(const std::string& text, const std::filesystem::path& folder,
                             const model::VisitModels& models);

}  // namespace risetrace::visit
