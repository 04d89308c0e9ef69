#include "base/calendar.h"

#include <array>
#include <chrono>
#include <cstdio>

namespace risetrace {

std::optional<int> day_number(const std::string& date) {
  constexpr const char* form = "dddd-dd-dd";
  if (date.size() != 10) return std::nullopt;
  for (std::size_t i = 0; i < date.size(); ++i) {
    const bool digit = date[i] >= '0' && date[i] <= '9';
    if (form[i] == 'd' ? !digit : date[i] != form[i]) return std::nullopt;
  }
  const std::chrono::year_month_day day{std::chrono::year(std::stoi(date.substr(0, 4))),
                                        std::chrono::month(static_cast<unsigned>(std::stoi(date.substr(5, 2)))),
                                        std::chrono::day(static_cast<unsigned>(std::stoi(date.substr(8, 2))))};
  if (!day.ok()) return std::nullopt;
  return static_cast<int>(std::chrono::sys_days(day).time_since_epoch().count());
}

std::string date_of(int day_number) {
  const std::chrono::year_month_day day{std::chrono::sys_days(std::chrono::days(day_number))};
  std::array<char, 16> text{};
  std::snprintf(text.data(), text.size(), "%04d-%02u-%02u", static_cast<int>(day.year()),
                static_cast<unsigned>(day.month()), static_cast<unsigned>(day.day()));
  return text.data();
}

int year_of(const std::string& date) { return std::stoi(date.substr(0, 4)); }

}  // namespace risetrace
