// Where each word of a PDF stands, by `pdftotext -bbox`.
#pragma once

#include <algorithm>
#include <cstdio>
#include <string>
#include <vector>

namespace risetrace::test {

struct WordBox {
  int page = 0;  // from 1
  double x0 = 0;
  double y0 = 0;
  double x1 = 0;
  double y1 = 0;
  std::string word;
};

inline std::vector<WordBox> word_boxes(const std::string& bbox_text) {
  std::vector<WordBox> boxes;
  int page = 0;
  for (std::size_t at = 0; (at = bbox_text.find('<', at)) != std::string::npos; ++at) {
    if (bbox_text.compare(at, 6, "<page ") == 0) ++page;
    if (bbox_text.compare(at, 6, "<word ") != 0) continue;
    WordBox box;
    box.page = page;
    if (std::sscanf(bbox_text.c_str() + at, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"",  // NOLINT
                    &box.x0, &box.y0, &box.x1, &box.y1) != 4) {
      continue;
    }
    const std::size_t from = bbox_text.find('>', at) + 1;
    box.word = bbox_text.substr(from, bbox_text.find('<', from) - from);
    boxes.push_back(box);
  }
  return boxes;
}

// What is wrong with where the words stand on A4: over the edge, or two over each other. Empty: nothing.
inline std::string misplaced(const std::vector<WordBox>& boxes) {
  constexpr double margin_x = 36;
  constexpr double touch_x = 0.8;
  constexpr double touch_y = 2.4;  // lines set solid share a little of their heights
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    const WordBox& a = boxes[i];
    if (a.x0 < margin_x || a.x1 > 595.3 - margin_x || a.y0 < 18 || a.y1 > 841.9 - 12) return "over the edge: " + a.word;
    for (std::size_t k = i + 1; k < boxes.size(); ++k) {
      const WordBox& b = boxes[k];
      if (a.page != b.page) continue;
      const double wide = std::min(a.x1, b.x1) - std::max(a.x0, b.x0);
      const double high = std::min(a.y1, b.y1) - std::max(a.y0, b.y0);
      if (wide > touch_x && high > touch_y) {
        return "page " + std::to_string(a.page) + ": " + a.word + " over " + b.word + " at " + std::to_string(a.x0) +
               ", " + std::to_string(a.y0);
      }
    }
  }
  return "";
}

}  // namespace risetrace::test
