// A visit's numbers for a patient record: HL7 FHIR R4 (4.0.1), JSON. The mapping is in docs/screen-files.md.
#pragma once

#include <string>

#include "model/wording.h"
#include "visit/screen.h"

namespace risetrace::report {

// A Bundle of type collection: Patient (the person's code, birth year and sex; no name), Device (this program, and each
// other version of it that measured a clip), an Observation a number and a DiagnosticReport, all preliminary: nobody
// has signed them. Units and codes are those of the screen's models, sentences those of `words`, the cautions before
// the findings. What was typed in freely (remarks, tester, shoes, file names) is left out: it may hold a name.
// Identifiers follow from the screen: the same screen gives the same document.
std::string fhir_bundle(const visit::Screen& screen, const model::Wording& words, const std::string& program_version);

}  // namespace risetrace::report
