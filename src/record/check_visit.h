// Whether codes, dates, slots and texts are such as the record keeps.
#pragma once

#include <string>

#include "base/result.h"
#include "record/kept.h"

namespace risetrace::record {

bool is_date(const std::string& text);       // a day of the calendar, YYYY-MM-DD
bool is_slot(const std::string& text);       // small letters, digits and lines, in steps parted by /
bool is_extension(const std::string& text);  // small letters and digits, 8 at most, or empty
bool is_instant(const std::string& text);    // 2026-11-02T09:30:00Z
// A free word, as of who or why: 1 to 500 bytes of UTF-8 without control characters.
bool is_remark(const std::string& text);
// One JSON value, 64 MiB at most.
bool is_json(const std::string& text);

// option_wrong, with what is wrong.
Outcome check_code(const std::string& code);
Outcome check_date(const std::string& date);
Outcome check_remark(const char* what, const std::optional<std::string>& remark);
Outcome check_visit(const Visit& visit);

}  // namespace risetrace::record
