// What a long command shows while it runs, and how it is stopped from the keyboard.
#pragma once

#include <string>

#include "base/progress.h"

namespace risetrace::cli {

// A bar on the terminal, redrawn in place; nothing where standard error is not one.
class ProgressBar {
 public:
  explicit ProgressBar(bool wanted);
  // `before`: what is being worked on, where there is more than one thing.
  void show(const Progress& progress, const std::string& before = "");
  void clear();

 private:
  bool wanted_;
  int percent_ = -1;
  std::string stage_;
};

// Lets SIGINT and SIGTERM stop the work in order; true once one of them came.
void listen_for_interrupts();
bool interrupted();

// The day in the machine's own time, "2026-03-02".
std::string today();

}  // namespace risetrace::cli
