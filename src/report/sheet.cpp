#include "report/sheet.h"

#include <utility>

#include "report/palette.h"
#include "report/report_page.h"

namespace risetrace::report {

Sheet::Sheet(PdfPage& pdf, Head head, Foot foot, double bottom)
    : pdf_(pdf), head_(std::move(head)), foot_(std::move(foot)), bottom_(bottom) {
  pages_ = 1;
  top_ = y = head_(ink(), pages_);
}

void Sheet::new_page() {
  finish();
  pdf_.next_page();
  ++pages_;
  top_ = y = head_(ink(), pages_);
}

void Sheet::need(double height) {
  if (y + height > bottom_ && y > top_ + 1) new_page();
}

void Sheet::say(const std::string& text, const TextStyle& style, double x) {
  TextStyle wrapped = style;
  const double from = x > 0 ? x : report_page::left;
  if (wrapped.width <= 0) wrapped.width = report_page::left + report_page::width - from;
  need(ink().measure(text, wrapped).height);
  y += ink().text(from, y, text, wrapped).height;
}

void Sheet::heading(const std::string& text, double follows) {
  need(16 + follows);
  ink().line(report_page::left, y, report_page::left + report_page::width, y, 0.6, palette::rule);
  draw_heading(ink(), report_page::left, y + 4, text);
  y += 18;
}

}  // namespace risetrace::report
