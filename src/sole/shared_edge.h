// The sole's edge as all contacts of a clip show it together. Inside of sole/.
#pragma once

#include <cstddef>
#include <map>
#include <vector>

#include "base/geometry.h"

namespace risetrace::sole {

// It is one shoe, so a column of its edge lies where most contacts saw it. Edges as the shoe stands in a contact, one
// point a column, columns ascending; `moved_px`: from where it stood in the first contact.
class SharedEdge {
 public:
  void add(const std::vector<Point>& edge_px, Point moved_px);
  // The median of all contacts so far, where at least half have that column. Empty: fewer than three contacts, or they
  // have too little in common.
  [[nodiscard]] std::vector<Point> at(Point moved_px) const;

 private:
  std::map<int, std::vector<double>> rows_px_;  // of each column where the first stood, one a contact
  std::size_t contacts_ = 0;
  std::vector<Point> median_px_;
};

}  // namespace risetrace::sole
