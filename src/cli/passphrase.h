// A passphrase, never from the command line, where others on the machine could read it.
#pragma once

#include <optional>
#include <string>

#include "base/result.h"

namespace risetrace::cli {

// The first line of the file. option_wrong where it cannot be read or is empty.
Result<std::string> passphrase_from(const std::string& file);

// Asked for in the terminal, unseen, and once more where `twice`. Unset: there is no terminal to ask in. option_wrong
// where it is empty or the two differ.
Result<std::optional<std::string>> ask_passphrase(bool twice);

// One line typed at the terminal on standard input, seen. Unset: it is no terminal.
std::optional<std::string> ask_line(const std::string& question);

}  // namespace risetrace::cli
