// The questions asked before a test, and what a yes means.
#pragma once

#include <string>
#include <vector>

#include "model/norms.h"

namespace risetrace::model {

// The gravest first.
enum class CautionMeans {
  refer_same_day,
  refer,    // do not test: no plan is made over it
  no_hops,  // the hops are left out, and hopping from the plan
  care,     // test with care
};

struct CautionQuestion {
  std::string key;  // its wording: "caution.KEY" in the words
  CautionMeans means = CautionMeans::care;
  std::string mark;
  std::string source;
};

struct Cautions {
  std::vector<CautionQuestion> questions;  // the gravest first
  Sourced pain_stop;                       // of 10: a test is stopped above it
};

}  // namespace risetrace::model
