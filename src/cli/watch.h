// What a long command shows while it runs, and how it is stopped from the keyboard.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

#include "base/error.h"
#include "base/progress.h"

namespace risetrace::cli {

// Adds --progress bar|lines; `lines` becomes true where lines were asked for.
void add_progress_option(CLI::App& command, bool& lines);

// A bar on the terminal, redrawn in place, nothing where standard error is not one; or, for a program that watches, a
// line of JSON on standard error whenever stage or per cent change: {"stage":"measuring","share":0.42}, with
// "of":"heel-raise/left/straight" where there is more than one thing.
class ProgressBar {
 public:
  explicit ProgressBar(bool wanted, bool lines = false);
  // `before`: what is being worked on, where there is more than one thing.
  void show(const Progress& progress, const std::string& before = "");
  void clear();

 private:
  bool wanted_;
  bool lines_;
  int percent_ = -1;
  std::string stage_;
  std::string before_;
};

// fail(); with `lines` for a program that watches, which is told before: {"fault":"sticker-not-found"} on standard
// error.
int fail_telling(const Error& error, bool lines);

// Lets SIGINT and SIGTERM stop the work in order; true once one of them came.
void listen_for_interrupts();
bool interrupted();

// The day in the machine's own time, "2026-03-02".
std::string today();

}  // namespace risetrace::cli
