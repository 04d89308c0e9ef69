#include "beat/fit_grid.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace risetrace::beat {
namespace {

struct Weighted {
  double beat, time_s, weight;
};

// Weighted line; gives offset and slope.
void fit_line(const std::vector<Weighted>& points, double& offset_s, double& period_s) {
  double w = 0, k = 0, t = 0;
  for (const Weighted& p : points) {
    w += p.weight;
    k += p.weight * p.beat;
    t += p.weight * p.time_s;
  }
  k /= w;
  t /= w;
  double kk = 0, kt = 0;
  for (const Weighted& p : points) {
    kk += p.weight * (p.beat - k) * (p.beat - k);
    kt += p.weight * (p.beat - k) * (p.time_s - t);
  }
  period_s = kt / kk;
  offset_s = t - period_s * k;
}

// The parabola's part that a line cannot take up, as its height half-way.
void fit_bow(Grid& grid, const std::vector<Weighted>& points) {
  const double half = (grid.beats - 1) / 2.0;
  double qr = 0, qq = 0, mean_q = 0, n = 0;
  const auto parabola = [half](double beat) { return 1.0 - (beat - half) * (beat - half) / (half * half); };
  for (const Weighted& p : points) {
    mean_q += p.weight * parabola(p.beat);
    n += p.weight;
  }
  mean_q /= n;
  for (const Weighted& p : points) {
    const double q = parabola(p.beat) - mean_q;
    qr += p.weight * q * (p.time_s - grid.at_s(p.beat));
    qq += p.weight * q * q;
  }
  if (qq <= 0.0 || points.size() < 5) return;
  grid.bow_s = qr / qq;
  double squares = 0.0;
  for (const Weighted& p : points) {
    const double left_s = p.time_s - grid.at_s(p.beat) - grid.bow_s * (parabola(p.beat) - mean_q);
    squares += p.weight * left_s * left_s;
  }
  grid.bow_s_u = std::max(1e-5, std::sqrt(squares / std::max(1.0, n - 3.0)) / std::sqrt(qq));
}

// Of the beats, how far the nearest event lies that is nearly as strong as the hits; empty where none is near.
std::vector<std::optional<double>> nearest_offs_s(const Grid& grid, const std::vector<Event>& events, double near_s) {
  double weakest_db = 0.0;
  for (const Hit& hit : grid.hits) weakest_db += events[hit.event].strength_db / static_cast<double>(grid.hits.size());
  weakest_db -= 10.0;
  std::vector<std::optional<double>> offs(static_cast<std::size_t>(grid.beats));
  for (const Hit& hit : grid.hits) {
    offs[static_cast<std::size_t>(hit.beat)] = events[hit.event].time_s - grid.at_s(hit.beat);
  }
  for (int beat = 0; beat < grid.beats; ++beat) {
    auto& off = offs[static_cast<std::size_t>(beat)];
    if (off) continue;
    const double at_s = grid.at_s(beat);
    auto event = std::lower_bound(events.begin(), events.end(), at_s - near_s,
                                  [](const Event& each, double limit_s) { return each.time_s < limit_s; });
    for (; event != events.end() && event->time_s <= at_s + near_s; ++event) {
      if (event->strength_db < weakest_db) continue;
      if (!off || std::abs(event->time_s - at_s) < std::abs(*off)) off = event->time_s - at_s;
    }
  }
  return offs;
}

}  // namespace

double evidence_of_machine(const Grid& grid, const std::vector<Event>& events) {
  constexpr double near_s = 0.025;
  constexpr double least_machine_s = 0.00025, greatest_machine_s = 0.0013, least_human_s = 0.004;
  constexpr double share = 0.9;  // of events near a beat that belong to it; the others lie anywhere near
  const auto offs_s = nearest_offs_s(grid, events, near_s);
  double squares = 0.0;
  double count = 0.0;
  for (const auto& off_s : offs_s) {
    if (!off_s) continue;
    squares += *off_s * *off_s;
    ++count;
  }
  const double machine_s = std::clamp(grid.residual_s, least_machine_s, greatest_machine_s);
  const double human_s = std::max(least_human_s, std::sqrt(squares / std::max(1.0, count)));
  const auto density = [](double off_s, double spread_s) {
    const double off = off_s / spread_s;
    const double normal = std::exp(-0.5 * off * off) / (spread_s * std::sqrt(2.0 * std::numbers::pi));
    return share * normal + (1.0 - share) / (2.0 * near_s);
  };
  double evidence = 0.0;
  for (const auto& off_s : offs_s) {
    if (off_s) evidence += std::log(density(*off_s, machine_s) / density(*off_s, human_s));
  }
  return evidence * (1.0 - 2.0 / static_cast<double>(grid.hits.size()));  // two hits set offset and period
}

// Huber 1964, Ann. Math. Stat. 35:73 (weights from memory): 1 up to 1.345 standard deviations, falling beyond.
void fit_grid(Grid& grid, const std::vector<Event>& events) {
  const int first = grid.hits.front().beat;
  for (Hit& hit : grid.hits) hit.beat -= first;
  grid.beats = grid.hits.back().beat + 1;
  std::vector<Weighted> points;
  points.reserve(grid.hits.size());
  for (const Hit& hit : grid.hits) points.push_back({double(hit.beat), events[hit.event].time_s, 1.0});
  for (int round = 0; round < 6; ++round) {
    fit_line(points, grid.offset_s, grid.period_s);
    double squares = 0;
    double weights = 0;
    for (const Weighted& p : points) {
      const double off_s = p.time_s - grid.at_s(p.beat);
      squares += p.weight * off_s * off_s;
      weights += p.weight;
    }
    grid.residual_s = std::sqrt(squares / std::max(1.0, weights - 2.0));
    for (Weighted& p : points) {
      const double off_s = std::abs(p.time_s - grid.at_s(p.beat));
      p.weight = std::min(1.0, 1.345 * std::max(grid.residual_s, 1e-6) / std::max(off_s, 1e-9));
    }
  }
  double mean_beat = 0;
  double spread = 0;
  for (const Weighted& p : points) mean_beat += p.beat / static_cast<double>(points.size());
  for (const Weighted& p : points) spread += (p.beat - mean_beat) * (p.beat - mean_beat);
  grid.period_s_u = std::max(grid.residual_s, 1e-5) / std::sqrt(spread);
  fit_bow(grid, points);
}

}  // namespace risetrace::beat
