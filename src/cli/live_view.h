// What `risetrace live` puts on standard output: lines of JSON, or lines and a moving bar for a person.
#pragma once

#include <string>

#include "base/result.h"
#include "measure/live_event.h"
#include "report/live_lines.h"

namespace risetrace::cli {

class LiveView {
 public:
  LiveView(bool json_lines, double beat_bpm);
  void tell(const measure::LiveEvent& event, double said_s);
  void done(const Result<measure::Measurement>& measured, const report::LiveAccount& account);

 private:
  void say(const std::string& line);
  void draw_bar(double height_cm);
  void clear_bar();
  bool told_before(const measure::LiveEvent& event);

  bool json_lines_;
  bool terminal_;
  double beat_bpm_;
  int count_ = 0;
  int last_rep_ = 0;
  double full_cm_ = 0.0;  // of the bar: the greatest height so far
  std::string pace_;
  bool low_ = false;
  bool bar_drawn_ = false;
};

}  // namespace risetrace::cli
