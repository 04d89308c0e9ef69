#include "sole/shared_edge.h"

#include <cmath>
#include <map>

#include "math/statistics.h"

namespace risetrace::sole {

void SharedEdge::add(const std::vector<Point>& edge_px, Point moved_px) {
  edges_px_.emplace_back();
  for (const Point& p : edge_px) edges_px_.back().push_back({p.x - moved_px.x, p.y - moved_px.y});
}

std::vector<Point> SharedEdge::at(Point moved_px) const {
  constexpr std::size_t least_contacts = 3;
  constexpr std::size_t least_columns = 12;
  if (edges_px_.size() < least_contacts) return {};
  std::map<long, std::vector<double>> rows;
  for (const std::vector<Point>& edge : edges_px_) {
    for (const Point& p : edge) rows[std::lround(p.x)].push_back(p.y);
  }
  std::vector<Point> edge;
  for (const auto& [column, seen] : rows) {
    if (2 * seen.size() < edges_px_.size()) continue;
    edge.push_back({std::round(static_cast<double>(column) + moved_px.x), math::median(seen) + moved_px.y});
  }
  return edge.size() < least_columns ? std::vector<Point>{} : edge;
}

}  // namespace risetrace::sole
