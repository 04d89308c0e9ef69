// Reads what an earlier visit gave from its screen.json (schema risetrace/screen/1, models/schema/screen.schema.json),
// so that this visit can be held against it.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "visit/earlier_visit.h"

namespace risetrace::visit {

// Each number exactly as it was written, in the unit that ends its quantity's key; what was null is unknown. Traces are
// left out. Fault session_wrong: the file cannot be opened, is not a screen, is of a newer schema than 1, or a field of
// it is wrong: the message names the file and the field.
Result<EarlierVisit> read_screen(const std::filesystem::path& file);

// The same of the document's text; `name` is what messages call it.
Result<EarlierVisit> read_screen_text(const std::string& text, const std::string& name);

}  // namespace risetrace::visit
