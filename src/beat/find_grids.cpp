#include "beat/find_grids.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <unordered_set>

#include "beat/evidence.h"
#include "beat/fit_grid.h"
#include "beat/growing_run.h"
#include "beat/part_grids.h"

namespace risetrace::beat {
namespace {

// Some of the events, a closed range of indices.
struct Range {
  std::size_t first, last;
};

class Search {
 public:
  Search(const std::vector<Event>& events, const GridOptions& options, const Evidence& evidence)
      : events_(events), options_(options), evidence_(evidence) {}

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

  const std::vector<Event>& events_;
  const GridOptions& options_;
  const Evidence& evidence_;
};

// The run that begins with these two, cut at its best end. The two themselves prove nothing.
Grid Search::grow(std::size_t first, std::size_t second, std::size_t last) const {
  GrowingRun run(events_, first, second, 0.0);
  while (run.missing() <= options_.most_missing) {
    const double expected_s = run.next_s();
    if (expected_s > events_[last].time_s + options_.tolerance_s) break;
    const auto hit = evidence_.best_near(expected_s, options_.spread_s, options_.tolerance_s, run.from_event(), last);
    if (hit) {
      run.hit(hit->event, hit->evidence);
    } else {
      run.miss(evidence_.of_miss());
    }
  }
  return std::move(run).best();
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
    const auto grown = static_cast<double>(run.hits.size());
    cut_to_core(run, events_, evidence_);
    if (static_cast<int>(run.hits.size()) < options_.least_hits) continue;
    // The evenest part of a person's hops is more even than they are: as many parts as could have been cut were tried.
    const double cut = grown - static_cast<double>(run.hits.size());
    if (evidence_of_machine(run, events_) > wanted + 2.0 * std::log(1.0 + cut)) return run;
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

// The spacings change by the same little each time, to a spread of 1.2 ms. Events that merely fall within the tolerance
// have one of 2 ms.
bool slides_smoothly(const std::vector<std::size_t>& run, const std::vector<Event>& events) {
  constexpr double most_spread_s = 0.0012;
  double sum = 0.0;
  double squares = 0.0;
  for (std::size_t i = 2; i < run.size(); ++i) {
    const double change_s = events[run[i]].time_s - 2.0 * events[run[i - 1]].time_s + events[run[i - 2]].time_s;
    sum += change_s;
    squares += change_s * change_s;
  }
  const auto count = static_cast<double>(run.size() - 2);
  return squares / count - (sum / count) * (sum / count) < most_spread_s * most_spread_s;
}

}  // namespace

std::vector<Grid> find_grids(const std::vector<Event>& events, const GridOptions& options) {
  std::vector<Grid> found;
  if (events.size() < 3) return found;
  const Evidence evidence(events, options.heard_share);
  Search(events, options, evidence).run({0, events.size() - 1}, found);
  std::vector<Grid> grids;
  for (Grid& grid : found) {
    if (!grids.empty() && same_beat(grids.back(), grid)) {
      join(grids.back(), grid, events);
    } else {
      grids.push_back(std::move(grid));
    }
  }
  part_neighbours(grids, events, evidence);
  // What a grid gained by that may show that it was a person's.
  grids.erase(std::remove_if(grids.begin(), grids.end(),
                             [&](const Grid& grid) {
                               return evidence_of_machine(grid, events) <
                                      options.least_evidence + std::log(static_cast<double>(events.size()));
                             }),
              grids.end());
  return grids;
}

// Each next event is looked for where the last spacing, repeated, would put it.
std::vector<std::size_t> find_sliding_run(const std::vector<Event>& events, const GridOptions& options) {
  constexpr std::size_t least = 16;
  constexpr double least_evidence = 25.0;  // many pairs are tried, and each event is free to slide
  const std::vector<double> rates = rates_hz(events);
  std::vector<std::size_t> best;
  for (std::size_t i = 0; i < events.size(); ++i) {
    for (std::size_t j = i + 1; j < events.size(); ++j) {
      const double period_s = events[j].time_s - events[i].time_s;
      if (period_s > options.greatest_period_s) break;
      if (period_s < options.least_period_s) continue;
      std::vector<std::size_t> run = {i, j};
      double evidence = 0.0;
      while (true) {
        const double last_s = events[run.back()].time_s;
        const double next_s = 2.0 * last_s - events[run[run.size() - 2]].time_s;
        auto at = std::lower_bound(events.begin() + static_cast<std::ptrdiff_t>(run.back()) + 1, events.end(),
                                   next_s - options.tolerance_s,
                                   [](const Event& event, double limit_s) { return event.time_s < limit_s; });
        if (at == events.end() || at->time_s > next_s + options.tolerance_s) break;
        run.push_back(static_cast<std::size_t>(at - events.begin()));
        evidence -= std::log(std::min(1.0, 2.0 * options.tolerance_s * rates[run.back()]));
      }
      if (run.size() < std::max(least, best.size() + 1) || evidence < least_evidence) continue;
      if (slides_smoothly(run, events)) best = std::move(run);
    }
  }
  return best;
}

}  // namespace risetrace::beat
