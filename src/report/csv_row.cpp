#include "report/csv_row.h"

#include <array>
#include <charconv>
#include <cmath>

#include "report/words.h"

namespace risetrace::report {
namespace {

std::string quoted(const std::string& cell) {
  if (cell.find_first_of(",\"") == std::string::npos) return cell;
  std::string out = "\"";
  for (const char c : cell) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

}  // namespace

CsvRow& CsvRow::text(const std::string& value) {
  std::string cell = readable(value);
  if (cell.find_first_of("=+-@") == 0) cell.insert(0, "'");
  cells_.push_back(quoted(cell));
  return *this;
}

CsvRow& CsvRow::number(std::optional<double> value) {
  cells_.emplace_back();
  if (!value || !std::isfinite(*value)) return *this;
  std::array<char, 32> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), *value + 0.0);
  cells_.back().assign(text.data(), end.ptr);
  return *this;
}

CsvRow& CsvRow::yes_no(std::optional<bool> value) {
  cells_.emplace_back(!value ? "" : *value ? "1" : "0");
  return *this;
}

std::string CsvRow::line() const {
  std::string out;
  for (const std::string& cell : cells_) out += (&cell == &cells_.front() ? "" : ",") + cell;
  return out + "\r\n";
}

std::string csv_head(const std::vector<const char*>& names) {
  CsvRow row;
  for (const char* name : names) row.text(name);
  return row.line();
}

}  // namespace risetrace::report
