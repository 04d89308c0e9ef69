// Dates as ISO 8601 writes them, "2026-03-02": compared as text, counted in days.
#pragma once

#include <optional>
#include <string>

namespace risetrace {

// Days since 1970-01-01; empty for what is no day of the calendar.
std::optional<int> day_number(const std::string& date);
std::string date_of(int day_number);
int year_of(const std::string& date);  // of a date that day_number takes

}  // namespace risetrace
