// Lines for a terminal, 80 columns wide: a label, then text that is wrapped beside it.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace risetrace::report {

inline constexpr std::size_t page_columns = 80;
inline constexpr std::size_t page_label_columns = 10;

// Columns taken on a terminal: code points, since the texts here hold no wide or combining characters of ours.
std::size_t columns_of(const std::string& text);
// With an ellipsis where something was left out.
std::string cut_to_columns(const std::string& text, std::size_t width);
std::vector<std::string> wrapped_to_columns(const std::string& text, std::size_t width);

class TerminalPage {
 public:
  explicit TerminalPage(bool colour) : colour_(colour) {}

  void head(const std::string& text);
  void row(const std::string& label, const std::string& text);
  // One line, its blanks kept: a table's.
  void table_row(const std::string& label, const std::string& text);
  void plain(const std::string& text);
  [[nodiscard]] std::size_t lines() const { return lines_.size(); }
  [[nodiscard]] std::string text() const;

 private:
  [[nodiscard]] std::string emphasis(const char* code, const std::string& text) const;

  bool colour_;
  std::vector<std::string> lines_;
};

}  // namespace risetrace::report
