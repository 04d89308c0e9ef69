// The words of a screen's files for what its nouns tell apart. Inside of report/.
#pragma once

#include <string>

#include "model/norms.h"
#include "model/reading_rules.h"
#include "visit/screen.h"

// Beside the enums, so that a call finds them wherever it stands.
namespace risetrace::model {
const char* key_of(CautionMeans means);  // "refer-same-day", "refer", "no-hops", "care"
const char* key_of(CutOffKind kind);     // "difference", "index_pct"
const char* key_of(Against against);     // "other-side", "other-knee", "least", "greatest"
const char* key_of(Sureness sureness);   // "doubtful", "likely", "sure"
const char* key_of(SignState state);     // "unknown", "good", "low"
}  // namespace risetrace::model

namespace risetrace::visit {
const char* key_of(Sex sex);        // "female", "male", "other"; "not-stated"
const char* key_of(Answer answer);  // "yes", "no", "not-asked"
const char* key_of(Beyond beyond);  // "yes", "no"; "not-known"
const char* key_of(Move move);      // "up", "more-load", "hold", "down"
const char* key_of(Change change);  // "cannot-tell", "not-changed", "changed"
}  // namespace risetrace::visit
