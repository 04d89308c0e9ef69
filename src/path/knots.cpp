#include "path/knots.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace risetrace::path {
namespace {

// The outer knots lie at least this share of the interval away, and need not be further than the reach.
constexpr double outer_share = 0.75;
constexpr double outer_reach_s = 0.06;

double outer_distance_s(double interval_s) { return outer_share * std::min(interval_s, outer_reach_s); }

double slope_cm_s(const Knot& a, const Knot& b) { return (b.up_cm - a.up_cm) / (b.time_s - a.time_s); }

// Slope at the middle one of three knots of the parabola through them.
double slope_at_middle(const Knot& a, const Knot& b, const Knot& c) {
  const double before_s = b.time_s - a.time_s;
  const double after_s = c.time_s - b.time_s;
  return (slope_cm_s(a, b) * after_s + slope_cm_s(b, c) * before_s) / (before_s + after_s);
}

double held_to_chord(double slope, double chord) {
  if (slope * chord <= 0) return 0;
  return std::copysign(std::min(std::abs(slope), 3 * std::abs(chord)), chord);
}

double hermite(double u, double interval_s, double from, double to, double slope_from, double slope_to) {
  const double v = 1 - u;
  return from * v * v * (1 + 2 * u) + to * u * u * (1 + 2 * v) + interval_s * u * v * (slope_from * v - slope_to * u);
}

}  // namespace

double polynomial_at(double time_s, std::span<const Knot> knots) {
  double sum = 0;
  for (std::size_t i = 0; i < knots.size(); ++i) {
    double weight = 1;
    for (std::size_t j = 0; j < knots.size(); ++j) {
      if (j != i) weight *= (time_s - knots[j].time_s) / (knots[i].time_s - knots[j].time_s);
    }
    sum += weight * knots[i].up_cm;
  }
  return sum;
}

bool Knots::add(const Knot& knot) {
  if (!knots_.empty() && !(knot.time_s > knots_.back().time_s)) return false;
  knots_.push_back(knot);
  return true;
}

// The interval that holds `time_s`, by its left knot; the last interval for what lies after it.
std::size_t Knots::left_of(double time_s) const {
  const auto after =
      std::upper_bound(knots_.begin(), knots_.end(), time_s, [](double t, const Knot& k) { return t < k.time_s; });
  const auto right = static_cast<std::size_t>(after - knots_.begin());
  return std::min(right < 1 ? 0 : right - 1, knots_.size() < 2 ? 0 : knots_.size() - 2);
}

std::size_t Knots::outer_left(std::size_t left) const {
  const double away_s = outer_distance_s(knots_[left + 1].time_s - knots_[left].time_s);
  for (std::size_t j = left; j-- > 0;) {
    if (knots_[left].time_s - knots_[j].time_s >= away_s) return j;
  }
  return left;
}

std::size_t Knots::outer_right(std::size_t left) const {
  const double away_s = outer_distance_s(knots_[left + 1].time_s - knots_[left].time_s);
  for (std::size_t j = left + 2; j < knots_.size(); ++j) {
    if (knots_[j].time_s - knots_[left + 1].time_s >= away_s) return j;
  }
  return left + 1;
}

bool Knots::settled_at(double time_s) const {
  if (knots_.size() < 2 || time_s > last_s()) return false;
  const std::size_t left = left_of(time_s);
  return !wait_for_after_ || outer_right(left) != left + 1;
}

double Knots::up_cm_at(double time_s) const {
  if (knots_.size() < 2) return knots_.front().up_cm;
  const std::size_t left = left_of(time_s);
  const std::size_t before = outer_left(left);
  const std::size_t after = wait_for_after_ ? outer_right(left) : left + 1;
  const Knot& a = knots_[left];
  const Knot& b = knots_[left + 1];
  const double interval_s = b.time_s - a.time_s;
  if (interval_s > long_gap_s && wait_for_after_) {
    const double chord = slope_cm_s(a, b);
    const double from = before == left ? chord : slope_at_middle(knots_[before], a, b);
    const double to = after == left + 1 ? chord : slope_at_middle(a, b, knots_[after]);
    return hermite((time_s - a.time_s) / interval_s, interval_s, a.up_cm, b.up_cm, held_to_chord(from, chord),
                   held_to_chord(to, chord));
  }
  std::array<Knot, 4> used;
  std::size_t count = 0;
  if (before != left) used[count++] = knots_[before];
  used[count++] = a;
  used[count++] = b;
  if (after != left + 1) used[count++] = knots_[after];
  return polynomial_at(time_s, std::span(used).first(count));
}

double Knots::across_cm_at(double time_s) const {
  if (knots_.size() < 2) return knots_.front().across_cm;
  const std::size_t left = left_of(time_s);
  const Knot& a = knots_[left];
  const Knot& b = knots_[left + 1];
  return a.across_cm + (b.across_cm - a.across_cm) * (time_s - a.time_s) / (b.time_s - a.time_s);
}

void Knots::forget_before(double time_s) {
  if (knots_.size() < 2) return;
  const std::size_t keep = outer_left(left_of(time_s));
  knots_.erase(knots_.begin(), knots_.begin() + static_cast<std::ptrdiff_t>(keep));
}

}  // namespace risetrace::path
