// What the answers to the caution questions mean for this visit.
#pragma once

#include <string>
#include <vector>

#include "model/cautions.h"

namespace risetrace::visit {

struct Caution {
  std::string key;
  model::CautionMeans means = model::CautionMeans::care;
};

struct PainFlag {
  std::string slot;  // "heel-raise/left/straight"
  int worst = 0;
};

struct CautionVerdict {
  std::vector<Caution> yes;            // answered yes, the gravest first
  std::vector<std::string> not_asked;  // questions without an answer
  std::vector<PainFlag> pain;          // tests in which it went over the limit
  bool refer_not_asked = false;        // one that would say refer was not asked: no plan is made
  bool refer = false;                  // a plan is not made
  bool same_day = false;
  bool no_hops = false;
};

}  // namespace risetrace::visit
