// Corrections in words: the note that every paper shows, and the names that errors call them by.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "base/note.h"
#include "review/corrections.h"

namespace risetrace::review {

// As the file spells them.
const std::vector<std::pair<const char*, What>>& names_of_what();

// "correction 2 (move)".
std::string name_of(const Corrections& corrections, std::size_t index);

// "the rep peaking at 12.30 s taken out (the toes slipped)".
std::string in_words(const Correction& correction);

// "Corrected by hand by T-1: ...; ..."; at most a few are told one by one.
Note note_of(const Corrections& corrections);

// "T-1, T-2": who corrected it, each once.
std::string who_corrected(const Corrections& corrections);

}  // namespace risetrace::review
