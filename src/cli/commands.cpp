#include "cli/commands.h"

#include <cmath>
#include <iostream>
#include <sstream>

namespace risetrace::cli {

int fail(const Error& error) {
  std::cerr << "risetrace: " << sentence(error) << '\n';
  return exit_status(error.fault);
}

CLI::Validator number_between(double least, double greatest, const std::string& unit) {
  std::ostringstream range;
  range << least << " .. " << greatest;
  const std::string name = range.str() + (unit.empty() ? "" : " " + unit);
  const auto check = [=](const std::string& text) -> std::string {
    double value = std::nan("");
    std::size_t used = 0;
    try {
      value = std::stod(text, &used);
    } catch (const std::exception&) {
      used = 0;
    }
    if (used == text.size() && value >= least && value <= greatest) return {};
    return "it is '" + text + "' and must be a number in " + name;
  };
  return {check, name};
}

std::optional<std::string> unless_empty(const std::string& text) {
  return text.empty() ? std::nullopt : std::optional(text);
}

}  // namespace risetrace::cli
