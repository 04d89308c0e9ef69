#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "base/calendar.h"
#include "report/palette.h"
#include "report/report_page.h"
#include "report/runner_training.h"

namespace risetrace::report {
namespace {

using report_page::left;
using report_page::width;

constexpr int most_weeks = 10;
constexpr double row_height = 15.5;
constexpr double heading_height = 28.0;
constexpr double name_width = 50.0;

// Weeks from the visit to the next test; 0 where that is not known.
int weeks_of(const visit::Screen& screen) {
  if (!screen.plan.made || !screen.plan.next_test) return 0;
  const auto from = day_number(screen.session.date);
  const auto to = day_number(*screen.plan.next_test);
  return from && to ? std::clamp((*to - *from) / 7, 0, most_weeks) : 0;
}

// A week's days of training, in order, and of which ladder.
std::vector<std::pair<int, std::string>> sessions_of(const visit::Plan& plan) {
  std::vector<std::pair<int, std::string>> sessions;
  for (const visit::PlanLine& line : plan.lines) {
    for (const int day : line.days) sessions.emplace_back(day, line.ladder);
  }
  std::stable_sort(sessions.begin(), sessions.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  return sessions;
}

}  // namespace

double diary_height(const ScreenWords& words) {
  const int weeks = weeks_of(words.screen());
  if (weeks == 0 || sessions_of(words.screen().plan).empty()) return 0.0;
  return heading_height + row_height * (weeks + 1) + 4;
}

void draw_diary(const Ink& ink, double y, const ScreenWords& words) {
  const int weeks = weeks_of(words.screen());
  const auto sessions = sessions_of(words.screen().plan);
  const TextStyle heading{.size = 9.6, .bold = true, .colour = palette::trace, .width = width};
  ink.text(left, y, ink.fitted(words.say("diary.heading"), heading, heading_height), heading);
  y += std::min(ink.measure(words.say("diary.heading"), heading).height + 4, heading_height);
  const double cell = (width - name_width) / static_cast<double>(sessions.size());
  for (std::size_t i = 0; i < sessions.size(); ++i) {
    const double x = left + name_width + cell * static_cast<double>(i);
    draw_ladder_mark(ink, x + 5, y + 7, 6, sessions[i].second);
    ink.text(x + 11, y + 2, words.say("days.day", {{"day", std::to_string(sessions[i].first)}}),
             {.size = 7.6, .colour = palette::soft_ink});
  }
  for (int week = 1; week <= weeks; ++week) {
    y += row_height;
    ink.line(left, y, left + width, y, 0.5, palette::rule);
    ink.text(left, y + 3, words.say("diary.week", {{"week", std::to_string(week)}}),
             {.size = 7.6, .colour = palette::ink});
    for (std::size_t i = 0; i < sessions.size(); ++i) {
      const double x = left + name_width + cell * static_cast<double>(i);
      ink.frame_box(x + 2, y + 4, 7.5, 7.5, 0.8, palette::limit);
      const double blank = std::min((cell - 26) / 2, 26.0);
      ink.line(x + 14, y + 11.5, x + 14 + blank, y + 11.5, 0.7, palette::limit);
      ink.line(x + 14 + blank + 5.5, y + 3.5, x + 14 + blank + 2.5, y + 12, 0.7, palette::limit);
      ink.line(x + 22 + blank, y + 11.5, x + 22 + 2 * blank, y + 11.5, 0.7, palette::limit);
    }
  }
}

}  // namespace risetrace::report
