#include "visit/read_findings.h"

#include <algorithm>

#include "visit/look_at_watches.h"

namespace risetrace::visit {
namespace {

using model::SignState;
using model::Sureness;

bool absolute(model::Against against) {
  return against == model::Against::least || against == model::Against::greatest;
}

// Two legs may be alike and both weak: a sign that has a limit to be held against is good only where it was.
bool can_be_good(const model::Sign& sign, const std::vector<Evidence>& evidence) {
  const bool has_limit =
      std::any_of(sign.watches.begin(), sign.watches.end(), [](const auto& watch) { return absolute(watch.against); });
  return !has_limit ||
         std::any_of(evidence.begin(), evidence.end(), [](const Evidence& e) { return absolute(e.against); });
}

SignOfSide look_at_sign(const model::Sign& sign, Side side, const Looked& looked) {
  SignOfSide out{sign.key, side, SignState::unknown, {}};
  for (const model::Watch& watch : sign.watches) {
    for (Evidence& one : look_at(watch, side, looked)) {
      one.sign = sign.key;
      out.evidence.push_back(std::move(one));
    }
  }
  if (out.evidence.empty()) return out;
  const bool low = std::any_of(out.evidence.begin(), out.evidence.end(), [](const Evidence& e) { return e.low; });
  out.state = low ? SignState::low : can_be_good(sign, out.evidence) ? SignState::good : SignState::unknown;
  std::stable_sort(out.evidence.begin(), out.evidence.end(), [](const Evidence& a, const Evidence& b) {
    return a.low != b.low ? a.low : a.low && a.sureness > b.sureness;
  });
  return out;
}

const SignOfSide* sign_on(const Reading& reading, const std::string& sign, Side side) {
  const auto found = std::find_if(reading.signs.begin(), reading.signs.end(),
                                  [&](const SignOfSide& one) { return one.sign == sign && one.side == side; });
  return found == reading.signs.end() ? nullptr : &*found;
}

Sureness surest_low(const SignOfSide& sign) {
  Sureness surest = Sureness::doubtful;
  for (const Evidence& one : sign.evidence) {
    if (one.low) surest = std::max(surest, one.sureness);
  }
  return surest;
}

// A good sign is as sure as its numbers are near: what lies within a cut-off may still hide a difference.
Sureness sureness_of(const model::Rule& rule, Side side, const Reading& reading) {
  Sureness least = Sureness::sure;
  bool any_low = false;
  for (const auto& [key, state] : rule.when) {
    if (state != SignState::low) continue;
    any_low = true;
    least = std::min(least, surest_low(*sign_on(reading, key, side)));
  }
  return any_low ? least : Sureness::likely;
}

std::optional<Finding> try_rule(const model::Rule& rule, Side side, const Reading& reading) {
  Finding out;
  for (const auto& [key, state] : rule.when) {
    const SignOfSide* sign = sign_on(reading, key, side);
    if (sign == nullptr || sign->state != state) return std::nullopt;
    for (const Evidence& one : sign->evidence) {
      if (one.low == (state == SignState::low)) out.because.push_back(one);
    }
  }
  out.key = rule.finding;
  out.side = side;
  out.sureness = sureness_of(rule, side, reading);
  out.could_also_be = rule.could_also_be;
  out.ladders = rule.ladders;
  out.ankle_first = rule.ankle_first;
  out.mark = rule.mark;
  out.source = rule.source;
  return out;
}

bool lower_than_other(const Finding& finding) {
  return std::any_of(finding.because.begin(), finding.because.end(),
                     [](const Evidence& e) { return e.low && e.against == model::Against::other_side; });
}

void add_rule(const model::Rule& rule, Reading& reading) {
  auto left = try_rule(rule, Side::left, reading);
  auto right = try_rule(rule, Side::right, reading);
  const bool alike = !(left && lower_than_other(*left)) && !(right && lower_than_other(*right));
  if (left && right && alike) {
    left->side = Side::both;
    left->sureness = std::min(left->sureness, right->sureness);
    left->because.insert(left->because.end(), right->because.begin(), right->because.end());
    right.reset();
  }
  // The leg that is lower than the other comes first: of both it is the news.
  const bool right_first = right && lower_than_other(*right);
  for (auto* one : {right_first ? &right : &left, right_first ? &left : &right}) {
    if (*one) reading.findings.push_back(std::move(**one));
  }
}

const model::Rule& rule_of(const model::ReadingRules& rules, const Finding& finding) {
  return *std::find_if(rules.rules.begin(), rules.rules.end(),
                       [&](const model::Rule& one) { return one.finding == finding.key; });
}

bool says_low(const model::Rule& rule) {
  return std::any_of(rule.when.begin(), rule.when.end(),
                     [](const auto& sign) { return sign.second == SignState::low; });
}

bool share_a_sign(const model::Rule& a, const model::Rule& b) {
  return std::any_of(a.when.begin(), a.when.end(), [&](const auto& sign) { return b.when.contains(sign.first); });
}

// That nothing stands out on one side is no news where the same signs are low on the other.
void drop_quiet_sides(const model::ReadingRules& rules, Reading& reading) {
  std::vector<const model::Rule*> low;
  for (const Finding& finding : reading.findings) {
    if (says_low(rule_of(rules, finding))) low.push_back(&rule_of(rules, finding));
  }
  std::erase_if(reading.findings, [&](const Finding& finding) {
    const model::Rule& rule = rule_of(rules, finding);
    return !says_low(rule) &&
           std::any_of(low.begin(), low.end(), [&](const auto* one) { return share_a_sign(rule, *one); });
  });
}

std::vector<std::string> missing_slots(const std::vector<TestResult>& results) {
  std::vector<Slot> wanted;
  for (const Side side : {Side::left, Side::right}) wanted.push_back({Test::lunge, side});
  for (const Knee knee : {Knee::straight, Knee::bent}) {
    for (const Side side : {Side::left, Side::right}) wanted.push_back({Test::heel_raise, side, knee});
  }
  for (const Side side : {Side::both, Side::left, Side::right}) wanted.push_back({Test::hop, side});
  std::vector<std::string> missing;
  for (const Slot& slot : wanted) {
    if (result_of(results, slot) == nullptr) missing.push_back(key_of(slot));
  }
  return missing;
}

}  // namespace

Reading read_findings(const std::vector<TestResult>& results, const Comparison& comparison,
                      const model::ReadingRules& rules, const model::Norms& norms) {
  Reading reading;
  const Looked looked{results, comparison, norms};
  for (const model::Sign& sign : rules.signs) {
    for (const Side side : {Side::left, Side::right}) reading.signs.push_back(look_at_sign(sign, side, looked));
  }
  for (const model::Rule& rule : rules.rules) add_rule(rule, reading);
  drop_quiet_sides(rules, reading);
  reading.missing = missing_slots(results);
  return reading;
}

}  // namespace risetrace::visit
