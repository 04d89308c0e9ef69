#include "report/terminal_page.h"

#include <algorithm>

namespace risetrace::report {

std::size_t columns_of(const std::string& text) {
  std::size_t width = 0;
  for (const char c : text) width += (static_cast<unsigned char>(c) & 0xc0U) != 0x80U ? 1 : 0;
  return width;
}

std::string cut_to_columns(const std::string& text, std::size_t width) {
  if (columns_of(text) <= width) return text;
  std::string out;
  std::size_t taken = 0;
  for (const char c : text) {
    if ((static_cast<unsigned char>(c) & 0xc0U) != 0x80U && ++taken == width) break;
    out += c;
  }
  return out + "…";
}

std::vector<std::string> wrapped_to_columns(const std::string& text, std::size_t width) {
  std::vector<std::string> lines(1);
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t space = std::min(text.find(' ', at), text.size());
    const std::string word = cut_to_columns(text.substr(at, space - at), width);
    std::string& line = lines.back();
    if (!line.empty() && columns_of(line) + 1 + columns_of(word) > width) lines.emplace_back();
    lines.back() += (lines.back().empty() ? "" : " ") + word;
    at = space + 1;
  }
  return lines;
}

void TerminalPage::head(const std::string& text) {
  lines_.push_back(emphasis("1", cut_to_columns(text, page_columns)));
}

void TerminalPage::row(const std::string& label, const std::string& text) {
  bool first = true;
  for (const std::string& line : wrapped_to_columns(text, page_columns - page_label_columns)) {
    std::string shown = first ? label : "";
    shown.resize(page_label_columns, ' ');
    lines_.push_back(emphasis("2", shown) + line);
    first = false;
  }
}

void TerminalPage::table_row(const std::string& label, const std::string& text) {
  std::string shown = label;
  shown.resize(page_label_columns, ' ');
  lines_.push_back(emphasis("2", shown) + cut_to_columns(text, page_columns - page_label_columns));
}

void TerminalPage::plain(const std::string& text) { lines_.push_back(emphasis("2", text)); }

std::string TerminalPage::text() const {
  std::string out;
  for (const std::string& line : lines_) out += line + "\n";
  return out;
}

std::string TerminalPage::emphasis(const char* code, const std::string& text) const {
  return colour_ ? std::string("\033[") + code + "m" + text + "\033[0m" : text;
}

}  // namespace risetrace::report
