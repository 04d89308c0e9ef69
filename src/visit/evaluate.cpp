#include "visit/evaluate.h"

#include <algorithm>
#include <cmath>

#include "base/calendar.h"
#include "base/rounded.h"
#include "visit/compare.h"
#include "visit/find_trends.h"
#include "visit/follow_ladder.h"
#include "visit/make_plan.h"
#include "visit/read_findings.h"
#include "visit/weigh_cautions.h"

namespace risetrace::visit {
namespace {

Error wrong(const std::string& why, const std::string& what_to_do) { return {Fault::session_wrong, why, what_to_do}; }

Outcome check_earlier(const Visit& visit) {
  for (const EarlierVisit& one : visit.earlier) {
    if (one.person_code != visit.session.person.code) {
      return wrong(
          "the earlier visit of " + one.date + " is of " + one.person_code + ", not of " + visit.session.person.code,
          "take it out of earlier");
    }
    if (one.date >= visit.session.date) {
      return wrong("the earlier visit of " + one.date + " is not before this one of " + visit.session.date,
                   "put date right, or take it out of earlier");
    }
  }
  return Done{};
}

// Both left: the same clip under two sides compares a leg with itself.
Outcome check_clips(const std::vector<TestResult>& results) {
  for (std::size_t i = 0; i < results.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (results[i].source_sha256.empty() || results[i].source_sha256 != results[k].source_sha256) continue;
      return wrong("one clip, " + results[i].source_file + ", stands for " + key_of(results[k].slot) + " and for " +
                       key_of(results[i].slot),
                   "give each its own clip");
    }
  }
  return Done{};
}

// The day a clip says it was filmed, against the visit's; a day either way may be the clock's zone.
void note_days(const Session& session, const std::vector<TestResult>& results, Notes& notes) {
  const auto visit_day = day_number(session.date);
  for (const TestResult& result : results) {
    const auto clip_day =
        day_number(result.recorded_at.substr(0, std::min<std::size_t>(10, result.recorded_at.size())));
    if (!visit_day || !clip_day || std::abs(*clip_day - *visit_day) <= 1) continue;
    notes.push_back({"clip-of-another-day",
                     "The clip of " + key_of(result.slot) + ", " + result.source_file + ", says it was filmed on " +
                         result.recorded_at.substr(0, 10) + ", not on " + session.date + ".",
                     std::nullopt});
  }
}

void scale(Values& values, const char* quantity, double by) {
  const auto found = values.find(quantity);
  if (found == values.end()) return;
  found->second.value *= by;
  if (found->second.u) *found->second.u *= by;
}

// Work (m g h) and leg stiffness (Dalleau et al. 2004) are proportional to the body mass: told for the session's, where
// a result was worked out with another.
void take_mass(const Session& session, std::vector<TestResult>& results, Notes& notes) {
  constexpr double same_kg = 0.05;
  const std::optional<double> mass_kg = session.person.mass_kg;
  for (TestResult& result : results) {
    if (!result.mass_kg || !mass_kg || std::abs(*result.mass_kg - *mass_kg) < same_kg) continue;
    const double by = *mass_kg / *result.mass_kg;
    scale(result.values, "work_j", by);
    scale(result.values, "stiffness_kn_m", by);
    for (BeatValues& beat : result.beats) scale(beat.values, "stiffness_kn_m", by);
    notes.push_back({"mass-differs",
                     "The result of " + key_of(result.slot) + " was worked out with " + rounded(*result.mass_kg, 1) +
                         " kg: its work and stiffness are told for the visit's " + rounded(*mass_kg, 1) + " kg.",
                     std::nullopt});
    result.mass_kg = mass_kg;
  }
}

void note_age(const Session& session, Notes& notes) {
  constexpr int adult = 18;
  if (!session.person.birth_year || year_of(session.date) - *session.person.birth_year >= adult) return;
  notes.push_back(
      {"not-adult",
       "Limits, reference values and loads here are those of adults: for a younger person they are no guide.",
       std::nullopt});
}

void note_missing(const Screen& screen, Notes& notes) {
  const bool any_mass = std::any_of(screen.results.begin(), screen.results.end(),
                                    [](const TestResult& result) { return result.mass_kg.has_value(); });
  if (!screen.session.person.mass_kg && !any_mass) {
    notes.push_back({"mass-missing", "Without the body mass no work and no stiffness is given.", std::nullopt});
  }
  for (const TestResult& result : screen.results) {
    if (!result.values.empty()) continue;
    notes.push_back(
        {"test-without-numbers", "Nothing could be measured of " + key_of(result.slot) + ".", std::nullopt});
  }
}

// The order of a visit: ankle range, heel raises straight then bent, hops; left before right.
int rank(const Slot& slot) {
  const int test = slot.test == Test::lunge ? 0 : slot.test == Test::heel_raise ? 1 : 2;
  const int knee = slot.knee == Knee::bent ? 1 : 0;
  const int side = slot.side == Side::both ? 0 : slot.side == Side::left ? 1 : 2;
  return 100 * test + 10 * knee + side;
}

}  // namespace

Result<Screen> evaluate(Visit visit, const model::VisitModels& models) {
  if (const Outcome earlier = check_earlier(visit); !earlier) return earlier.error();
  if (const Outcome clips = check_clips(visit.results); !clips) return clips.error();
  std::stable_sort(visit.results.begin(), visit.results.end(),
                   [](const TestResult& a, const TestResult& b) { return rank(a.slot) < rank(b.slot); });
  Screen out;
  out.session = std::move(visit.session);
  out.results = std::move(visit.results);
  out.models = models;
  take_mass(out.session, out.results, out.notes);
  out.cautions = weigh_cautions(out.session, models.cautions);
  out.comparison = compare(out.results, out.session.person, models.norms);
  out.reading = read_findings(out.results, out.comparison, models.reading, models.norms);
  if (visit.log) out.next_steps = follow_ladders(*visit.log, out.session.date, models.training);
  out.plan = make_plan(
      {out.session.date, out.session.person.affected_side, out.cautions, out.reading, out.results, out.next_steps},
      models.training);
  visit.earlier.push_back({out.session.date, out.session.person.code, out.results});
  out.trends = find_trends(std::move(visit.earlier), models.norms);
  note_days(out.session, out.results, out.notes);
  note_age(out.session, out.notes);
  note_missing(out, out.notes);
  return out;
}

}  // namespace risetrace::visit
