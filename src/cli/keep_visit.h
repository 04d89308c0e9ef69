// A screened visit and the record: earlier visits taken from it, this one kept in it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "record/record.h"
#include "visit/earlier_visit.h"
#include "visit/screen.h"

namespace risetrace::cli {

// The current screens of the person's visits before `date`; none where the record does not know the code.
Result<std::vector<visit::EarlierVisit>> earlier_in_record(const record::Record& record, const std::string& code,
                                                           const std::string& date);

// Fault session_wrong.
Result<std::string> text_of_file(const std::filesystem::path& file);

struct Keeping {
  std::string session_json;  // as it was given
  std::string screen_json;
  std::filesystem::path tests;          // the folder with the measured clips' results
  std::optional<std::string> log_json;  // of the training log
  std::optional<std::string> by;        // the tester
  std::optional<std::string> correction;
};

// The session, each clip's result, the screen and the training log; and the clips that the session asks to keep.
Result<record::Saved> keep_visit(record::Record& record, const visit::Screen& screen, const Keeping& keeping);

}  // namespace risetrace::cli
