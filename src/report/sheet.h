// Pages filled from the top: what does not fit into what is left of one begins on the next.
#pragma once

#include <functional>
#include <string>

#include "report/pdf_page.h"
#include "report/text.h"

namespace risetrace::report {

class Sheet {
 public:
  // Draws what stands above every page's own matter, given the page's number from 1; returns where that begins, in pt.
  using Head = std::function<double(const Ink& ink, int page)>;
  // Draws what stands below it. Last on a page, so that it is read last.
  using Foot = std::function<void(const Ink& ink, int page)>;

  // Holds a reference to `pdf`. `bottom`: nothing but the foot goes below it.
  Sheet(PdfPage& pdf, Head head, Foot foot, double bottom);

  [[nodiscard]] Ink ink() const { return pdf_.ink(); }
  [[nodiscard]] int pages() const { return pages_; }
  [[nodiscard]] double room() const { return bottom_ - y; }
  // A new page if less than this is left; never two for something higher than a page.
  void need(double height);
  void new_page();
  void finish() const { foot_(ink(), pages_); }  // the last page's foot
  // Text over the whole width, or from `x` in the given one; y moves below it. Whole lines only go on a page.
  void say(const std::string& text, const TextStyle& style, double x = 0.0);
  // A heading that stays with at least `follows` pt of what comes after it.
  void heading(const std::string& text, double follows);

  double y = 0.0;

 private:
  PdfPage& pdf_;
  Head head_;
  Foot foot_;
  double bottom_;
  double top_ = 0.0;
  int pages_ = 0;
};

}  // namespace risetrace::report
