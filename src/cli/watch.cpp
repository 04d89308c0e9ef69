#include "cli/watch.h"

#include <unistd.h>

#include <array>
#include <atomic>
#include <csignal>
#include <ctime>
#include <iostream>

namespace risetrace::cli {
namespace {

std::atomic<bool> interrupt_came = false;

extern "C" void on_interrupt(int /*signal*/) { interrupt_came = true; }

}  // namespace

ProgressBar::ProgressBar(bool wanted) : wanted_(wanted && isatty(STDERR_FILENO) != 0) {}

void ProgressBar::show(const Progress& progress, const std::string& before) {
  if (!wanted_) return;
  const int percent = static_cast<int>(100 * progress.share);
  if (percent == percent_ && progress.stage == stage_) return;
  percent_ = percent;
  stage_ = progress.stage;
  constexpr int width = 40;
  const int filled = percent * width / 100;
  std::cerr << "\r" << before << stage_ << " [" << std::string(static_cast<std::size_t>(filled), '#')
            << std::string(static_cast<std::size_t>(width - filled), '.') << "] " << percent << " %  " << std::flush;
}

void ProgressBar::clear() {
  if (wanted_ && percent_ >= 0) std::cerr << "\r\033[K" << std::flush;
  percent_ = -1;
}

void listen_for_interrupts() {
  std::signal(SIGINT, on_interrupt);
  std::signal(SIGTERM, on_interrupt);
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
