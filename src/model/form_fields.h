// Which test, side and knee a document speaks of, by the words of base/test_form.h.
#pragma once

#include "base/test_form.h"
#include "model/fields.h"

namespace risetrace::model {

// As Fields::choice: an absent field leaves the value alone, a wrong one after a complaint. What is not stated has no
// word.
void read_test(Fields& in, const char* name, Test& test);
void read_side(Fields& in, const char* name, Side& side);
void read_knee(Fields& in, const char* name, Knee& knee);

}  // namespace risetrace::model
