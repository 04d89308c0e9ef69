#include "sole/shared_edge.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "math/statistics.h"

namespace risetrace::sole {
namespace {

constexpr std::size_t least_stances = 3;
constexpr std::size_t least_columns = 12;

std::vector<Point> shared_edge(const std::vector<Stance>& stances) {
  std::map<long, std::vector<double>> rows;
  for (const Stance& stance : stances) {
    for (const Point& p : stance.piece.edge_px) {
      rows[std::lround(p.x - stance.moved_px.x)].push_back(p.y - stance.moved_px.y);
    }
  }
  std::vector<Point> edge;
  for (const auto& [column, seen] : rows) {
    if (2 * seen.size() >= stances.size()) edge.push_back({static_cast<double>(column), math::median(seen)});
  }
  return edge;
}

}  // namespace

std::vector<ShoePiece> with_shared_edge(const std::vector<Stance>& stances) {
  std::vector<ShoePiece> pieces;
  for (const Stance& stance : stances) pieces.push_back(stance.piece);
  if (stances.size() < least_stances) return pieces;
  const std::vector<Point> shared = shared_edge(stances);
  if (shared.size() < least_columns) return pieces;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    pieces[i].edge_px = shared;
    pieces[i].floor_row_px = -1e9;
    for (Point& p : pieces[i].edge_px) {
      p = {p.x + stances[i].moved_px.x, p.y + stances[i].moved_px.y};
      pieces[i].floor_row_px = std::max(pieces[i].floor_row_px, p.y);
    }
  }
  return pieces;
}

}  // namespace risetrace::sole
