#include "beat/name_clicks.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "beat/fit_grid.h"
#include "math/statistics.h"

namespace risetrace::beat {
namespace {

constexpr double rise = 0.04;  // of the way from the floor to the greatest power: 14 dB under it

// Mean of the shapes, each scaled to its own power so that no loud one rules.
std::array<double, shape_slots> overlaid(const std::vector<const Onset*>& clicks, int band) {
  std::array<double, shape_slots> sum{};
  for (const Onset* click : clicks) {
    if (click->band != band) continue;
    const double scale = 1.0 / std::max(1e-20, double(*std::max_element(click->shape.begin(), click->shape.end())));
    for (std::size_t i = 0; i < sum.size(); ++i) sum[i] += scale * click->shape[i];
  }
  return sum;
}

int usual_band(const std::vector<const Onset*>& clicks) {
  std::array<int, click_bands> votes{};
  for (const Onset* click : clicks) ++votes.at(static_cast<std::size_t>(click->band));
  return static_cast<int>(std::max_element(votes.begin(), votes.end()) - votes.begin());
}

// Mean band, weighted by power: 0 dull .. 3 bright.
double brightness(const Onset& onset) {
  double sum = 1e-15;
  double weighted = 0.0;
  for (std::size_t band = 0; band < onset.power.size(); ++band) {
    sum += onset.power[band];
    weighted += static_cast<double>(band) * onset.power[band];
  }
  return weighted / sum;
}

bool meet(const Grid& before, const Grid& after) {
  return after.offset_s - before.last_s() < 1.25 * std::max(before.period_s, after.period_s);
}

}  // namespace

double level_db(const Onset& onset) {
  double sum = 1e-15;
  for (const float power : onset.power) sum += power;
  return 10.0 * std::log10(sum);
}

Attack attack_of(const std::vector<const Onset*>& clicks, double slot_s) {
  if (clicks.empty()) return {};
  const int band = usual_band(clicks);
  const auto shape = overlaid(clicks, band);
  std::vector<double> quiet(shape.begin(), shape.begin() + 12);  // 6 to 3 ms before
  const double floor = math::mean(quiet);
  double spread = 0.0;
  for (const double value : quiet) spread = std::max(spread, std::abs(value - floor));
  const auto peak = std::max_element(shape.begin() + shape_before - 4, shape.begin() + shape_before + 16);
  const double limit = floor + std::max(rise * (*peak - floor), 1.5 * spread);
  auto at = peak;
  while (at != shape.begin() && *(at - 1) > limit) --at;
  if (at == shape.begin()) return {};
  // Between the slot that is over the limit and the one before; a slot's power stands for its middle.
  const double part = (*at - limit) / std::max(1e-30, *at - *(at - 1));
  const double slots = static_cast<double>(at - shape.begin()) - shape_before + 0.5 - part;
  const double begin = std::clamp(slots, -8.0, 8.0);
  const double greatest = static_cast<double>(peak - shape.begin()) - shape_before + 0.5;
  return {begin * slot_s, std::max(0.0, greatest - begin) * slot_s};
}

bool is_music(const Grid& grid, const std::vector<Onset>& onsets) {
  constexpr double goes_on = 1.6;    // power 7 to 10 ms after the beginning over that of the first 3 ms
  constexpr double uneven_db = 2.0;  // robust standard deviation: accents and covered clicks do not count
  std::vector<const Onset*> clicks;
  clicks.reserve(grid.hits.size());
  for (const Hit& hit : grid.hits) clicks.push_back(&onsets[hit.event]);
  const int band = usual_band(clicks);
  const auto shape = overlaid(clicks, band);
  std::vector<double> levels_db;
  for (const Onset* click : clicks) {
    if (click->band == band) levels_db.push_back(level_db(*click));
  }
  const double floor = std::accumulate(shape.begin(), shape.begin() + 12, 0.0) / 12;
  const double first =
      std::accumulate(shape.begin() + shape_before, shape.begin() + shape_before + 12, 0.0) / 12 - floor;
  const double later = std::accumulate(shape.end() - 12, shape.end(), 0.0) / 12 - floor;
  return later > goes_on * first && math::robust_sd(levels_db) > uneven_db;
}

std::vector<bool> accents(const std::vector<const Onset*>& clicks) {
  constexpr double stronger_db = 4.0;
  constexpr double brighter = 0.35;
  constexpr long neighbours = 8;
  const long count = static_cast<long>(clicks.size());
  std::vector<bool> out(clicks.size(), false);
  for (long i = 0; i < count; ++i) {
    std::vector<double> levels;
    std::vector<double> brights;
    for (long j = std::max(0L, i - neighbours); j <= std::min(count - 1, i + neighbours); ++j) {
      if (j == i) continue;
      levels.push_back(level_db(*clicks[static_cast<std::size_t>(j)]));
      brights.push_back(brightness(*clicks[static_cast<std::size_t>(j)]));
    }
    if (levels.size() < 3) continue;
    const Onset& own = *clicks[static_cast<std::size_t>(i)];
    const double louder_db = level_db(own) - math::median(levels);
    const double brighter_by = brightness(own) - math::median(brights);
    const double level_noise = math::robust_sd(levels);
    const double bright_noise = math::robust_sd(brights);
    out[static_cast<std::size_t>(i)] = louder_db > std::max(stronger_db, 3.0 * level_noise) ||
                                       (louder_db > -3.0 && brighter_by > std::max(brighter, 4.0 * bright_noise));
  }
  return out;
}

void settle_shared(std::vector<Grid>& grids, const std::vector<Onset>& onsets, const std::vector<Event>& events) {
  for (std::size_t g = 1; g < grids.size(); ++g) {
    Grid& before = grids[g - 1];
    Grid& after = grids[g];
    if (before.hits.back().event != after.hits.front().event || before.hits.size() < 4 || after.hits.size() < 4)
      continue;
    const auto strength = [&](std::size_t event) { return level_db(onsets[event]) + 6.0 * brightness(onsets[event]); };
    const bool accent_is_later = strength(after.hits[1].event) > strength(after.hits[0].event) + 3.0;
    Grid& loses = accent_is_later ? after : before;
    loses.hits.erase(accent_is_later ? loses.hits.begin() : loses.hits.end() - 1);
    fit_grid(loses, events);
  }
}

std::vector<BeatStep> steps_of(const std::vector<Grid>& grids) {
  std::vector<BeatStep> steps;
  for (const Grid& grid : grids) {
    BeatStep step;
    step.bpm = 60.0 / grid.period_s;
    step.first_s = grid.offset_s;
    step.from_s = grid.offset_s - grid.period_s / 2;
    step.to_s = grid.last_s() + grid.period_s / 2;
    step.beats = grid.beats;
    step.heard = static_cast<int>(grid.hits.size());
    steps.push_back(step);
  }
  for (std::size_t g = 1; g < grids.size(); ++g) {
    if (!meet(grids[g - 1], grids[g])) continue;
    steps[g - 1].to_s = steps[g].from_s = (grids[g - 1].last_s() + grids[g].offset_s) / 2;
  }
  return steps;
}

bool drifts(const std::vector<Grid>& grids) {
  int bowed = 0;
  for (const Grid& grid : grids) {
    if (std::abs(grid.bow_s) > std::max(0.0006, 4.0 * grid.bow_s_u)) ++bowed;
  }
  int slides = 0;  // in a row, one direction
  int most_slides = 0;
  double direction = 0.0;
  for (std::size_t g = 1; g < grids.size(); ++g) {
    const double change = grids[g].period_s / grids[g - 1].period_s - 1.0;
    const bool slides_on = meet(grids[g - 1], grids[g]) && std::abs(change) < 0.015;
    slides = slides_on && change * direction >= 0.0 ? slides + 1 : slides_on ? 1 : 0;
    direction = change;
    most_slides = std::max(most_slides, slides);
  }
  const int count = static_cast<int>(grids.size());
  return (count >= 1 && 2 * bowed >= count && (most_slides >= 1 || count <= 2)) ||
         (most_slides >= 2 && 3 * bowed >= count);
}

}  // namespace risetrace::beat
