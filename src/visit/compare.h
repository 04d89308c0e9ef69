// Left against right, bent against straight on one leg, and each against reference values.
#pragma once

#include <vector>

#include "model/norms.h"
#include "visit/comparison.h"
#include "visit/session.h"
#include "visit/test_result.h"

namespace risetrace::visit {

// Every quantity of every test that either side has. Hops that go by the beat are compared at each beat that both sides
// hopped to (within equal_beat_pct), fastest first, and never across beats.
Comparison compare(const std::vector<TestResult>& results, const Person& person, const model::Norms& norms);

// Two values of one quantity. `affected_first`: the index is first / second, `affected_second`: second / first;
// neither: the lesser / the greater (by value). What is not known of a reading stays so.
//
// u of the difference (JCGM 100, 5.2.2): the own parts of both add; the shared part s, one relative error of both, adds
// s (first - second). The index is a ratio: the shared part cancels.
// The index is given of values above 0 of which more is better, or less is; else it is empty.
enum class Affected { not_known, first, second };
Difference difference_of(const Value& first, const Value& second, const model::Quantity& quantity, Affected affected,
                         const model::Norms& norms);

// The limits of retest noise for this quantity, in its unit: relative ones taken of the mean of the two.
std::optional<double> noise_limit(const model::RetestNoise* noise, bool cautious, double a, double b);

// Beats, or rates of hopping, that count as one (norms.equal_beat_pct).
bool equal_beats(double a_bpm, double b_bpm, const model::Norms& norms);
// The step of the beat that counts as `bpm` and lies nearest to it; null where there is none, or no result.
const BeatValues* nearest_beat(const TestResult* result, double bpm, const model::Norms& norms);

}  // namespace risetrace::visit
