// The sole's edge as all contacts of a clip show it together. Inside of sole/.
#pragma once

#include <cstddef>
#include <vector>

#include "base/geometry.h"

namespace risetrace::sole {

// It is one shoe, so a column of its edge lies where most contacts saw it. Points as the shoe stands in a contact;
// `moved_px`: from where it stood in the first contact.
class SharedEdge {
 public:
  void add(const std::vector<Point>& edge_px, Point moved_px);
  // The median of all contacts so far, where at least half have that column. Empty: fewer than three
  // contacts, or they have too little in common.
  [[nodiscard]] std::vector<Point> at(Point moved_px) const;

 private:
  std::vector<std::vector<Point>> edges_px_;  // where the first stood
};

}  // namespace risetrace::sole
