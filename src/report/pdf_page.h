// A PDF, drawn in memory page by page and written whole.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "report/text.h"

namespace risetrace::report {

inline constexpr double pt_from_mm = 72.0 / 25.4;

class PdfPage {
 public:
  // `date`: ISO 8601; it is all that the file says about when it was made, so the same input gives the same bytes.
  PdfPage(double width_pt, double height_pt, const std::string& title, const std::string& date);
  PdfPage(const PdfPage&) = delete;  // the surface writes into bytes_
  PdfPage& operator=(const PdfPage&) = delete;
  ~PdfPage() = default;

  [[nodiscard]] Ink ink() const { return Ink(context_.get()); }  // unit: pt, y down
  void next_page();  // what is drawn from here on stands on a new page of the same size
  // Nothing can be drawn afterwards. Fault cannot_write.
  Outcome write(const std::filesystem::path& file);

 private:
  std::string bytes_;
  Surface surface_;
  Context context_;
};

}  // namespace risetrace::report
