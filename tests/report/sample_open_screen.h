// A small visit made by hand, for the tests of the open formats: every part of a screen has something in it, and every
// number is made up here. The tester, the remarks and the files' names hold an invented name, which no open format that
// leaves the machine may carry on.
#pragma once

#include <string>

#include "model/read_visit_models.h"
#include "model/wording.h"
#include "place.h"
#include "visit/screen.h"

namespace risetrace::test {

inline constexpr const char* invented_name = "Beispiel";

// As shipped: units and codes are looked up in them.
inline const model::Norms& open_norms() {
  static const auto models = model::read_visit_models(source_folder() / "models");
  return models->norms;
}

inline visit::TestResult open_raise(Side side, Knee knee, double reps, double height_cm) {
  visit::TestResult result;
  result.slot = {Test::heel_raise, side, knee};
  result.got_by = visit::GotBy::clip;
  result.values = {{"reps", {reps, std::nullopt, 0.0}},
                   {"greatest_height_cm", {height_cm, 0.11, 0.012}},
                   {"total_height_cm", {reps * height_cm * 0.93, 2.1, 0.012}},
                   {"work_j", {reps * height_cm * 6.4, 31.0, 0.012}}};
  result.strokes = {{1, 1.4, height_cm, true}, {2, 3.4, height_cm - 0.3, true}, {3, 5.4, height_cm / 2, false}};
  result.trace = {{0.0, 0.0}, {1.0 / 60.0, 0.01}, {2.0 / 60.0, 0.09}};
  result.source_file = std::string(invented_name) + "_heel.mp4";
  result.source_sha256 = std::string(64, 'a');
  result.recorded_at = "2026-03-02T09:14:05Z";
  result.program_version = "0.1.0";
  result.scale_from = "tags";
  result.marker = "heel";
  result.incline_deg = 0.0;
  result.end_fraction = 0.75;
  result.asked_bpm = 60.0;
  result.set_end = "low-height";
  result.pain = {0, 2, 1};
  result.remark = std::string("seen by ") + invented_name;
  result.notes = {{"card-tilted", "The card leaned by 4 degrees.", 0.5}};
  return result;
}

inline visit::TestResult open_hops(Side side, double contact_ms) {
  visit::TestResult result;
  result.slot = {Test::hop, side, Knee::not_stated};
  result.got_by = visit::GotBy::result;
  result.values = {{"contact_ms", {contact_ms, 4.0, 0.0}},
                   {"rsi_m_s", {0.21, std::nullopt, 0.0}},
                   {"lowest_kept_bpm", {140.0, std::nullopt, 0.0}}};
  result.beats = {{150.0, true, {{"contact_ms", {contact_ms, 4.0, 0.0}}, {"hop_rate_per_min", {149.6, 0.4, 0.0}}}},
                  {140.0, false, {{"contact_ms", {contact_ms + 9.5, 4.5, 0.0}}}}};
  result.asked_bpm = 150.0;
  result.strokes = {{1, 1.1137, contact_ms, true}};
  result.source_file = "hops.mp4";
  result.program_version = "0.1.0";
  result.scale_from = "none";
  result.marker = "heel";
  return result;
}

inline visit::TestResult open_lunge(Side side, double knee_to_wall_cm) {
  visit::TestResult result;
  result.slot = {Test::lunge, side, Knee::not_stated};
  result.values = {{"knee_to_wall_cm", {knee_to_wall_cm, std::nullopt, 0.0}}};
  return result;
}

inline visit::Session open_session() {
  visit::Session session;
  session.date = "2026-03-02";
  session.person = {"R-031", 1988, visit::Sex::female, 168.5, 61.2, "trail running", Side::left, false};
  session.cautions = {
      {"clot", visit::Answer::no}, {"balance", visit::Answer::yes}, {"heart", visit::Answer::not_asked}};
  session.shoes = "worn trainers";
  session.tester = std::string("A. ") + invented_name;
  session.remark = std::string("sent by ") + invented_name;
  visit::TestEntry clip;
  clip.slot = {Test::heel_raise, Side::left, Knee::straight};
  clip.file = std::string("visits/") + invented_name + "/left.mp4";
  clip.options.heel_px = Point{412.5, 640.0};
  clip.options.distance_m = 2.0;
  clip.incline_deg = 0.0;
  clip.marker = "heel";
  clip.pain = {0, 2, 1};
  visit::TestEntry by_hand;
  by_hand.slot = {Test::lunge, Side::left, Knee::not_stated};
  by_hand.got_by = visit::GotBy::hand;
  by_hand.by_hand = {{"knee_to_wall_cm", 9.5}};
  session.tests = {clip, by_hand};
  session.earlier = {"earlier/2025-12-01/screen.json"};
  session.training_log = "log.json";
  return session;
}

inline visit::Comparison open_comparison() {
  visit::Difference reps;
  reps.first = {17.0, std::nullopt, 0.0};
  reps.second = {24.0, std::nullopt, 0.0};
  reps.difference = -7.0;
  reps.index_pct = 100.0 * 17.0 / 24.0;
  reps.beyond = {visit::Beyond::not_known, visit::Beyond::yes, visit::Beyond::no, visit::Beyond::yes};
  reps.noise_optimistic = 5.7;
  reps.noise_cautious = 18.6;
  reps.cut_off = 5.0;
  visit::SideRow row;
  row.quantity = "reps";
  row.knee = Knee::straight;
  row.left = reps.first;
  row.right = reps.second;
  row.difference = reps;
  row.weaker = Side::left;
  visit::SideRow one_side;
  one_side.quantity = "contact_ms";
  one_side.test = Test::hop;
  one_side.beat_bpm = 150.0;
  one_side.left = visit::Value{271.0, 4.0, 0.0};
  one_side.why_not = "one-side";
  visit::KneeRow knees;
  knees.quantity = "reps";
  knees.side = Side::left;
  knees.difference = reps;
  visit::ReferenceRow reference;
  reference.slot = {Test::heel_raise, Side::left, Knee::straight};
  reference.quantity = "reps";
  reference.value = reps.first;
  reference.reference.key = "reps-lunsford-1995";
  reference.reference.quantity = "reps";
  reference.reference.sex = "any";
  reference.reference.population = "adults, \"without\" complaints";
  reference.reference.n = 203;
  reference.reference.statistic = "mean";
  reference.reference.value = 27.9;
  reference.reference.form.incline_deg = 0.0;
  reference.reference.mark = "published";
  reference.reference.source = "Lunsford & Perry 1995, Phys Ther 75:694-698";
  reference.of_reference_pct = 100.0 * 17.0 / 27.9;
  reference.form_differs = {"cadence"};
  return {{row, one_side}, {knees}, {reference}};
}

inline visit::Reading open_reading() {
  visit::Evidence evidence;
  evidence.sign = "count";
  evidence.quantity = "reps";
  evidence.slot = {Test::heel_raise, Side::left, Knee::straight};
  evidence.value = 17.0;
  evidence.other = 24.0;
  evidence.low = true;
  evidence.sureness = model::Sureness::likely;
  evidence.limit = "5 reps";
  evidence.source = "common practice";
  visit::SignOfSide sign{"strength", Side::left, model::SignState::low, {evidence}};
  visit::Finding finding;
  finding.key = "strength-first";
  finding.side = Side::left;
  finding.sureness = model::Sureness::likely;
  finding.because = {evidence};
  finding.could_also_be = {"pain", "measured-differently"};
  finding.ladders = {"strength"};
  finding.mark = "common practice";
  finding.source = "made up for a test";
  return {{sign, {"ankle", Side::right, model::SignState::unknown, {}}}, {finding}, {"hop/both"}};
}

inline visit::Plan open_plan() {
  visit::PlanLine line;
  line.ladder = "strength";
  line.rung.key = "one-leg-step";
  line.rung.reps_low = 12;
  line.rung.reps_high = 15;
  line.rung.one_leg = true;
  line.rung.mark = "common practice";
  line.rung.source = "made up for a test";
  line.next = line.rung;
  line.next->key = "one-leg-loaded";
  line.next->loaded = true;
  line.leads = Side::left;
  line.why = "start-by-reps";
  line.by_reps = 17.0;
  line.days = {1, 3, 5};
  return {true, "", {line}, {"recoil-after-strength"}, "2026-04-13"};
}

inline visit::Trend open_trend() {
  visit::Trend trend;
  trend.quantity = "reps";
  trend.slot = {Test::heel_raise, Side::left, Knee::straight};
  trend.points = {{"2025-12-01", 14.0, std::nullopt}, {"2026-03-02", 17.0, std::nullopt}};
  trend.change = 3.0;
  trend.noise_optimistic = 5.7;
  trend.noise_cautious = 18.6;
  trend.verdict = visit::Change::not_changed;
  trend.since_last = visit::Change::not_changed;
  return trend;
}

inline visit::Screen sample_open_screen() {
  visit::Screen screen;
  screen.session = open_session();
  screen.cautions.yes = {{"balance", model::CautionMeans::care}};
  screen.cautions.not_asked = {"heart"};
  screen.cautions.pain = {{"heel-raise/right/bent", 6}};
  screen.results = {open_lunge(Side::left, 9.5),
                    open_lunge(Side::right, 12.0),
                    open_raise(Side::left, Knee::straight, 17.0, 8.7),
                    open_raise(Side::right, Knee::straight, 24.0, 9.4),
                    open_raise(Side::left, Knee::bent, 12.0, 8.1),
                    open_raise(Side::right, Knee::bent, 19.0, 8.8),
                    open_hops(Side::left, 271.0),
                    open_hops(Side::right, 248.0)};
  screen.comparison = open_comparison();
  screen.reading = open_reading();
  screen.plan = open_plan();
  screen.next_steps = {
      {"strength", "one-leg-loaded", "one-leg-loaded", visit::Move::more_load, "over-target", 1.9, 2.0, 5.0, 14}};
  screen.trends = {open_trend()};
  screen.models.norms = open_norms();
  screen.models.used = {{"references.json", false}, {"comparison.json", true}};
  screen.notes = {{"test-left-out", "The hops on both legs were left out.", std::nullopt}};
  return screen;
}

// The words that the sample's outputs need, made up here.
inline model::Wording open_words() {
  model::Wording words{"en", "clinician", ".", {}};
  words.words = {{"title", "Calf screen"},
                 {"device", "Not a medical device."},
                 {"no-plan.pain", "It hurt too much."},
                 {"side.left", "left"},
                 {"side.right", "right"},
                 {"side.both", "both"},
                 {"on.left", "on the left leg"},
                 {"caution.yes", "Answered yes: {question}"},
                 {"caution.not-asked", "Without an answer: {names}."},
                 {"caution.balance.question", "Is balance poor?"},
                 {"caution.balance.action", "Someone near."},
                 {"caution.heart.name", "heart"},
                 {"caution.clot.question", "Is one calf swollen?"},
                 {"caution.clot.action", "See a doctor today."},
                 {"finding.strength-first.title", "Strength is low {on}"},
                 {"finding.strength-first.text", "Begin with it."},
                 {"findings.none", "No finding."},
                 {"sureness.likely", "likely"},
                 {"slot.heel-raise-straight", "Heel raises, knee straight"},
                 {"slot.heel-raise-bent", "Heel raises, knee bent"},
                 {"slot.hop", "Hops"},
                 {"slot.hop-at", "Hops at {beat} per minute"},
                 {"slot.lunge", "Lunge"},
                 {"pain.scale", "pain of 10"},
                 {"got.clip", "clip"},
                 {"got.result", "result of a clip"},
                 {"got.by-hand", "by hand"},
                 {"got.scale", "scale: {scale}"},
                 {"scale.tags", "printed card"},
                 {"scale.none", "none"},
                 {"got.incline", "incline {value}°"},
                 {"got.asked", "beat asked {value}"},
                 {"got.end-fraction", "low under {value} %"}};
  for (const char* quantity : {"reps", "greatest_height_cm", "total_height_cm", "work_j", "contact_ms", "rsi_m_s",
                               "lowest_kept_bpm", "hop_rate_per_min", "knee_to_wall_cm"}) {
    words.words[std::string("quantity.") + quantity] = std::string("the ") + quantity;
  }
  return words;
}

// Someone is to be referred: no test was made, and no plan.
inline visit::Screen sample_open_refer() {
  visit::Screen screen;
  screen.models.norms = open_norms();
  screen.session.date = "2026-03-02";
  screen.session.person.code = "R-032";
  screen.session.cautions = {{"clot", visit::Answer::yes}};
  screen.cautions.yes = {{"clot", model::CautionMeans::refer_same_day}};
  screen.cautions.refer = true;
  screen.cautions.same_day = true;
  screen.plan.why_not = "refer";
  return screen;
}

}  // namespace risetrace::test
