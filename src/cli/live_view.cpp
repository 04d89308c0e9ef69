#include "cli/live_view.h"

#include <unistd.h>

#include <algorithm>
#include <iostream>

#include "base/rounded.h"
#include "report/summary.h"

namespace risetrace::cli {

LiveView::LiveView(bool json_lines, double beat_bpm)
    : json_lines_(json_lines), terminal_(!json_lines && isatty(STDOUT_FILENO) != 0), beat_bpm_(beat_bpm) {}

void LiveView::clear_bar() {
  if (bar_drawn_) std::cout << "\r\033[K";
  bar_drawn_ = false;
}

void LiveView::say(const std::string& line) {
  clear_bar();
  if (!line.empty()) std::cout << line << '\n' << std::flush;
}

void LiveView::draw_bar(double height_cm) {
  if (!terminal_) return;
  constexpr int width = 30;
  full_cm_ = std::max(full_cm_, height_cm);
  std::cout << "\r\033[K" << count_ << (count_ == 1 ? " rep " : " reps ") << "["
            << report::live_bar(height_cm, full_cm_, width) << "] " << rounded(std::max(0.0, height_cm), 1) << " cm"
            << pace_ << (low_ ? "  LOW" : "") << std::flush;
  bar_drawn_ = true;
}

void LiveView::tell(const measure::LiveEvent& event, double said_s) {
  if (json_lines_) {
    std::cout << report::live_line(event, said_s) << std::flush;
    return;
  }
  if (const auto* height = std::get_if<measure::LiveHeight>(&event)) return draw_bar(height->height_cm);
  if (const auto* told = std::get_if<measure::LiveRep>(&event)) {
    count_ = told->count;
    low_ = told->rep.low;
    if (told->rep.period_s) {
      pace_ = "  " + rounded(60 / *told->rep.period_s, 0) + "/min (" + rounded(beat_bpm_ / 2, 0) + " asked)";
    }
  }
  if (told_before(event)) return;
  const auto* end = std::get_if<measure::LiveSetEnd>(&event);
  if (end != nullptr && !end->final && terminal_) std::cout << '\a';
  say(report::live_words(event));
}

// A rep is told again where more is known of it; a person has read it once.
bool LiveView::told_before(const measure::LiveEvent& event) {
  const auto* told = std::get_if<measure::LiveRep>(&event);
  if (told == nullptr) return false;
  const bool before = told->rep.n <= last_rep_;
  last_rep_ = std::max(last_rep_, told->rep.n);
  return before;
}

void LiveView::done(const Result<measure::Measurement>& measured, const report::LiveAccount& account) {
  if (json_lines_) {
    std::cout << report::live_done_line(measured, account) << std::flush;
    return;
  }
  clear_bar();
  if (account.frames_left_out > 0) {
    say(std::to_string(account.frames_left_out) +
        " frames were left out: this machine is slower than the pictures come.");
  }
  if (measured) std::cout << report::summary(*measured, terminal_) << std::flush;
}

}  // namespace risetrace::cli
