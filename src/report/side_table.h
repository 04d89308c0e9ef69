// Two values of a quantity beside each other, their difference and its three readings, as lines of a table.
#pragma once

#include <optional>
#include <string>

#include "report/screen_words.h"
#include "report/sheet.h"

namespace risetrace::report {

struct SideLine {
  std::string name;
  std::string quantity;
  std::optional<visit::Value> first;
  std::optional<visit::Value> second;
  const visit::Difference* difference = nullptr;  // null: not compared, see why_not
  std::string why_not;                            // in words
  Side weaker = Side::not_stated;                 // left: of the first
};

struct SideHeads {
  std::string first;
  std::string second;
  std::string difference;
  bool index = true;
};

void draw_side_heads(Sheet& sheet, const ScreenWords& words, const SideHeads& heads);
void draw_side_line(Sheet& sheet, const ScreenWords& words, const SideLine& line, bool index);

}  // namespace risetrace::report
