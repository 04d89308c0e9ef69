// A row of a table for spreadsheets and statistics programs, RFC 4180. Inside of report/.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace risetrace::report {

class CsvRow {
 public:
  // Always UTF-8 without control characters, in quotes where it must be. A text that a spreadsheet would run as a
  // formula (= + - @ at its front) gets an apostrophe before it.
  CsvRow& text(const std::string& value);
  // As many digits as give the same number again; the decimal mark is a point. Empty where not known or not finite.
  CsvRow& number(std::optional<double> value);
  CsvRow& yes_no(std::optional<bool> value);  // "1", "0", empty

  [[nodiscard]] std::string line() const;  // with its CRLF

 private:
  std::vector<std::string> cells_;
};

// The names of the columns.
std::string csv_head(const std::vector<const char*>& names);

}  // namespace risetrace::report
