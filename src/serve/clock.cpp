#include "serve/clock.h"

#include <array>
#include <ctime>

namespace risetrace::serve {
namespace {

std::string written(const std::tm& parts, const char* form) {
  std::array<char, 32> text{};
  std::strftime(text.data(), text.size(), form, &parts);
  return text.data();
}

}  // namespace

std::string utc_at(double seconds_from_now) {
  const std::time_t then = std::time(nullptr) + static_cast<std::time_t>(seconds_from_now);
  std::tm parts{};
  gmtime_r(&then, &parts);
  return written(parts, "%Y-%m-%dT%H:%M:%SZ");
}

std::string utc_now() { return utc_at(0); }

std::string local_day() {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  localtime_r(&now, &parts);
  return written(parts, "%Y-%m-%d");
}

double steady_s() {
  std::timespec now{};
  ::clock_gettime(CLOCK_BOOTTIME, &now);  // goes on while the computer sleeps
  return static_cast<double>(now.tv_sec) + static_cast<double>(now.tv_nsec) * 1e-9;
}

}  // namespace risetrace::serve
