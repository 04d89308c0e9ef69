#include "ankle/tell_facing.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "math/statistics.h"

namespace risetrace::ankle {
namespace {

constexpr double least_forward_share = 0.1;  // of a rise
constexpr double agreeing_share = 0.75;      // of the reps
constexpr double least_aside_share = 0.25;   // of the distance from heel to ankle

const path::PathSample* nearest(const path::Path& path, double time_s) {
  const auto later = std::lower_bound(path.samples.begin(), path.samples.end(), time_s,
                                      [](const path::PathSample& s, double t) { return s.time_s < t; });
  if (later == path.samples.end()) return path.samples.empty() ? nullptr : &path.samples.back();
  if (later == path.samples.begin()) return &*later;
  return later->time_s - time_s < time_s - (later - 1)->time_s ? &*later : &*(later - 1);
}

}  // namespace

std::optional<double> facing_of_raises(const path::Path& path, const raise::RepSet& set) {
  int right = 0;
  int left = 0;
  for (const raise::Rep& rep : set.reps) {
    const path::PathSample* start = nearest(path, rep.start_s);
    const path::PathSample* peak = nearest(path, rep.peak_s);
    if (start == nullptr || peak == nullptr || !start->seen || !peak->seen) continue;
    const double forward_cm = peak->across_cm - start->across_cm;
    const bool plain = std::abs(forward_cm) >= least_forward_share * (rep.height_cm - rep.floor_cm);
    if (plain) ++(forward_cm > 0 ? right : left);
  }
  const double needed = agreeing_share * static_cast<double>(set.reps.size());
  if (right > 0 && right >= needed) return 1.0;
  if (left > 0 && left >= needed) return -1.0;
  return std::nullopt;
}

std::optional<double> facing_of_foot(const sticker::Track& heel, const sticker::Track& ankle) {
  std::vector<double> right;
  std::vector<double> away;
  auto at = heel.samples.begin();
  for (const sticker::TrackSample& s : ankle.samples) {
    while (at != heel.samples.end() && at->frame < s.frame) ++at;
    if (at == heel.samples.end()) break;
    if (at->frame != s.frame || !at->seen || !s.seen) continue;
    right.push_back(s.px.x - at->px.x);
    away.push_back(std::hypot(s.px.x - at->px.x, s.px.y - at->px.y));
  }
  if (right.empty()) return std::nullopt;
  const double aside = math::median(right);
  if (std::abs(aside) < least_aside_share * math::median(away)) return std::nullopt;
  return aside > 0 ? 1.0 : -1.0;
}

}  // namespace risetrace::ankle
