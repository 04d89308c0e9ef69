#include "cli/watch.h"

#include <unistd.h>

#include <array>
#include <atomic>
#include <csignal>
#include <ctime>
#include <iostream>
#include <sstream>

#include "cli/commands.h"

namespace risetrace::cli {
namespace {

std::atomic<bool> interrupt_came = false;

extern "C" void on_interrupt(int /*signal*/) { interrupt_came = true; }

}  // namespace

void add_progress_option(CLI::App& command, bool& lines) {
  command
      .add_option_function<std::string>(
          "--progress", [&lines](const std::string& form) { lines = form == "lines"; },
          "how progress is told on standard error: a bar, or a line of JSON a change (for programs)")
      ->check(CLI::IsMember({"bar", "lines"}))
      ->default_str("bar");
}

ProgressBar::ProgressBar(bool wanted, bool lines)
    : wanted_(lines || (wanted && isatty(STDERR_FILENO) != 0)), lines_(lines) {}

void ProgressBar::show(const Progress& progress, const std::string& before) {
  if (!wanted_) return;
  const int percent = static_cast<int>(100 * progress.share);
  if (percent == percent_ && progress.stage == stage_ && before == before_) return;
  percent_ = percent;
  stage_ = progress.stage;
  before_ = before;
  if (lines_) {  // stages and slots are words of ours: nothing in them needs escaping
    const std::string of = before.empty() ? "" : "\"of\":\"" + before + "\",";
    std::ostringstream line;
    line << "{" << of << "\"stage\":\"" << stage_ << "\",\"share\":" << percent / 100.0 << "}\n";
    std::cerr << line.str() << std::flush;
    return;
  }
  constexpr int width = 40;
  const int filled = percent * width / 100;
  std::cerr << "\r" << before << (before.empty() ? "" : " ") << stage_ << " ["
            << std::string(static_cast<std::size_t>(filled), '#')
            << std::string(static_cast<std::size_t>(width - filled), '.') << "] " << percent << " %  " << std::flush;
}

void ProgressBar::clear() {
  if (wanted_ && !lines_ && percent_ >= 0) std::cerr << "\r\033[K" << std::flush;
  percent_ = -1;
}

int fail_telling(const Error& error, bool lines) {
  if (lines) std::cerr << std::string("{\"fault\":\"") + key_of(error.fault) + "\"}\n" << std::flush;
  return fail(error);
}

void listen_for_interrupts() {
  std::signal(SIGINT, on_interrupt);
  std::signal(SIGTERM, on_interrupt);
  // The terminal was closed; who asked beforehand that this be no reason (nohup) is heard.
  if (std::signal(SIGHUP, on_interrupt) == SIG_IGN) std::signal(SIGHUP, SIG_IGN);
}

bool interrupted() { return interrupt_came.load(); }

std::string today() {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  localtime_r(&now, &parts);
  std::array<char, 16> text{};
  std::strftime(text.data(), text.size(), "%Y-%m-%d", &parts);
  return text.data();
}

}  // namespace risetrace::cli
