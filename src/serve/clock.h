// The time of day in files, and the time that passes.
#pragma once

#include <string>

namespace risetrace::serve {

std::string utc_now();  // "2026-03-02T09:30:00Z"
std::string utc_at(double seconds_from_now);
std::string local_day();  // "2026-03-02"
double steady_s();        // seconds that pass, those of sleep too, of no date

}  // namespace risetrace::serve
