// What a finding rests on, in words.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/screen_words.h"

namespace risetrace::report {

// Pieces of evidence of one kind, at several beats of the hops, are told as one: the first, and the beats of the
// others.
struct EvidenceGroup {
  const visit::Evidence* first = nullptr;
  std::vector<double> other_beats;
};
std::vector<EvidenceGroup> grouped(const std::vector<visit::Evidence>& evidence);

// "Reps, heel raises, knee straight, left: 18, other side 25".
std::string evidence_in_words(const ScreenWords& words, const visit::Evidence& evidence);
// The three readings of a difference, kept apart, or the limit that the value was held against.
std::string limits_in_words(const ScreenWords& words, const visit::Evidence& evidence);
// Retest noise: "beyond retest noise by one study (5.7), within it by another (18.6)".
std::string noise_in_words(const ScreenWords& words, const std::string& quantity, const visit::Difference& difference);
// The row of the table of sides that this evidence is of; null where there is none.
const visit::SideRow* row_of(const visit::Screen& screen, const visit::Evidence& evidence);

}  // namespace risetrace::report
