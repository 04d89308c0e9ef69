// The words for what `risetrace check` found.
#pragma once

#include <string>

#include "measure/setup.h"

namespace risetrace::report {

// As the JSON spells them.
const char* key_of(measure::Limit limit);
const char* key_of(measure::Weight weight);
const char* key_of(measure::Verdict verdict);
const char* key_of(measure::ErrorFrom from);

struct Said {
  std::string what;        // a sentence: what is wrong, with what was seen
  std::string what_to_do;  // a sentence
};

Said said(const measure::Finding& finding, const measure::Check& check);

// To follow "mostly": "where the card stands in depth, ...".
const char* in_words(measure::ErrorFrom from);

// "0.3 cm" or "27 ms", with a figure more where it is small; empty where no cost is known.
std::string cost_in_words(const measure::Finding& finding);

// "Good enough for heel raises".
std::string verdict_in_words(const measure::Check& check);

}  // namespace risetrace::report
