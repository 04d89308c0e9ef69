#include "raise/rise_shape.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "raise/reps.h"

namespace risetrace::raise {
namespace {

constexpr double low_part = 0.2;   // of a rise: clearly begun
constexpr double high_part = 0.8;  // of a rise: nearly done
// Frames fall on whole parts of a second, so that two spans of time are often equal but for rounding.
constexpr double same_time_s = 1e-9;

double level_cm(double from_cm, double to_cm, double share) { return from_cm + share * (to_cm - from_cm); }

// When the straight line between two samples is at `level`.
double crossing_s(const Height& a, const Height& b, double level) {
  if (a.up_cm == b.up_cm) return b.time_s;
  const double share = std::clamp((level - a.up_cm) / (b.up_cm - a.up_cm), 0.0, 1.0);
  return a.time_s + share * (b.time_s - a.time_s);
}

// Least-squares parabola c0 + c1 t + c2 t^2 through [from, to], t from the middle one's time.
struct Parabola {
  double c0 = 0.0;
  double c1 = 0.0;
  double c2 = 0.0;
  [[nodiscard]] double at(double t) const { return c0 + t * (c1 + t * c2); }
};

Parabola parabola_through(const Heights& h, std::size_t from, std::size_t to, double middle_s, double scale_s) {
  // Orthogonal polynomials on the samples themselves (Forsythe 1957, J SIAM 5:74, from memory): no matrix to invert.
  const auto count = static_cast<double>(to - from + 1);
  double mean_t = 0;
  for (std::size_t i = from; i <= to; ++i) mean_t += (h[i].time_s - middle_s) / scale_s / count;
  double t2 = 0;
  double t3 = 0;
  for (std::size_t i = from; i <= to; ++i) {
    const double t = (h[i].time_s - middle_s) / scale_s - mean_t;
    t2 += t * t;
    t3 += t * t * t;
  }
  const double alpha = t3 / t2;
  const double beta = t2 / count;
  double p1y = 0;
  double p2y = 0;
  double p2p2 = 0;
  double mean_y = 0;
  for (std::size_t i = from; i <= to; ++i) mean_y += h[i].up_cm / count;
  for (std::size_t i = from; i <= to; ++i) {
    const double t = (h[i].time_s - middle_s) / scale_s - mean_t;
    const double p2 = (t - alpha) * t - beta;
    p1y += t * (h[i].up_cm - mean_y);
    p2y += p2 * (h[i].up_cm - mean_y);
    p2p2 += p2 * p2;
  }
  const double slope = p1y / t2;
  const double curve = p2y / p2p2;
  // Back from t - mean_t to t.
  Parabola out;
  out.c2 = curve;
  out.c1 = slope - alpha * curve - 2 * curve * mean_t;
  out.c0 = mean_y - beta * curve - (slope - alpha * curve) * mean_t + curve * mean_t * mean_t;
  return out;
}

double highest_of(const Parabola& p, double from_t, double to_t) {
  if (p.c2 < 0) {
    const double vertex = -p.c1 / (2 * p.c2);
    if (vertex > from_t && vertex < to_t) return p.at(vertex);
  }
  return std::max(p.at(from_t), p.at(to_t));
}

// Through what lies within `reach_s` of the top's middle, between indices left and right, or the three samples round
// it.
double height_at_middle(const Heights& heights, std::size_t left, std::size_t right, const Peak& middle,
                        double reach_s) {
  std::size_t nearest = left;
  for (std::size_t i = left; i <= right; ++i) {
    if (std::abs(heights[i].time_s - middle.time_s) < std::abs(heights[nearest].time_s - middle.time_s)) nearest = i;
  }
  std::size_t from = nearest > 0 ? nearest - 1 : nearest;
  std::size_t to = std::min(nearest + 1, heights.size() - 1);
  if (to - from < 2) return middle.up_cm;
  while (from > left && heights[from - 1].time_s >= middle.time_s - reach_s) --from;
  while (to < right && heights[to + 1].time_s <= middle.time_s + reach_s) ++to;
  const double scale_s = heights[to].time_s - heights[from].time_s;
  const Parabola parabola = parabola_through(heights, from, to, middle.time_s, scale_s);
  return highest_of(parabola, (heights[from].time_s - middle.time_s) / scale_s,
                    (heights[to].time_s - middle.time_s) / scale_s);
}

}  // namespace

std::size_t lowest(const Heights& heights, std::size_t from, std::size_t to) {
  std::size_t best = from;
  for (std::size_t i = from; i <= to; ++i) {
    if (heights[i].up_cm < heights[best].up_cm) best = i;
  }
  return best;
}

std::int64_t frame_at(const Heights& heights, double time_s) {
  if (heights.empty()) return 0;
  const auto after =
      std::lower_bound(heights.begin(), heights.end(), time_s, [](const Height& h, double t) { return h.time_s < t; });
  if (after == heights.end()) return heights.back().frame;
  if (after == heights.begin() || after->time_s - time_s <= time_s - std::prev(after)->time_s) return after->frame;
  return std::prev(after)->frame;
}

double floor_of_rise(const Heights& heights, std::size_t from, std::size_t peak_at,
                     const std::optional<double>& standing_cm) {
  const double floor_cm = heights[lowest(heights, from, peak_at)].up_cm;
  return standing_cm ? std::max(floor_cm, std::min(*standing_cm, heights[peak_at].up_cm)) : floor_cm;
}

double range_cm(const Heights& heights, std::size_t at, double span_s) {
  double least = heights[at].up_cm;
  double greatest = least;
  const double since_s = heights[at].time_s - span_s + same_time_s;
  for (std::size_t i = at + 1; i-- > 0;) {
    least = std::min(least, heights[i].up_cm);
    greatest = std::max(greatest, heights[i].up_cm);
    if (heights[i].time_s <= since_s) return greatest - least;
  }
  return std::numeric_limits<double>::infinity();
}

Peak peak_of(const Heights& heights, std::size_t at, double floor_cm) {
  const double level = heights[at].up_cm - top_of_rise * (heights[at].up_cm - floor_cm);
  std::size_t left = at;
  std::size_t right = at;
  while (left > 0 && heights[left - 1].up_cm >= level) --left;
  while (right + 1 < heights.size() && heights[right + 1].up_cm >= level) ++right;
  const double from_s = left > 0 ? crossing_s(heights[left - 1], heights[left], level) : heights[left].time_s;
  const double to_s =
      right + 1 < heights.size() ? crossing_s(heights[right + 1], heights[right], level) : heights[right].time_s;

  const Peak middle{(from_s + to_s) / 2, heights[at].up_cm};
  return {middle.time_s, height_at_middle(heights, left, right, middle, (to_s - from_s) / 4)};
}

double rise_start_s(const Heights& heights, std::size_t from, std::size_t peak_at, double peak_cm, double onset) {
  const double low_cm = heights[lowest(heights, from, peak_at)].up_cm;
  std::size_t begun = peak_at;
  while (begun > from && heights[begun].up_cm >= level_cm(low_cm, peak_cm, low_part)) --begun;
  std::size_t done = begun;
  while (done < peak_at && heights[done].up_cm < level_cm(low_cm, peak_cm, high_part)) ++done;
  const double since_s = heights[begun].time_s - (heights[done].time_s - heights[begun].time_s);
  std::size_t first = begun;
  while (first > from && heights[first - 1].time_s >= since_s - same_time_s) --first;
  const double foot_cm = heights[lowest(heights, first, begun)].up_cm;
  const double level = level_cm(foot_cm, peak_cm, onset);
  for (std::size_t i = peak_at; i-- > from;) {
    if (heights[i].up_cm < level) return crossing_s(heights[i], heights[i + 1], level);
  }
  return heights[from].time_s;
}

Landing landing_of(const Heights& heights, std::size_t peak_at, std::size_t to, double peak_cm, double onset) {
  const double low_cm = heights[lowest(heights, peak_at, to)].up_cm;
  std::size_t down = peak_at;
  while (down < to && heights[down].up_cm >= level_cm(low_cm, peak_cm, low_part)) ++down;
  std::size_t left = down;
  while (left > peak_at && heights[left].up_cm < level_cm(low_cm, peak_cm, high_part)) --left;
  const double until_s = heights[down].time_s + (heights[down].time_s - heights[left].time_s);
  std::size_t last = down;
  while (last < to && heights[last + 1].time_s <= until_s + same_time_s) ++last;
  const double foot_cm = heights[lowest(heights, down, last)].up_cm;
  const double level = level_cm(foot_cm, peak_cm, onset);
  const bool whole = heights[to].time_s >= until_s - same_time_s;
  for (std::size_t i = peak_at + 1; i <= to; ++i) {
    if (heights[i].up_cm < level) return {crossing_s(heights[i - 1], heights[i], level), whole};
  }
  return {heights[to].time_s, whole};
}

}  // namespace risetrace::raise
