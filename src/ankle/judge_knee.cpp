#include "ankle/judge_knee.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "ankle/pose_angles.h"
#include "base/rounded.h"
#include "math/statistics.h"

namespace risetrace::ankle {
namespace {

RepKnee knee_of(const LegAngles& angles, const raise::Rep& rep, double least_seen_share) {
  RepKnee out;
  out.n = rep.n;
  std::vector<double> seen;
  std::size_t frames = 0;
  for (const LegSample& s : angles.samples) {
    if (s.time_s < rep.start_s || s.time_s > rep.end_s) continue;
    ++frames;
    if (s.knee_deg) seen.push_back(*s.knee_deg);
  }
  if (seen.empty() || static_cast<double>(seen.size()) < least_seen_share * static_cast<double>(frames)) return out;
  out.mean_deg = math::mean(seen);
  out.least_deg = *std::min_element(seen.begin(), seen.end());
  out.greatest_deg = *std::max_element(seen.begin(), seen.end());
  return out;
}

// Of the pose whose angle is nearest to the mean.
double doubt_deg(const LegAngles& angles, double mean_deg, const PlaneMap& map, const model::AngleRules& rules) {
  const LegSample* typical = nullptr;
  for (const LegSample& s : angles.samples) {
    if (!s.knee_deg) continue;
    if (typical == nullptr || std::abs(*s.knee_deg - mean_deg) < std::abs(*typical->knee_deg - mean_deg)) typical = &s;
  }
  if (typical == nullptr) return 0;
  const double common = math::standard_u(pose_effects(&knee_deg, map, *typical->places, angles.forward, rules));
  return std::hypot(common, angles.localising_deg);
}

struct Line {
  double slope = 0.0;
  double slope_u = 0.0;  // from the scatter about it
};

// Least squares; at least three points.
Line line_through(const std::vector<double>& x, const std::vector<double>& y) {
  const double mean_x = math::mean(x);
  const double mean_y = math::mean(y);
  double xx = 0;
  double xy = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += (x[i] - mean_x) * (x[i] - mean_x);
    xy += (x[i] - mean_x) * (y[i] - mean_y);
  }
  Line line;
  line.slope = xy / xx;
  double left = 0;
  for (std::size_t i = 0; i < x.size(); ++i) left += std::pow(y[i] - mean_y - line.slope * (x[i] - mean_x), 2);
  line.slope_u = std::sqrt(left / static_cast<double>(x.size() - 2) / xx);
  return line;
}

void add_drift(KneeSet& out, int last_rep, int least_reps, double localising_deg) {
  std::vector<double> n;
  std::vector<double> mean_deg;
  for (const RepKnee& rep : out.reps) {
    if (!rep.mean_deg || rep.n > last_rep) continue;
    n.push_back(rep.n);
    mean_deg.push_back(*rep.mean_deg);
  }
  if (static_cast<int>(n.size()) < least_reps) return;
  const Line line = line_through(n, mean_deg);
  out.drift_deg = line.slope * (n.back() - n.front());
  out.drift_deg_u = std::hypot(line.slope_u * (n.back() - n.front()), std::sqrt(2.0) * localising_deg);
}

std::optional<bool> held(const RepKnee& rep, Knee asked, double u_deg, const model::RaiseProtocol& protocol) {
  if (!rep.mean_deg || asked == Knee::not_stated) return std::nullopt;
  if (asked == Knee::straight) return *rep.greatest_deg <= protocol.knee_straight_most_deg + u_deg;
  return *rep.mean_deg >= protocol.knee_bent_least_deg - u_deg && *rep.mean_deg <= protocol.knee_bent_most_deg + u_deg;
}

// "3, 5-8"
std::string numbers_of(const std::vector<int>& reps) {
  std::string text;
  for (std::size_t i = 0; i < reps.size(); ++i) {
    std::size_t last = i;
    while (last + 1 < reps.size() && reps[last + 1] == reps[last] + 1) ++last;
    text += (text.empty() ? "" : ", ") + std::to_string(reps[i]);
    if (last > i) text += (last == i + 1 ? ", " : "-") + std::to_string(reps[last]);
    i = last;
  }
  return text;
}

void add_not_held(KneeSet& out, Knee asked, const raise::RepSet& set, const model::RaiseProtocol& protocol) {
  std::vector<int> missed;
  double least = 1e9;
  double most = -1e9;
  for (const RepKnee& rep : out.reps) {
    if (rep.held.value_or(true) || rep.n > set.set_end.after_rep) continue;
    missed.push_back(rep.n);
    const double told = asked == Knee::straight ? *rep.greatest_deg : *rep.mean_deg;
    least = std::min(least, told);
    most = std::max(most, told);
  }
  if (missed.empty()) return;
  const std::string range =
      rounded(least, 0) == rounded(most, 0) ? rounded(most, 0) : rounded(least, 0) + " to " + rounded(most, 0);
  const std::string wanted = asked == Knee::straight
                                 ? "straight (bent by at most " + rounded(protocol.knee_straight_most_deg, 0) +
                                       " degrees): its greatest bend was " + range
                                 : "bent (" + rounded(protocol.knee_bent_least_deg, 0) + " to " +
                                       rounded(protocol.knee_bent_most_deg, 0) + " degrees): its mean was " + range;
  out.notes.push_back({"knee-not-held",
                       std::string("In rep") + (missed.size() > 1 ? "s " : " ") + numbers_of(missed) +
                           " the knee was not held " + wanted + " degrees. What is counted is not changed by it.",
                       set.reps[static_cast<std::size_t>(missed.front() - 1)].start_s});
}

}  // namespace

KneeSet judge_knee(const LegAngles& angles, const raise::RepSet& set, Knee asked, const PlaneMap& map,
                   const model::RaiseProtocol& protocol, const model::AngleRules& rules) {
  KneeSet out;
  std::vector<double> means;
  for (const raise::Rep& rep : set.reps) {
    out.reps.push_back(knee_of(angles, rep, rules.least_seen_share));
    const RepKnee& knee = out.reps.back();
    if (!knee.mean_deg || rep.n > set.set_end.after_rep) continue;
    means.push_back(*knee.mean_deg);
    out.least_deg = std::min(out.least_deg.value_or(*knee.least_deg), *knee.least_deg);
    out.greatest_deg = std::max(out.greatest_deg.value_or(*knee.greatest_deg), *knee.greatest_deg);
  }
  if (means.empty()) return out;
  out.mean_deg = math::mean(means);
  out.mean_deg_u = doubt_deg(angles, *out.mean_deg, map, rules);
  for (RepKnee& rep : out.reps) rep.held = held(rep, asked, *out.mean_deg_u, protocol);
  add_drift(out, set.set_end.after_rep, rules.least_drift_reps, angles.localising_deg);
  add_not_held(out, asked, set, protocol);
  return out;
}

}  // namespace risetrace::ankle
