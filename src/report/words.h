// The words and figures that several writers share, so that no two documents say the same thing differently.
#pragma once

#include <optional>
#include <string>

#include "clip/clip_facts.h"
#include "hop/contacts.h"
#include "hop/hops.h"
#include "measure/measurement.h"
#include "raise/reps.h"
#include "scale/find_scale.h"
#include "scale/scale.h"
#include "sticker/track.h"

namespace risetrace::report {

// As result.json spells them.
const char* key_of(raise::EndWhy why);
const char* key_of(scale::CardKind card);
const char* key_of(scale::ScaleFrom from);
const char* key_of(scale::DoubtFrom from);
const char* key_of(sticker::FoundBy by);
const char* key_of(clip::FrameRateFrom from);
const char* key_of(hop::Witness witness);

// "left leg, knee straight"; empty where neither was stated.
std::string who_was_tested(const measure::Asked& asked);
// To follow "the set": "ended after rep 14 at 27.3 s: 2 low reps in a row (under 75 %)".
std::string how_it_ended(const raise::RepSet& set, const model::RaiseProtocol& protocol);
// "bent by 17.5 ± 3.8° on average (5 to 30), 19.0° more at the end; not held straight in 2 of 4 reps"; empty where it
// was not measured.
std::string knee_in_words(const measure::Measurement& measurement);
// Of a result that a person corrected: "by T-1, 3 changes; found by the program alone: 24 reps, reference 9.61 cm";
// empty where nobody did.
std::string corrected_in_words(const measure::Measurement& measurement);
// "printed card", for a person.
std::string scale_in_words(const scale::Scale& scale);

// Hops. "the shoe’s sole", for a person; empty where no time on the ground is given.
std::string contact_from_in_words(const hop::HopSet& set);
// "beat heard: 150 down to 110 per minute in 5 steps (asked: 150)".
std::string beat_in_words(const measure::Measurement& measurement);
// "1–3 one of the first 3; 14 a double touch", the hops of a reason together; empty where all counted.
std::string not_counted_in_words(const hop::HopSet& set);
// "2.50 per second = 150 per minute".
std::string hop_rate_in_words(std::optional<double> hop_rate_hz);

// Fixed decimals; "–" for what is not known.
std::string fixed(std::optional<double> value, int decimals);
// As few decimals as say it: "70", "70.5".
std::string plain(double value, int most_decimals);
// "9.61 ± 0.12 cm"; without the uncertainty where it is not known.
std::string with_u(std::optional<double> value, std::optional<double> u, int decimals, const std::string& unit);
std::string percent(double share, int decimals = 0);  // "75 %"

// Valid UTF-8 without control characters, whatever was put in: a file name may hold anything.
std::string readable(const std::string& text);

// What must stand beside every J.
inline constexpr const char* work_caveat = "a heel marker reads the body's work 21–25 % too high";

// What must stand beside every kN/m.
inline constexpr const char* stiffness_caveat = "to compare at the same beat only";

inline constexpr const char* not_a_device =
    "Not a medical device: it decides nothing. Local rules and the licensed clinician come first.";

}  // namespace risetrace::report
