#include "beat/part_grids.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "beat/fit_grid.h"
#include "beat/likeness.h"

namespace risetrace::beat {
namespace {

constexpr std::size_t least_left = 4;
constexpr double least_after_gap = 5.0;  // of evidence: one event in a hundred falls so near a beat by chance
constexpr double near_spreads = 4.0;     // a hit lies so near its beat, in spreads
constexpr double same_event_s = 0.0015;

struct Stretch {
  std::size_t first, last;
};

// The stretch of hits of greatest sum, misses between them counted.
Stretch strongest(const std::vector<Hit>& hits, const std::vector<double>& weights, double miss) {
  Stretch best{0, 0};
  double most = -1e300;
  double sum = 0.0;
  std::size_t first = 0;
  for (std::size_t i = 0; i < hits.size(); ++i) {
    if (i > 0) sum += miss * (hits[i].beat - hits[i - 1].beat - 1);
    if (i == 0 || sum < 0.0) {
      sum = 0.0;
      first = i;
    }
    sum += weights[i];
    if (sum > most) {
      most = sum;
      best = {first, i};
    }
  }
  return best;
}

// From the end backwards: the shortest part that is weaker than all of it by no more than what chance gives.
std::size_t end_without_chance(const std::vector<Hit>& hits, const std::vector<double>& weights, double miss,
                               Stretch within) {
  double after = 0.0;  // evidence of what would be cut
  double most_after = 0.0;
  std::size_t end = within.last;
  for (std::size_t i = within.last; i > within.first; --i) {
    const bool gap = hits[i].beat - hits[i - 1].beat > 1 || weights[i] <= miss;
    after += weights[i] + miss * (hits[i].beat - hits[i - 1].beat - 1);
    most_after = std::max(most_after, after);
    if (most_after > least_after_gap) break;
    if (gap) end = i - 1;
  }
  return end;
}

std::vector<Hit> backwards(const std::vector<Hit>& hits) {
  std::vector<Hit> out;
  for (auto hit = hits.rbegin(); hit != hits.rend(); ++hit) out.push_back({-hit->beat, hit->event});
  return out;
}

// One beat of a grid that may be its own, with what it adds.
struct Beat {
  double time_s = 0.0;
  double weight = 0.0;
  std::optional<Hit> hit;
};

// A grid's beats from `from_beat` to `to_beat`: the hits it has, others that lie near enough.
std::vector<Beat> beats_of(const Grid& grid, int from_beat, int to_beat, const std::vector<Event>& events,
                           const Evidence& evidence) {
  const Likeness like = likeness_of(grid, events);
  std::vector<Beat> beats;
  for (int beat = from_beat; beat <= to_beat; ++beat) {
    Beat each{grid.at_s(beat), evidence.of_miss(), std::nullopt};
    const auto had = std::find_if(grid.hits.begin(), grid.hits.end(), [&](const Hit& hit) { return hit.beat == beat; });
    if (had != grid.hits.end()) {
      each.hit = *had;
      each.weight = weight_of(had->event, each.time_s, like, events, evidence);
    } else if (const auto near =
                   evidence.best_near(each.time_s, like.spread_s, near_spreads * like.spread_s, 0, events.size() - 1)) {
      each.weight = weight_of(near->event, each.time_s, like, events, evidence);
      if (each.weight > evidence.of_miss()) each.hit = Hit{beat, near->event};
    }
    beats.push_back(each);
  }
  return beats;
}

// Keeps the hits from one beat to another and gives the grid those of `more` between them as well.
void take(Grid& grid, const std::vector<Beat>& more, int from_beat, int to_beat, const std::vector<Event>& events) {
  std::vector<Hit> hits;
  for (const Hit& hit : grid.hits) {
    if (hit.beat >= from_beat && hit.beat <= to_beat) hits.push_back(hit);
  }
  for (const Beat& beat : more) {
    if (!beat.hit || beat.hit->beat < from_beat || beat.hit->beat > to_beat) continue;
    const bool had = std::any_of(hits.begin(), hits.end(), [&](const Hit& hit) { return hit.beat == beat.hit->beat; });
    if (!had) hits.push_back(*beat.hit);
  }
  std::sort(hits.begin(), hits.end(), [](const Hit& a, const Hit& b) { return a.beat < b.beat; });
  if (hits.size() < least_left) return;
  grid.hits = std::move(hits);
  fit_grid(grid, events);
}

// What lies between the middles of the two is shared out: the earlier one's beats up to some one of them, the later
// one's from some one on that does not lie before it.
void part(Grid& before, Grid& after, const std::vector<Event>& events, const Evidence& evidence) {
  const int before_half = before.beats / 2;
  const int after_half = (after.beats - 1) / 2;
  const double from_s = before.at_s(before_half);
  const double to_s = after.at_s(after_half);
  const int before_last =
      std::max(before.beats - 1, static_cast<int>(std::floor((to_s - before.offset_s) / before.period_s)));
  const int after_first = std::min(0, static_cast<int>(std::ceil((from_s - after.offset_s) / after.period_s)));
  constexpr int most_more = 24;  // of beats that either may gain
  const auto left =
      beats_of(before, before_half, std::min(before_last, before.beats - 1 + most_more), events, evidence);
  const auto right = beats_of(after, std::max(after_first, -most_more), after_half, events, evidence);
  std::vector<double> of_right(right.size());  // evidence from this beat on
  double sum = 0.0;
  for (std::size_t i = right.size(); i-- > 0;) of_right[i] = sum += right[i].weight;
  double most = -1e300;
  int last = before.beats - 1;
  int first = 0;
  sum = 0.0;
  for (const Beat& end : left) {
    sum += end.weight;
    if (!end.hit) continue;
    for (std::size_t i = 0; i < right.size(); ++i) {
      if (!right[i].hit || right[i].time_s < end.time_s - same_event_s) continue;
      if (sum + of_right[i] > most) {
        most = sum + of_right[i];
        last = end.hit->beat;
        first = right[i].hit->beat;
      }
    }
  }
  if (most <= -1e300) return;
  take(before, left, 0, last, events);
  take(after, right, first, after.beats - 1, events);
}

}  // namespace

void cut_to_core(Grid& grid, const std::vector<Event>& events, const Evidence& evidence) {
  for (int round = 0; round < 4 && grid.hits.size() > least_left; ++round) {
    const Likeness like = likeness_of(grid, events);
    std::vector<double> weights;
    weights.reserve(grid.hits.size());
    for (const Hit& hit : grid.hits) {
      weights.push_back(weight_of(hit.event, grid.at_s(hit.beat), like, events, evidence));
    }
    Stretch core = strongest(grid.hits, weights, evidence.of_miss());
    const std::size_t size = grid.hits.size();
    const std::vector<double> turned(weights.rbegin(), weights.rend());
    core.last = end_without_chance(grid.hits, weights, evidence.of_miss(), core);
    const std::size_t first_turned = end_without_chance(backwards(grid.hits), turned, evidence.of_miss(),
                                                        {size - 1 - core.last, size - 1 - core.first});
    core.first = size - 1 - first_turned;
    if (core.last - core.first + 1 < least_left || core.last - core.first + 1 == size) return;
    grid.hits = {grid.hits.begin() + static_cast<std::ptrdiff_t>(core.first),
                 grid.hits.begin() + static_cast<std::ptrdiff_t>(core.last) + 1};
    fit_grid(grid, events);
  }
}

void part_neighbours(std::vector<Grid>& grids, const std::vector<Event>& events, const Evidence& evidence) {
  for (std::size_t g = 1; g < grids.size(); ++g) part(grids[g - 1], grids[g], events, evidence);
}

}  // namespace risetrace::beat
