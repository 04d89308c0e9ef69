#include "sole/shared_edge.h"

#include <cmath>

#include "math/statistics.h"

namespace risetrace::sole {
namespace {

constexpr std::size_t least_contacts = 3;
constexpr std::size_t least_columns = 12;

// Moved, and with its rows at whole columns again; gaps stay.
std::vector<Point> moved_by(const std::vector<Point>& edge, Point by) {
  constexpr double most_apart = 1.5;
  std::vector<Point> out;
  for (std::size_t i = 0; i + 1 < edge.size(); ++i) {
    const Point a{edge[i].x + by.x, edge[i].y + by.y};
    const Point b{edge[i + 1].x + by.x, edge[i + 1].y + by.y};
    const double column = std::ceil(a.x);
    if (b.x - a.x > most_apart || column >= b.x) continue;
    out.push_back({column, a.y + (b.y - a.y) * (column - a.x) / (b.x - a.x)});
  }
  if (!edge.empty() && std::floor(edge.back().x + by.x) == edge.back().x + by.x) {
    out.push_back({edge.back().x + by.x, edge.back().y + by.y});
  }
  return out;
}

}  // namespace

void SharedEdge::add(const std::vector<Point>& edge_px, Point moved_px) {
  if (edge_px.size() < least_columns) return;
  ++contacts_;
  for (const Point& p : moved_by(edge_px, {-moved_px.x, -moved_px.y})) rows_px_[static_cast<int>(p.x)].push_back(p.y);
  median_px_.clear();
  for (const auto& [column, rows] : rows_px_) {
    if (2 * rows.size() >= contacts_) median_px_.push_back({static_cast<double>(column), math::median(rows)});
  }
}

std::vector<Point> SharedEdge::at(Point moved_px) const {
  if (contacts_ < least_contacts || median_px_.size() < least_columns) return {};
  return moved_by(median_px_, moved_px);
}

}  // namespace risetrace::sole
