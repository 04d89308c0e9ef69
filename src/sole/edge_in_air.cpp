#include "sole/edge_in_air.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace risetrace::sole {
namespace {

constexpr double below_cm = 0.3;     // the true edge may lie so far below a rough one
constexpr double curl_cm = 1.3;      // a toe that curls up lies so far above its shadow's edge
constexpr double more_toe_cm = 0.8;  // columns looked at ahead of a rough edge
constexpr double smooth_cm = 0.4;

// How much more a pixel of the standing picture looks like itself than like the floor behind where it has gone with the
// piece: -1 .. 1 a sighting, summed. Empty: nowhere do the two tell from each other.
std::optional<double> goes_with(const ShoePiece& piece, const Ground& ground, const std::vector<SeenPiece>& seen, int x,
                                int y) {
  constexpr float telling_grey = 8;
  if (!ground.standing.holds(x, y)) return std::nullopt;
  const float standing = ground.standing.at(x, y);
  std::optional<double> sum;
  for (const SeenPiece& s : seen) {
    const Point gone = place_of(piece, s.pose, {static_cast<double>(x), static_cast<double>(y)});
    const Sampled now = sample(*s.strip, gone.x, gone.y);
    const Sampled empty = sample(ground.empty, gone.x, gone.y);
    if (!now.inside || !empty.inside || !(std::abs(standing - empty.grey) > telling_grey)) continue;
    sum = sum.value_or(0) +
          std::clamp((std::abs(now.grey - empty.grey) - std::abs(now.grey - standing)) / telling_grey, -1.0F, 1.0F);
  }
  return sum;
}

// The edge of a column between its rows: how far down the shoe covers the floor behind it, in the air, where no shadow
// is near. `edge` is known to a pixel or so. Empty: nowhere do the two tell from each other.
std::optional<double> covered_to(const ShoePiece& piece, const Ground& ground, const std::vector<SeenPiece>& seen,
                                 Point edge) {
  constexpr int rows = 5;
  constexpr float telling_grey = 15;
  const int x = static_cast<int>(edge.x);
  const int all_shoe = static_cast<int>(std::lround(edge.y)) - 2;
  if (!ground.standing.holds(x, all_shoe)) return std::nullopt;
  const float shoe = ground.standing.at(x, all_shoe);
  double sum = 0;
  double weights = 0;
  for (const SeenPiece& s : seen) {
    double covered = 0;
    float least = 1000;
    for (int y = all_shoe + 1; y <= all_shoe + rows; ++y) {
      const Point gone = place_of(piece, s.pose, {edge.x, static_cast<double>(y)});
      const Sampled now = sample(*s.strip, gone.x, gone.y);
      const Sampled empty = sample(ground.empty, gone.x, gone.y);
      const float contrast = now.inside && empty.inside ? std::abs(shoe - empty.grey) : 0;
      least = std::min(least, std::isnan(contrast) ? 0 : contrast);
      if (least < telling_grey) break;
      covered += (now.grey - empty.grey) / (shoe - empty.grey);
    }
    if (least < telling_grey) continue;
    sum += least * least * covered;
    weights += least * least;
  }
  if (weights <= 0) return std::nullopt;
  return all_shoe + 0.5 + std::clamp(sum / weights, 0.5, 4.0);
}

// Without gaps, and `more` columns longer at the toes' end, where the piece may have been cut too short.
std::vector<Point> without_gaps(const std::vector<Point>& edge, double forward, int more) {
  std::vector<Point> whole;
  for (const Point& p : edge) {
    const Point last = whole.empty() ? p : whole.back();
    for (int step = 1; last.x + step < p.x; ++step) {
      whole.push_back({last.x + step, last.y + (p.y - last.y) * step / (p.x - last.x)});
    }
    whole.push_back(p);
  }
  for (int i = 1; i <= more && !whole.empty(); ++i) {
    if (forward > 0) {
      whole.push_back({whole.back().x + 1, whole.back().y});
    } else {
      whole.insert(whole.begin(), Point{whole.front().x - 1, whole.front().y});
    }
  }
  return whole;
}

// Each row replaced by that of a straight line through the columns about it, as far as `reach` pixels.
std::vector<Point> straightened(const std::vector<Point>& edge, double reach) {
  std::vector<Point> out;
  for (const Point& here : edge) {
    double n = 0;
    double sx = 0;
    double sy = 0;
    double sxx = 0;
    double sxy = 0;
    for (const Point& p : edge) {
      const double dx = p.x - here.x;
      if (std::abs(dx) > reach) continue;
      n += 1;
      sx += dx;
      sy += p.y;
      sxx += dx * dx;
      sxy += dx * p.y;
    }
    const double spread = n * sxx - sx * sx;
    out.push_back({here.x, spread > 0 ? (sxx * sy - sx * sxy) / spread : here.y});
  }
  return out;
}

}  // namespace

std::vector<Point> edge_that_goes_along(const ShoePiece& piece, const Ground& ground,
                                        const std::vector<SeenPiece>& seen, const PieceWhere& where) {
  constexpr int least_told = 8;
  const auto pixels = [&](double cm) { return std::max(2, static_cast<int>(std::lround(cm * where.px_per_cm))); };
  const int below = pixels(below_cm);
  const int reach = pixels(curl_cm);
  const std::vector<Point> rough_edge = without_gaps(piece.edge_px, where.forward, pixels(more_toe_cm));
  std::vector<std::vector<std::optional<double>>> goes;
  for (const Point& p : rough_edge) {
    goes.emplace_back();
    for (int up = -below; up < reach; ++up) {
      const int row = static_cast<int>(std::lround(p.y)) - 1 - up;
      goes.back().push_back(goes_with(piece, ground, seen, static_cast<int>(p.x), row));
    }
  }
  // A column is judged with its neighbours: above the edge its pixels go along, below it they stay behind, and the row
  // at which that changes best is the edge. Where none goes along there is no shoe. Columns of which nothing tells are
  // believed only where there is little else.
  std::vector<Point> edge;
  std::vector<Point> told_edge;
  for (std::size_t i = 0; i < goes.size(); ++i) {
    double above = 0;
    double best = 0;
    int best_up = reach;
    int told = 0;
    for (int up = reach - 1; up >= -below; --up) {
      const int row = up + below;
      for (std::size_t j = i < 2 ? 0 : i - 2; j <= std::min(goes.size() - 1, i + 2); ++j) {
        const std::optional<double>& goes_here = goes[j][static_cast<std::size_t>(row)];
        above += goes_here.value_or(0);
        told += goes_here ? 1 : 0;
      }
      if (above <= best) continue;
      best = above;
      best_up = up;
    }
    if (best_up == reach && told >= least_told) continue;
    const Point& p = rough_edge[i];
    const auto same = [&](Point known) { return known.x == p.x; };
    const bool added = std::none_of(piece.edge_px.begin(), piece.edge_px.end(), same);
    if (added && told < least_told) continue;
    if (told < least_told) best_up = 0;
    const Point rough{p.x, best_up == 0 ? p.y : p.y - best_up - 0.5};
    edge.push_back({p.x, covered_to(piece, ground, seen, rough).value_or(rough.y)});
    if (told >= least_told) told_edge.push_back(edge.back());
  }
  return straightened(2 * told_edge.size() >= edge.size() ? told_edge : edge, smooth_cm * where.px_per_cm);
}

bool goes_along(const ShoePiece& upper, const ShoePiece& lower, const Ground& ground,
                const std::vector<SeenPiece>& seen) {
  double sum = 0;
  for (const Point& low : lower.edge_px) {
    const auto high = std::find_if(upper.edge_px.begin(), upper.edge_px.end(), [&](Point p) { return p.x == low.x; });
    if (high == upper.edge_px.end()) continue;
    for (int y = static_cast<int>(high->y) + 2; y < static_cast<int>(std::ceil(low.y)) - 1; ++y) {
      sum += goes_with(upper, ground, seen, static_cast<int>(low.x), y).value_or(0);
    }
  }
  return sum > 0;
}

}  // namespace risetrace::sole
