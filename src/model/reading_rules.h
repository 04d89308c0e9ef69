// How the numbers are read: signs, each low, good or unknown on a side, and the rules that make findings of them.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "model/norms.h"

namespace risetrace::model {

enum class Against { other_side, other_knee, least, greatest };
enum class Sureness { doubtful, likely, sure };

// One way in which a sign can be low.
struct Watch {
  std::string quantity;
  std::optional<Knee> knee;  // heel raises: which form
  bool both_legs = false;    // hops: the form on both legs, which stands for each side
  Against against = Against::other_side;
  std::optional<Sourced> limit;       // for least and greatest
  Sureness at_most = Sureness::sure;  // a limit that fits loosely can make nothing surer than this
};

struct Sign {
  std::string key;  // "strength", "recoil", "ankle"
  std::vector<Watch> watches;
};

enum class SignState { unknown, good, low };

struct Rule {
  std::string finding;  // its wording: "finding.KEY.text", "finding.KEY.train"
  std::map<std::string, SignState> when;
  std::vector<std::string> could_also_be;  // wording "other.KEY"
  std::vector<std::string> ladders;        // what it starts: "strength", "recoil"
  bool ankle_first = false;
  std::string mark;
  std::string source;
};

struct ReadingRules {
  std::vector<Sign> signs;
  std::vector<Rule> rules;  // the most pressing first
};

}  // namespace risetrace::model
