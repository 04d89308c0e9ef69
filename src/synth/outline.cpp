#include "synth/outline.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace risetrace::synth {
namespace {

Point between(Point a, Point b, double ta, double tb, double t) {
  const double share = (t - ta) / (tb - ta);
  return {a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share};
}

double knot_step(Point a, Point b) { return std::max(1e-6, std::sqrt(std::hypot(b.x - a.x, b.y - a.y))); }

// The Barry-Goldman pyramid: the curve between p[1] and p[2].
void add_piece(std::vector<Point>& out, const std::array<Point, 4>& p, int pieces) {
  std::array<double, 4> t{};
  for (std::size_t i = 1; i < 4; ++i) t[i] = t[i - 1] + knot_step(p[i - 1], p[i]);
  for (int i = 0; i < pieces; ++i) {
    const double at = t[1] + (t[2] - t[1]) * i / pieces;
    const Point a1 = between(p[0], p[1], t[0], t[1], at);
    const Point a2 = between(p[1], p[2], t[1], t[2], at);
    const Point a3 = between(p[2], p[3], t[2], t[3], at);
    const Point b1 = between(a1, a2, t[0], t[2], at);
    const Point b2 = between(a2, a3, t[1], t[3], at);
    out.push_back(between(b1, b2, t[1], t[2], at));
  }
}

Point mirrored_end(Point end, Point inner) { return {2 * end.x - inner.x, 2 * end.y - inner.y}; }

}  // namespace

std::vector<Point> smooth_closed(const std::vector<Point>& through, int pieces) {
  std::vector<Point> out;
  const std::size_t n = through.size();
  for (std::size_t i = 0; i < n; ++i) {
    add_piece(out, {through[(i + n - 1) % n], through[i], through[(i + 1) % n], through[(i + 2) % n]}, pieces);
  }
  return out;
}

std::vector<Point> smooth_open(const std::vector<Point>& through, int pieces) {
  std::vector<Point> out;
  const std::size_t n = through.size();
  for (std::size_t i = 0; i + 1 < n; ++i) {
    const Point before = i == 0 ? mirrored_end(through[0], through[1]) : through[i - 1];
    const Point after = i + 2 < n ? through[i + 2] : mirrored_end(through[n - 1], through[n - 2]);
    add_piece(out, {before, through[i], through[i + 1], after}, pieces);
  }
  out.push_back(through.back());
  return out;
}

std::vector<Point> hull(std::vector<Point> points) {
  std::sort(points.begin(), points.end(), [](Point a, Point b) { return a.x < b.x || (a.x == b.x && a.y < b.y); });
  std::vector<Point> out;
  const auto add_chain = [&](auto from, auto to) {
    const std::size_t start = out.size();
    for (; from != to; ++from) {
      while (out.size() >= start + 2) {
        const Point a = out[out.size() - 2];
        const Point b = out.back();
        if ((b.x - a.x) * (from->y - a.y) - (b.y - a.y) * (from->x - a.x) > 0) break;
        out.pop_back();
      }
      out.push_back(*from);
    }
  };
  add_chain(points.begin(), points.end());
  add_chain(points.rbegin(), points.rend());
  return out;
}

std::vector<Point> circle(Point centre, double radius, int corners) {
  std::vector<Point> out;
  out.reserve(static_cast<std::size_t>(corners));
  const double slice = 2.0 * std::numbers::pi / corners;
  const double reach = radius * std::sqrt(slice / std::sin(slice));  // the circle's own area
  for (int i = 0; i < corners; ++i) {
    out.push_back({centre.x + reach * std::cos(slice * i), centre.y + reach * std::sin(slice * i)});
  }
  return out;
}

std::vector<Point> rectangle(Point low, Point high) { return {low, {high.x, low.y}, high, {low.x, high.y}}; }

std::vector<Point> with_short_sides(const std::vector<Point>& closed, double step) {
  std::vector<Point> out;
  for (std::size_t i = 0; i < closed.size(); ++i) {
    const Point a = closed[i];
    const Point b = closed[(i + 1) % closed.size()];
    const int pieces = std::max(1, static_cast<int>(std::ceil(std::hypot(b.x - a.x, b.y - a.y) / step)));
    for (int k = 0; k < pieces; ++k) out.push_back({a.x + (b.x - a.x) * k / pieces, a.y + (b.y - a.y) * k / pieces});
  }
  return out;
}

}  // namespace risetrace::synth
