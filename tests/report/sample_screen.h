// A Screen made by hand, for the tests of a visit's papers: both legs, heel raises with the knee straight and bent,
// hops down a ladder of beats, the lunge measured by hand, one earlier visit. Every number is made up here.
#pragma once

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "model/read_visit_models.h"
#include "place.h"
#include "visit/evaluate.h"
#include "visit/screen.h"

namespace risetrace::test {

inline model::VisitModels shipped_models() { return model::read_visit_models(source_folder() / "models").value(); }
inline model::Wording shipped_words(const std::string& audience, const std::string& language) {
  return model::read_wording(source_folder() / "models", audience, language).value();
}

inline visit::TestResult sample_raises(Side side, Knee knee, int reps, double first_cm, double loss_cm) {
  visit::TestResult result;
  result.slot = {Test::heel_raise, side, knee};
  result.got_by = visit::GotBy::clip;
  double total_cm = 0;
  for (int n = 1; n <= reps + 2; ++n) {
    const bool counted = n <= reps;
    const double height_cm = (counted ? 1.0 : 0.68) * (first_cm - loss_cm * (n - 1) + 0.12 * std::sin(2.1 * n));
    result.strokes.push_back({n, 2.0 * n, height_cm, counted});
    if (counted) total_cm += height_cm;
  }
  result.values["reps"] = {static_cast<double>(reps), std::nullopt, 0};
  result.values["reps_at_50"] = {reps + 2.0, std::nullopt, 0};
  result.values["reps_at_75"] = {static_cast<double>(reps), std::nullopt, 0};
  result.values["reps_at_90"] = {reps - 5.0, std::nullopt, 0};
  result.values["greatest_height_cm"] = {first_cm + 0.1, 0.12, 0.01};
  result.values["total_height_cm"] = {total_cm, 2.1, 0.01};
  result.values["work_j"] = {62 * 9.80665 * total_cm / 100, 14, 0.01};
  result.values["height_loss_cm_per_rep"] = {loss_cm, 0.011, 0.01};
  result.values["reps_per_min"] = {29.8, 0.1, 0};
  result.source_file = std::string(key_of(side)) + "-" + key_of(knee) + ".mp4";
  result.source_sha256 = std::string(63, side == Side::left ? 'a' : 'b') + (knee == Knee::bent ? "1" : "0");
  result.program_version = "0.1.0";
  result.scale_from = "tags";
  result.marker = "heel";
  result.incline_deg = 0;
  result.end_fraction = 0.75;
  result.asked_bpm = 60;
  result.set_end = "low-height";
  result.pain = {0, side == Side::left ? 3 : 1, 1};
  return result;
}

inline visit::TestResult sample_hops(Side side, double contact_ms) {
  visit::TestResult result;
  result.slot = {Test::hop, side, Knee::not_stated};
  result.got_by = visit::GotBy::clip;
  for (int step = 0; step < 5; ++step) {
    const double beat_bpm = 150 - 10 * step;
    visit::BeatValues beat{beat_bpm, step < (side == Side::left ? 2 : 4), {}};
    const double here_ms = contact_ms + 11 * step;
    const double flight_s = 60 / beat_bpm - here_ms / 1000;
    const double height_m = 9.80665 * flight_s * flight_s / 8;
    beat.values["contact_ms"] = {here_ms, 4.2, 0};
    beat.values["rsi_m_s"] = {height_m / (here_ms / 1000), 0.009, 0};
    beat.values["hop_height_cm"] = {100 * height_m, 0.2, 0};
    beat.values["hop_rate_per_min"] = {beat_bpm * 1.006, 0.5, 0};
    result.beats.push_back(beat);
  }
  result.values["contact_ms"] = {contact_ms, 4.2, 0};
  result.values["lowest_kept_bpm"] = {side == Side::left ? 140.0 : 120.0, std::nullopt, 0};
  result.source_file = std::string("hops-") + key_of(side) + ".mp4";
  result.source_sha256 = std::string(64, side == Side::both ? 'c' : side == Side::left ? 'd' : 'e');
  result.program_version = "0.1.0";
  result.scale_from = "tags";
  result.pain = {0, side == Side::left ? 4 : 0, std::nullopt};
  if (side == Side::left) result.remark = "hands on the hips";
  return result;
}

inline visit::TestResult sample_lunge(Side side, double wall_cm) {
  visit::TestResult result;
  result.slot = {Test::lunge, side, Knee::not_stated};
  result.got_by = visit::GotBy::hand;
  result.values["knee_to_wall_cm"] = {wall_cm, std::nullopt, 0};
  return result;
}

// The plain arithmetic of a difference, by the models' limits; the affected side is the left.
inline visit::Difference sample_difference(const model::Norms& norms, const std::string& quantity,
                                           const visit::Value& first, const visit::Value& second) {
  visit::Difference d;
  d.first = first;
  d.second = second;
  d.difference = first.value - second.value;
  if (first.u && second.u) {
    d.difference_u = std::hypot(*first.u, *second.u);
    d.beyond.measuring = std::abs(d.difference) > 1.96 * *d.difference_u ? visit::Beyond::yes : visit::Beyond::no;
  }
  d.index_pct = 100 * first.value / second.value;
  const auto beyond = [](double size, double limit) { return size > limit ? visit::Beyond::yes : visit::Beyond::no; };
  if (const model::RetestNoise* noise = norms.noise_of(quantity)) {
    const double scale = noise->relative ? (first.value + second.value) / 200 : 1.0;
    d.noise_optimistic = noise->optimistic.value * scale;
    d.noise_cautious = noise->cautious.value * scale;
    d.beyond.noise_optimistic = beyond(std::abs(d.difference), *d.noise_optimistic);
    d.beyond.noise_cautious = beyond(std::abs(d.difference), *d.noise_cautious);
  }
  for (const model::CutOff* cut_off : norms.cut_offs_of(quantity)) {
    const bool by_index = cut_off->kind == model::CutOffKind::index_pct;
    const visit::Beyond is =
        beyond(by_index ? std::abs(100 - *d.index_pct) : std::abs(d.difference), cut_off->limit.value);
    if (d.cut_off && is != visit::Beyond::yes) continue;
    if (d.cut_off && d.beyond.cut_off == visit::Beyond::yes) continue;
    d.cut_off = cut_off->limit.value;
    d.cut_off_kind = cut_off->kind;
    d.beyond.cut_off = is;
  }
  return d;
}

inline visit::SideRow sample_row(const model::Norms& norms, const model::Quantity& quantity, const visit::Slot& slot,
                                 const visit::Value& left, const visit::Value& right) {
  visit::SideRow row{quantity.key, slot.test, slot.knee, std::nullopt, left, right, std::nullopt, Side::not_stated, ""};
  row.difference = sample_difference(norms, quantity.key, left, right);
  const bool left_less = left.value < right.value;
  if (quantity.better == model::Better::more) row.weaker = left_less ? Side::left : Side::right;
  if (quantity.better == model::Better::less) row.weaker = left_less ? Side::right : Side::left;
  if (left.value == right.value) row.weaker = Side::not_stated;
  return row;
}

// Every quantity that both sides of a test have.
inline void compare_sides(visit::Screen& screen, const visit::TestResult& left, const visit::TestResult& right) {
  const model::Norms& norms = screen.models.norms;
  for (const model::Quantity& quantity : norms.quantities) {
    const auto a = left.values.find(quantity.key);
    const auto b = right.values.find(quantity.key);
    if (a == left.values.end() || b == right.values.end() || (quantity.equal_beat && !left.beats.empty())) continue;
    screen.comparison.sides.push_back(sample_row(norms, quantity, left.slot, a->second, b->second));
  }
  for (std::size_t i = 0; i < left.beats.size(); ++i) {
    for (const model::Quantity& quantity : norms.quantities) {
      const auto a = left.beats[i].values.find(quantity.key);
      const auto b = right.beats[i].values.find(quantity.key);
      if (a == left.beats[i].values.end() || b == right.beats[i].values.end()) continue;
      visit::SideRow row = sample_row(norms, quantity, left.slot, a->second, b->second);
      row.beat_bpm = left.beats[i].beat_bpm;
      if (!left.beats[i].kept && quantity.equal_beat) {
        row.difference.reset();
        row.why_not = "beat-differs";
      }
      screen.comparison.sides.push_back(row);
    }
  }
}

inline visit::Evidence sample_evidence(const visit::TestResult& result, const std::string& sign,
                                       const std::string& quantity, double other, bool low) {
  visit::Evidence evidence;
  evidence.sign = sign;
  evidence.quantity = quantity;
  evidence.slot = result.slot;
  evidence.value = result.values.at(quantity).value;
  evidence.other = other;
  evidence.low = low;
  evidence.sureness = model::Sureness::likely;
  evidence.limit = "10 %";
  evidence.source = "10 % between the sides is customary, and criticised";
  return evidence;
}

inline visit::Finding finding_of(const model::VisitModels& models, const std::string& key, Side side) {
  visit::Finding finding;
  for (const model::Rule& rule : models.reading.rules) {
    if (rule.finding != key) continue;
    finding = {key,       side,       model::Sureness::likely, {}, rule.could_also_be, rule.ladders, rule.ankle_first,
               rule.mark, rule.source};
  }
  return finding;
}

inline const visit::TestResult& result_of(const visit::Screen& screen, const visit::Slot& slot) {
  for (const visit::TestResult& result : screen.results) {
    if (result.slot == slot) return result;
  }
  return screen.results.front();
}

inline void find_things(visit::Screen& screen) {
  const auto& left = result_of(screen, {Test::heel_raise, Side::left, Knee::straight});
  const auto& right = result_of(screen, {Test::heel_raise, Side::right, Knee::straight});
  const auto& hops = result_of(screen, {Test::hop, Side::left, Knee::not_stated});
  const auto& other_hops = result_of(screen, {Test::hop, Side::right, Knee::not_stated});
  visit::Finding strength = finding_of(screen.models, "strength-first", Side::left);
  strength.because = {sample_evidence(left, "count", "reps", right.values.at("reps").value, true),
                      sample_evidence(left, "lift", "work_j", right.values.at("work_j").value, true),
                      sample_evidence(hops, "recoil", "contact_ms", other_hops.values.at("contact_ms").value, true)};
  strength.because.back().beat_bpm = 150;
  visit::Evidence asked = sample_evidence(left, "count", "reps", 25, true);
  asked.against = model::Against::least;
  asked.source =
      "a healthy runner is asked for about 25; proposed as normal by Lunsford & Perry 1995, Phys Ther 75:694 "
      "(from memory)";
  strength.because.push_back(asked);
  strength.because.push_back(sample_evidence(left, "lift", "greatest_height_cm", 9.5, false));
  screen.reading.findings.push_back(strength);
  visit::Finding right_side = finding_of(screen.models, "nothing-stands-out", Side::right);
  right_side.sureness = model::Sureness::doubtful;
  right_side.because = {sample_evidence(right, "count", "reps", left.values.at("reps").value, false)};
  screen.reading.findings.push_back(right_side);
}

inline void compare_all(visit::Screen& screen) {
  for (const visit::TestResult& left : screen.results) {
    if (left.slot.side != Side::left) continue;
    visit::Slot other = left.slot;
    other.side = Side::right;
    const visit::TestResult& right = result_of(screen, other);
    if (right.slot == other) compare_sides(screen, left, right);
  }
  for (const Side side : {Side::left, Side::right}) {
    const auto& bent = result_of(screen, {Test::heel_raise, side, Knee::bent});
    const auto& straight = result_of(screen, {Test::heel_raise, side, Knee::straight});
    for (const char* quantity : {"reps", "greatest_height_cm", "work_j"}) {
      screen.comparison.knees.push_back(
          {quantity, side,
           sample_difference(screen.models.norms, quantity, bent.values.at(quantity), straight.values.at(quantity))});
    }
  }
}

inline void refer_to_others(visit::Screen& screen) {
  for (const model::Reference& reference : screen.models.norms.references) {
    if (reference.sex == "male") continue;
    for (const visit::TestResult& result : screen.results) {
      const auto value = result.values.find(reference.quantity);
      if (value == result.values.end() || result.slot.knee == Knee::bent) continue;
      if (reference.side == Side::both && result.slot.side != Side::both) continue;
      visit::ReferenceRow row{result.slot, reference.quantity, value->second, reference, std::nullopt, {}};
      if (reference.value) row.of_reference_pct = 100 * value->second.value / *reference.value;
      if (reference.form.incline_deg.value_or(0) != 0) row.form_differs.emplace_back("incline");
      if (reference.form.marker == "malleolus") row.form_differs.emplace_back("marker");
      screen.comparison.references.push_back(row);
    }
  }
}

inline visit::Trend sample_trend(const model::Norms& norms, const visit::Slot& slot, const std::string& quantity,
                                 double before, double now) {
  visit::Trend trend;
  trend.quantity = quantity;
  trend.slot = slot;
  trend.points = {{"2025-12-01", before, std::nullopt}, {"2026-03-02", now, std::nullopt}};
  trend.change = now - before;
  if (const model::RetestNoise* noise = norms.noise_of(quantity)) {
    const double scale = noise->relative ? (before + now) / 200 : 1.0;
    trend.noise_optimistic = noise->optimistic.value * scale;
    trend.noise_cautious = noise->cautious.value * scale;
    const double size = std::abs(trend.change);
    if (size <= *trend.noise_optimistic) trend.verdict = visit::Change::not_changed;
    if (size > *trend.noise_cautious) trend.verdict = visit::Change::changed;
  }
  if (trend.verdict == visit::Change::changed) trend.better = trend.change > 0;
  return trend;
}

inline void follow_up(visit::Screen& screen) {
  const model::Norms& norms = screen.models.norms;
  const visit::Slot left{Test::heel_raise, Side::left, Knee::straight};
  const visit::Slot right{Test::heel_raise, Side::right, Knee::straight};
  const visit::Slot sides{Test::heel_raise, Side::not_stated, Knee::straight};
  screen.trends = {sample_trend(norms, left, "reps", 11, 17),
                   sample_trend(norms, right, "reps", 24, 26),
                   sample_trend(norms, sides, "reps", -13, -9),
                   sample_trend(norms, left, "greatest_height_cm", 6.1, 9.0),
                   sample_trend(norms, right, "greatest_height_cm", 9.4, 9.6),
                   sample_trend(norms, {Test::hop, Side::left, Knee::not_stated}, "contact_ms", 338, 312),
                   sample_trend(norms, {Test::hop, Side::right, Knee::not_stated}, "contact_ms", 276, 268)};
  screen.trends[5].beat_bpm = screen.trends[6].beat_bpm = 150;
}

inline void plan_training(visit::Screen& screen) {
  const model::Ladder& strength = *screen.models.training.ladder("strength");
  visit::PlanLine line{"strength", strength.rungs[4], strength.rungs[5], Side::left, "start-by-reps",
                       17,         std::nullopt,      {1, 3, 5}};
  screen.plan.made = true;
  screen.plan.lines = {line};
  screen.plan.held_back = {"recoil-after-strength"};
  screen.plan.next_test = "2026-04-27";
}

inline visit::Session sample_session(const model::VisitModels& models) {
  visit::Session session;
  session.date = "2026-03-02";
  session.person = {"R-017", 1987, visit::Sex::female, 168, 62, "running, half marathon", Side::left, false};
  for (const model::CautionQuestion& question : models.cautions.questions) {
    session.cautions[question.key] = visit::Answer::no;
  }
  session.shoes = "her own running shoes";
  session.tester = "T. Sample";
  return session;
}

// Nothing tested and nothing asked.
inline visit::Screen empty_screen() {
  visit::Screen screen;
  screen.models = shipped_models();
  screen.session = sample_session(screen.models);
  screen.session.cautions.clear();
  for (const auto& question : screen.models.cautions.questions) screen.cautions.not_asked.push_back(question.key);
  screen.plan.why_not = "nothing-tested";
  return screen;
}

inline visit::Screen sample_screen() {
  visit::Screen screen = empty_screen();
  screen.session = sample_session(screen.models);
  screen.cautions.not_asked.clear();
  screen.plan.why_not.clear();
  screen.results = {sample_lunge(Side::left, 10.5),
                    sample_lunge(Side::right, 11.5),
                    sample_raises(Side::left, Knee::straight, 17, 9.0, 0.11),
                    sample_raises(Side::right, Knee::straight, 26, 9.5, 0.07),
                    sample_raises(Side::left, Knee::bent, 19, 8.4, 0.09),
                    sample_raises(Side::right, Knee::bent, 28, 9.1, 0.06),
                    sample_hops(Side::both, 236),
                    sample_hops(Side::left, 312),
                    sample_hops(Side::right, 268)};
  compare_all(screen);
  find_things(screen);
  refer_to_others(screen);
  follow_up(screen);
  plan_training(screen);
  screen.notes.push_back({"one-earlier", "One earlier visit was read: 2025-12-01.", std::nullopt});
  return screen;
}

// Both ladders trained, the heavier one by the training log.
inline visit::Screen screen_with_both_ladders() {
  visit::Screen screen = sample_screen();
  const auto& strength = screen.models.training.ladder("strength")->rungs;
  const auto& recoil = screen.models.training.ladder("recoil")->rungs;
  screen.plan.held_back.clear();
  screen.plan.lines = {
      {"strength", strength[5], std::nullopt, Side::left, "log-up", std::nullopt, 8.0, {1, 3, 5}},
      {"recoil", recoil[1], recoil[2], Side::not_stated, "start-easiest", std::nullopt, std::nullopt, {2, 6}}};
  screen.next_steps = {
      {"strength", strength[5].key, strength[5].key, visit::Move::more_load, "over-target", 8.0, 8.2, 8.8, 6}};
  return screen;
}

// The sample's results read by the program itself, after an earlier visit with fewer reps.
inline visit::Screen evaluated_screen() {
  const visit::Screen made = sample_screen();
  visit::EarlierVisit earlier{"2025-12-01", made.session.person.code, made.results};
  for (visit::TestResult& result : earlier.results) {
    if (result.values.contains("reps")) result.values["reps"].value -= 7;
    if (result.values.contains("greatest_height_cm")) result.values["greatest_height_cm"].value -= 2.4;
  }
  return visit::evaluate({made.session, made.results, {earlier}, std::nullopt}, made.models).value();
}

// Only the left leg's heel raises, two questions without an answer.
inline visit::Screen sparse_screen() {
  visit::Screen screen = empty_screen();
  screen.session = sample_session(screen.models);
  screen.session.person = {"R-018",      std::nullopt, visit::Sex::not_stated, std::nullopt,
                           std::nullopt, "",           Side::not_stated,       false};
  screen.cautions.not_asked = {"steroids", "balance"};
  screen.results = {sample_raises(Side::left, Knee::straight, 17, 9.0, 0.11)};
  screen.results.front().values.erase("work_j");
  screen.results.front().pain = {};
  visit::SideRow row{
      "reps",       Test::heel_raise, Knee::straight,   std::nullopt, screen.results.front().values.at("reps"),
      std::nullopt, std::nullopt,     Side::not_stated, "one-side"};
  screen.comparison.sides = {row};
  screen.reading.missing = {"heel-raise/right/straight", "hop/left", "hop/right"};
  plan_training(screen);
  screen.plan.lines.front().leads = Side::not_stated;
  return screen;
}

// As much as there can be: every slot, long words, six findings, many notes and trends.
inline visit::Screen crowded_screen() {
  visit::Screen screen = screen_with_both_ladders();
  const std::string long_word(60, 'W');
  const std::string sixty = "he said that the wall was far away and the shoes were new ok";
  screen.session.remark = sixty + " " + long_word + " " + sixty;
  screen.session.shoes = long_word;
  screen.session.tester = sixty;
  screen.session.person.code = std::string(40, 'R');
  screen.results.insert(screen.results.begin() + 2, {sample_raises(Side::both, Knee::straight, 30, 9.1, 0.05),
                                                     sample_raises(Side::both, Knee::bent, 31, 8.9, 0.05)});
  screen.results.insert(screen.results.begin() + 4, {sample_raises(Side::left, Knee::not_stated, 17, 9.0, 0.11),
                                                     sample_raises(Side::right, Knee::not_stated, 26, 9.5, 0.07),
                                                     sample_raises(Side::both, Knee::not_stated, 30, 9.1, 0.05)});
  int i = 0;
  for (visit::TestResult& result : screen.results) {
    result.remark = i++ % 2 == 0 ? sixty : long_word;
    result.source_file = long_word + ".mp4";
    result.pain = {10, 10, 10};
    screen.cautions.pain.push_back(
        {std::string(key_of(result.slot.test)) + "/" + key_of(result.slot.side) +
             (result.slot.test == Test::heel_raise ? std::string("/") + key_of(result.slot.knee) : std::string()),
         10});
    result.notes.push_back({"made-up", "One more thing that a careful reader should know of " + long_word + ".", 1.0});
  }
  screen.cautions.yes = {{"bone-stress", model::CautionMeans::no_hops}, {"balance", model::CautionMeans::care}};
  screen.cautions.not_asked = {"clot", "pop", "heart", "numbness", "fracture"};
  const visit::Finding first = screen.reading.findings.front();
  for (const char* key : {"reps-hide-loss", "bent-fewer", "ankle-first", "recoil-and-chain"}) {
    visit::Finding more = finding_of(screen.models, key, Side::both);
    more.because = first.because;
    screen.reading.findings.push_back(more);
  }
  screen.reading.missing = {"lunge/both", "hop/both"};
  for (int times = 0; times < 2; ++times) {
    const auto trends = screen.trends;
    screen.trends.insert(screen.trends.end(), trends.begin(), trends.end());
  }
  screen.plan.held_back = {"ankle-first", "recoil-no-hops"};
  for (int n = 0; n < 10; ++n) screen.notes.push_back({"made-up", sixty + " " + sixty + ".", std::nullopt});
  return screen;
}

// The full visit of someone who answered yes to a sign of a clot: seen the same day, no plan.
inline visit::Screen referred_screen() {
  visit::Screen screen = sample_screen();
  screen.session.cautions["clot"] = visit::Answer::yes;
  screen.session.cautions["balance"] = visit::Answer::yes;
  screen.cautions.yes = {{"clot", model::CautionMeans::refer_same_day}, {"balance", model::CautionMeans::care}};
  screen.cautions.refer = screen.cautions.same_day = true;
  screen.cautions.pain = {{"hop/left", 7}};
  screen.results[7].pain.worst = 7;
  screen.plan = {};
  screen.plan.why_not = "refer";
  return screen;
}

}  // namespace risetrace::test
