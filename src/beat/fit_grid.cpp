#include "beat/fit_grid.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <unordered_set>

namespace risetrace::beat {
namespace {

// Other events a second of at least nearly this strength about event `i`, in the window of [i - half_s, i + half_s].
double rate_about_hz(const std::vector<Event>& events, std::size_t i, double half_s) {
  constexpr double nearly_db = 3.0;
  const auto counts = [&](const Event& event) { return event.strength_db >= events[i].strength_db - nearly_db; };
  int count = 0;
  for (std::size_t j = i; j-- > 0 && events[j].time_s >= events[i].time_s - half_s;) count += counts(events[j]) ? 1 : 0;
  for (std::size_t j = i + 1; j < events.size() && events[j].time_s <= events[i].time_s + half_s; ++j) {
    count += counts(events[j]) ? 1 : 0;
  }
  return count / (2.0 * half_s);
}

// The densest of a long, a middle and a short look: speech comes in bursts.
std::vector<double> rates_hz(const std::vector<Event>& events) {
  std::vector<double> rates(events.size());
  for (std::size_t i = 0; i < events.size(); ++i) {
    rates[i] =
        std::max({0.5, rate_about_hz(events, i, 4.0), rate_about_hz(events, i, 1.0), rate_about_hz(events, i, 0.24)});
  }
  return rates;
}

// Sums for a running straight line, about the first event.
struct RunningLine {
  double n = 0, k = 0, kk = 0, t = 0, kt = 0;
  void add(double beat, double time_s) {
    n += 1;
    k += beat;
    kk += beat * beat;
    t += time_s;
    kt += beat * time_s;
  }
  [[nodiscard]] double at(double beat) const {
    const double slope = (n * kt - k * t) / (n * kk - k * k);
    return (t - slope * k) / n + slope * beat;
  }
};

// Some of the events, a closed range of indices.
struct Range {
  std::size_t first, last;
};

class Search {
 public:
  Search(const std::vector<Event>& events, const GridOptions& options)
      : events_(events), options_(options), rates_hz_(rates_hz(events)) {}

  void run(Range range, std::vector<Grid>& out) {
    const auto best = best_run(range);
    if (!best) return;
    const std::size_t begin = best->hits.front().event;
    const std::size_t end = best->hits.back().event;
    if (begin > range.first) run({range.first, begin}, out);
    out.push_back(*best);
    if (end < range.last) run({end, range.last}, out);
  }

 private:
  [[nodiscard]] std::optional<Grid> best_run(Range range) const;
  [[nodiscard]] Grid grow(std::size_t first, std::size_t second, std::size_t last) const;
  [[nodiscard]] std::optional<std::size_t> hit_near(double time_s, std::size_t after, std::size_t last) const;
  // Logarithm of how much likelier the event is as a hit than as another event.
  [[nodiscard]] double evidence_of(std::size_t event, double off_s) const {
    const double off = off_s / options_.spread_s;
    const double density = std::exp(-0.5 * off * off) / (options_.spread_s * std::sqrt(2.0 * std::numbers::pi));
    return std::log(options_.heard_share * density / rates_hz_[event]);
  }

  const std::vector<Event>& events_;
  const GridOptions& options_;
  std::vector<double> rates_hz_;
};

std::optional<std::size_t> Search::hit_near(double time_s, std::size_t after, std::size_t last) const {
  const auto begin = events_.begin() + static_cast<std::ptrdiff_t>(after) + 1;
  const auto end = events_.begin() + static_cast<std::ptrdiff_t>(last) + 1;
  auto at = std::lower_bound(begin, end, time_s - options_.tolerance_s,
                             [](const Event& event, double limit_s) { return event.time_s < limit_s; });
  std::optional<std::size_t> best;
  double most = -1e300;
  for (; at != end && at->time_s <= time_s + options_.tolerance_s; ++at) {
    const auto index = static_cast<std::size_t>(at - events_.begin());
    const double evidence = evidence_of(index, at->time_s - time_s);
    if (evidence > most) {
      most = evidence;
      best = index;
    }
  }
  return best;
}

// The run that begins with these two, cut at its best end. The two themselves prove nothing.
Grid Search::grow(std::size_t first, std::size_t second, std::size_t last) const {
  const double zero_s = events_[first].time_s;
  const double miss = std::log(1.0 - options_.heard_share);
  RunningLine line;
  line.add(0, 0);
  line.add(1, events_[second].time_s - zero_s);
  Grid grid;
  grid.hits = {{0, first}, {1, second}};
  std::size_t kept = 2;
  double evidence = 0.0;
  int missing = 0;
  for (int beat = 2; missing <= options_.most_missing; ++beat) {
    const double expected_s = zero_s + line.at(beat);
    if (expected_s > events_[last].time_s + options_.tolerance_s) break;
    const auto hit = hit_near(expected_s, grid.hits.back().event, last);
    if (!hit) {
      ++missing;
      evidence += miss;
      continue;
    }
    missing = 0;
    evidence += evidence_of(*hit, events_[*hit].time_s - expected_s);
    line.add(beat, events_[*hit].time_s - zero_s);
    grid.hits.push_back({beat, *hit});
    if (evidence > grid.evidence) {
      grid.evidence = evidence;
      kept = grid.hits.size();
    }
  }
  grid.hits.resize(kept);
  return grid;
}

// The strongest run that a machine made. A run that people made may well be stronger than it: all that outweigh chance
// are looked at in turn.
std::optional<Grid> Search::best_run(Range range) const {
  std::vector<Grid> runs;
  double pairs = 1.0;
  std::unordered_set<std::size_t> seen;  // pairs that follow one another in a good run: they would only give its rest
  for (std::size_t i = range.first; i <= range.last; ++i) {
    for (std::size_t j = i + 1; j <= range.last; ++j) {
      const double period_s = events_[j].time_s - events_[i].time_s;
      if (period_s > options_.greatest_period_s) break;
      if (period_s < options_.least_period_s) continue;
      ++pairs;
      if (seen.count(i * events_.size() + j) != 0) continue;
      Grid grown = grow(i, j, range.last);
      if (grown.hits.size() < 4) continue;
      for (std::size_t h = 1; h < grown.hits.size(); ++h) {
        if (grown.hits[h].beat - grown.hits[h - 1].beat == 1) {
          seen.insert(grown.hits[h - 1].event * events_.size() + grown.hits[h].event);
        }
      }
      const bool enough = static_cast<int>(grown.hits.size()) >= options_.least_hits;
      if (enough && grown.evidence > options_.least_evidence) runs.push_back(std::move(grown));
    }
  }
  std::sort(runs.begin(), runs.end(), [](const Grid& a, const Grid& b) { return a.evidence > b.evidence; });
  const double wanted = options_.least_evidence + std::log(pairs);
  for (Grid& run : runs) {
    if (run.evidence < wanted) break;
    fit_grid(run, events_);
    if (evidence_of_machine(run, events_) > wanted) return run;
  }
  return std::nullopt;
}

// One beat that was not heard for longer than a run bridges.
bool same_beat(const Grid& before, const Grid& after) {
  constexpr double most_beats = 24.0;
  const double gap_s = after.offset_s - before.last_s();
  const double off = std::abs(before.period_s - after.period_s);
  const double off_u = std::hypot(before.period_s_u, after.period_s_u);
  if (off > 3.0 * off_u + 2e-4 * before.period_s || gap_s > most_beats * before.period_s) return false;
  const double beats = std::round(gap_s / before.period_s);
  const double phase_s = gap_s - beats * (before.period_s + after.period_s) / 2;
  return beats >= 1.0 && std::abs(phase_s) < 0.002 + beats * off_u;
}

void join(Grid& before, const Grid& after, const std::vector<Event>& events) {
  const int shift =
      before.beats - 1 + static_cast<int>(std::lround((after.offset_s - before.last_s()) / before.period_s));
  for (const Hit& hit : after.hits) before.hits.push_back({hit.beat + shift, hit.event});
  before.evidence += after.evidence;
  fit_grid(before, events);
}

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
  if (qq <= 0.0) return;
  grid.bow_s = qr / qq;
  grid.bow_s_u = std::max(grid.residual_s, 1e-5) / std::sqrt(qq);
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
      p.weight = std::min(1.0, 1.345 * grid.residual_s / std::max(off_s, 1e-9));
    }
  }
  double mean_beat = 0;
  double spread = 0;
  for (const Weighted& p : points) mean_beat += p.beat / static_cast<double>(points.size());
  for (const Weighted& p : points) spread += (p.beat - mean_beat) * (p.beat - mean_beat);
  grid.period_s_u = std::max(grid.residual_s, 1e-5) / std::sqrt(spread);
  fit_bow(grid, points);
}

std::vector<Grid> find_grids(const std::vector<Event>& events, const GridOptions& options) {
  std::vector<Grid> found;
  if (events.size() < 3) return found;
  Search(events, options).run({0, events.size() - 1}, found);
  std::vector<Grid> grids;
  for (Grid& grid : found) {
    if (!grids.empty() && same_beat(grids.back(), grid)) {
      join(grids.back(), grid, events);
    } else {
      grids.push_back(std::move(grid));
    }
  }
  return grids;
}

}  // namespace risetrace::beat
