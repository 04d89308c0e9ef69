#include "beat/find_short_steps.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "beat/evidence.h"
#include "beat/fit_grid.h"
#include "beat/growing_run.h"
#include "beat/likeness.h"

namespace risetrace::beat {
namespace {

constexpr double near_spreads = 4.0;
constexpr double least_change = 0.01;  // of tempo, from the neighbour's: less is the neighbour itself, going on
constexpr double most_change = 0.67;   // of the period: no ladder has such steps
constexpr int most_missing = 1;        // in a row
constexpr double least_machine = 4.0;

// Events from `first` to `last` beside a sure grid whose beats go on at `start_s`.
class Beside {
 public:
  Beside(const Grid& sure, const std::vector<Event>& events, const Evidence& evidence, const GridOptions& options)
      : sure_(sure), events_(events), evidence_(evidence), options_(options), like_(likeness_of(sure, events)) {}

  // The best short step that begins on the sure grid's last beat or on the one that would come next, and ends by the
  // event `last`.
  [[nodiscard]] std::optional<Grid> find(std::size_t last) const {
    const std::size_t end = sure_.hits.back().event;
    std::optional<Grid> best;
    consider(end, 0.0, last, best);
    const double next_s = sure_.last_s() + sure_.period_s;
    if (const auto next = evidence_.best_near(next_s, like_.spread_s, near(), end + 1, last)) {
      consider(next->event, weight_of(next->event, next_s, like_, events_, evidence_), last, best);
    }
    return best;
  }

 private:
  [[nodiscard]] double near() const { return near_spreads * like_.spread_s; }

  void consider(std::size_t first, double weight, std::size_t last, std::optional<Grid>& best) const {
    const double least_s = std::max(options_.least_period_s, most_change * sure_.period_s);
    const double greatest_s = std::min(options_.greatest_period_s, sure_.period_s / most_change);
    std::vector<Grid> grown;
    for (std::size_t second = first + 1; second <= last; ++second) {
      const double period_s = events_[second].time_s - events_[first].time_s;
      if (period_s > greatest_s) break;
      if (period_s < least_s || std::abs(period_s / sure_.period_s - 1.0) < least_change) continue;
      grown.push_back(grow(first, second, last, weight));
    }
    const double wanted = options_.least_evidence + std::log(1.0 + static_cast<double>(grown.size()));
    for (Grid& grid : grown) {
      if (static_cast<int>(grid.hits.size()) < least_short_hits || grid.evidence < wanted) continue;
      if (best && best->evidence >= grid.evidence) continue;
      fit_grid(grid, events_);
      if (evidence_of_machine(grid, events_) > least_machine) best = std::move(grid);
    }
  }

  // From these two on, with the neighbour's narrow spread; cut at its best end. The second proves nothing.
  [[nodiscard]] Grid grow(std::size_t first, std::size_t second, std::size_t last, double weight) const {
    GrowingRun run(events_, first, second, weight);
    while (run.missing() <= most_missing) {
      const double expected_s = run.next_s();
      if (expected_s > events_[last].time_s + near()) break;
      const auto hit = evidence_.best_near(expected_s, like_.spread_s, near(), run.from_event(), last);
      const double gain = hit ? weight_of(hit->event, expected_s, like_, events_, evidence_) : evidence_.of_miss();
      if (hit && gain > evidence_.of_miss()) {
        run.hit(hit->event, gain);
      } else {
        run.miss(gain);
      }
    }
    return std::move(run).best();
  }

  const Grid& sure_;
  const std::vector<Event>& events_;
  const Evidence& evidence_;
  const GridOptions& options_;
  Likeness like_;
};

// Time turned round: what begins after a grid ends before it.
std::vector<Event> turned(const std::vector<Event>& events) {
  std::vector<Event> out(events.rbegin(), events.rend());
  for (Event& event : out) event.time_s = -event.time_s;
  return out;
}

Grid turned(const Grid& grid, std::size_t events) {
  Grid out = grid;
  out.offset_s = -grid.last_s();
  out.hits.clear();
  for (auto hit = grid.hits.rbegin(); hit != grid.hits.rend(); ++hit) {
    out.hits.push_back({grid.beats - 1 - hit->beat, events - 1 - hit->event});
  }
  return out;
}

struct Sounds {
  std::vector<Event> events;
  Evidence evidence;
  Sounds(std::vector<Event> given, double heard_share) : events(std::move(given)), evidence(events, heard_share) {}
  Sounds(const Sounds&) = delete;
  Sounds& operator=(const Sounds&) = delete;
  Sounds(Sounds&&) = delete;
  Sounds& operator=(Sounds&&) = delete;
  ~Sounds() = default;
};

// The best step in the gap before grid `g`, `g` = number of grids: after the last.
std::optional<Grid> in_gap(const std::vector<Grid>& grids, std::size_t g, const Sounds& forth, const Sounds& back,
                           const GridOptions& options) {
  const std::size_t count = forth.events.size();
  std::optional<Grid> best;
  if (g > 0) {
    const std::size_t last = g < grids.size() ? grids[g].hits.front().event : count - 1;
    best = Beside(grids[g - 1], forth.events, forth.evidence, options).find(last);
  }
  if (g < grids.size()) {
    const std::size_t first = g > 0 ? grids[g - 1].hits.back().event : 0;
    const auto found = Beside(turned(grids[g], count), back.events, back.evidence, options).find(count - 1 - first);
    if (found && (!best || found->evidence > best->evidence)) {
      best = turned(*found, count);
      fit_grid(*best, forth.events);
    }
  }
  if (!best) return best;
  // The later grid's first event is counted as the later one's.
  const bool shared = g < grids.size() && best->hits.back().event == grids[g].hits.front().event;
  if (static_cast<int>(best->hits.size()) - (shared ? 1 : 0) < least_short_hits) return std::nullopt;
  return best;
}

}  // namespace

void add_short_steps(std::vector<Grid>& grids, const std::vector<Event>& events, const GridOptions& options) {
  if (grids.empty()) return;
  const Sounds forth(events, options.heard_share);
  const Sounds back(turned(events), options.heard_share);
  for (std::size_t g = 0; g <= grids.size();) {
    if (auto found = in_gap(grids, g, forth, back, options)) {
      grids.insert(grids.begin() + static_cast<std::ptrdiff_t>(g), std::move(*found));
      g = g > 0 ? g - 1 : 0;  // it may have neighbours of its own
    } else {
      ++g;
    }
  }
}

}  // namespace risetrace::beat
