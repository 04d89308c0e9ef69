#include "cli/passphrase.h"

#include <fcntl.h>
#include <termios.h>
#include <unistd.h>

#include <fstream>
#include <iostream>

namespace risetrace::cli {
namespace {

// The process's own terminal, its echo off while this lives.
class Quiet {
 public:
  explicit Quiet(int terminal) : terminal_(terminal) {
    known_ = ::tcgetattr(terminal, &before_) == 0;
    termios silent = before_;
    silent.c_lflag &= ~static_cast<tcflag_t>(ECHO);
    if (known_) ::tcsetattr(terminal, TCSAFLUSH, &silent);
  }
  Quiet(const Quiet&) = delete;
  Quiet& operator=(const Quiet&) = delete;
  ~Quiet() {
    if (known_) ::tcsetattr(terminal_, TCSAFLUSH, &before_);
    (void)!::write(terminal_, "\n", 1);
  }

 private:
  int terminal_;
  bool known_ = false;
  termios before_{};
};

std::string line_from(int terminal, const std::string& question) {
  (void)!::write(terminal, question.data(), question.size());
  const Quiet quiet(terminal);
  std::string line;
  for (char c = 0; ::read(terminal, &c, 1) == 1 && c != '\n';) line += c;
  return line;
}

Error wrong(const std::string& why, const std::string& what_to_do) { return {Fault::option_wrong, why, what_to_do}; }

}  // namespace

Result<std::string> passphrase_from(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  std::string line;
  if (!std::getline(in, line))
    return wrong(file + ": no line can be read from it", "put the passphrase in its first line");
  if (!line.empty() && line.back() == '\r') line.pop_back();
  if (line.empty() || line.size() > 1024) return wrong(file + ": its first line is empty or too long", "see --help");
  return line;
}

Result<std::optional<std::string>> ask_passphrase(bool twice) {
  const int terminal = ::open("/dev/tty", O_RDWR | O_CLOEXEC | O_NOCTTY);
  if (terminal < 0) return std::optional<std::string>();
  const std::string first = line_from(terminal, "Passphrase: ");
  const std::string second = twice && !first.empty() ? line_from(terminal, "Once more: ") : first;
  ::close(terminal);
  if (first.empty()) return wrong("no passphrase was typed", "try again");
  if (first != second) return wrong("the two passphrases differ", "try again");
  return std::optional<std::string>(first);
}

std::optional<std::string> ask_line(const std::string& question) {
  if (::isatty(STDIN_FILENO) == 0) return std::nullopt;
  std::cerr << question << std::flush;
  std::string line;
  std::getline(std::cin, line);
  return line;
}

}  // namespace risetrace::cli
