// Reads values that carry their mark and source.
#pragma once

#include "model/fields.h"
#include "model/norms.h"

namespace risetrace::model {

// {"value", "mark", "source"} as the part of that name; complains where any of the three is missing or no mark of ours.
Sourced read_sourced(Fields& in, const char* name, double low, double high);
// The three as fields of `in` itself.
Sourced read_sourced_value(Fields& in, double low, double high);
// Mark and source alone; the value stays 0.
Sourced read_mark_and_source(Fields& in);

}  // namespace risetrace::model
