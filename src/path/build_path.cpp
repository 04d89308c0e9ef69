#include "path/build_path.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>

#include "math/butterworth.h"
#include "path/knots.h"

namespace risetrace::path {
namespace {

constexpr double least_grid_hz = 100.0;       // fine enough that going to the grid and back costs under 1e-5 cm
constexpr double grid_per_cutoff = 5.0;       // well inside what the filter allows
constexpr double cutoff_of_frame_rate = 0.4;  // above this the frames hold no movement, only its mirror images
constexpr double longest_lag_s = 0.35;
constexpr double slow_frames_hz = 20.0;  // below, waiting for one frame more would cost too much of the delay
constexpr int grid_ahead = 2;            // grid points after a frame's time that its height rests on

// How everything hangs on the two options. Worked out once.
struct Plan {
  double cutoff_hz = 0.0;
  double grid_hz = 0.0;
  int lag_samples = 0;
  bool wait_for_after = true;
  double lag_s = 0.0;
};

Plan plan_of(const PathOptions& options) {
  Plan plan;
  const double frames_hz = std::max(1.0, options.frame_rate_hz);
  plan.cutoff_hz = std::min(options.cutoff_hz, cutoff_of_frame_rate * frames_hz);
  // A whole multiple of the frame rate: where the frames are even, every one of them lies on the grid.
  plan.grid_hz = frames_hz * std::ceil(std::max(least_grid_hz, grid_per_cutoff * plan.cutoff_hz) / frames_hz);
  plan.wait_for_after = frames_hz >= slow_frames_hz;
  const double waiting_s = (plan.wait_for_after ? 2 : 1) / frames_hz + grid_ahead / plan.grid_hz;
  const double filter_s = std::min(options.lag_cycles / plan.cutoff_hz, longest_lag_s - waiting_s);
  plan.lag_samples = std::max(1, static_cast<int>(std::floor(filter_s * plan.grid_hz + 1e-9)));
  plan.lag_s = plan.lag_samples / plan.grid_hz + waiting_s;
  return plan;
}

}  // namespace

struct PathBuilder::Inside {
  Inside(const math::Homography& map, const Plan& what)
      : cm_from_px(map),
        plan(what),
        knots(what.wait_for_after),
        filter(math::butterworth_low_pass(what.cutoff_hz, what.grid_hz), what.lag_samples) {}

  [[nodiscard]] double grid_s(std::int64_t index) const {
    return grid_start_s + static_cast<double>(index) / plan.grid_hz;
  }
  void take(const sticker::TrackSample& sample, const camera::View& view);
  void fill_grid(bool ended);
  [[nodiscard]] bool smooth_known(double time_s) const;
  [[nodiscard]] double smooth_at(double time_s) const;
  std::vector<PathSample> hand_out(bool ended);
  void forget();

  math::Homography cm_from_px;
  Plan plan;
  Knots knots;
  math::FixedLagLowPass filter;
  double grid_start_s = 0.0;
  std::int64_t grid_filled = 0;   // grid points given to the filter
  std::deque<double> smooth;      // what came out of it
  std::int64_t smooth_first = 0;  // grid index of smooth.front()
  std::deque<PathSample> waiting;
};

void PathBuilder::Inside::take(const sticker::TrackSample& sample, const camera::View& view) {
  PathSample out;
  out.frame = sample.frame;
  out.time_s = sample.time_s;
  out.seen = sample.seen && view.known;
  if (out.seen) {
    const Point heel_cm = cm_from_px.map(view.ref_from_px.map(sample.px));
    out.up_raw_cm = heel_cm.y;
    out.across_cm = heel_cm.x;
    if (knots.empty()) grid_start_s = sample.time_s;
    knots.add({sample.time_s, heel_cm.y, heel_cm.x});
  }
  waiting.push_back(out);
}

void PathBuilder::Inside::fill_grid(bool ended) {
  const double last_s = knots.last_s() + 1e-9;  // a frame on the grid must not miss it by rounding
  for (double at_s = grid_s(grid_filled); ended ? at_s <= last_s : knots.settled_at(at_s); at_s = grid_s(grid_filled)) {
    if (const auto out = filter.push(knots.up_cm_at(at_s))) smooth.push_back(*out);
    ++grid_filled;
  }
  if (!ended) return;
  for (const double value : filter.finish()) smooth.push_back(value);
}

bool PathBuilder::Inside::smooth_known(double time_s) const {
  const auto whole = static_cast<std::int64_t>(std::floor((time_s - grid_start_s) * plan.grid_hz));
  return whole + grid_ahead < smooth_first + static_cast<std::int64_t>(smooth.size());
}

// The cubic through the four grid points round the frame's time; at the clip's ends the nearest four.
double PathBuilder::Inside::smooth_at(double time_s) const {
  const auto size = static_cast<std::int64_t>(smooth.size());
  const auto count = std::min<std::int64_t>(4, size);
  const auto whole = static_cast<std::int64_t>(std::floor((time_s - grid_start_s) * plan.grid_hz));
  const std::int64_t from = std::clamp<std::int64_t>(whole - 1 - smooth_first, 0, size - count);
  std::array<Knot, 4> used;
  for (std::int64_t i = 0; i < count; ++i) {
    used[static_cast<std::size_t>(i)] = {grid_s(smooth_first + from + i), smooth[static_cast<std::size_t>(from + i)],
                                         0};
  }
  return polynomial_at(time_s, std::span(used).first(static_cast<std::size_t>(count)));
}

std::vector<PathSample> PathBuilder::Inside::hand_out(bool ended) {
  std::vector<PathSample> out;
  while (!waiting.empty()) {
    PathSample& next = waiting.front();
    if (ended ? next.time_s > knots.last_s() : !smooth_known(next.time_s)) break;
    next.up_cm = smooth_at(next.time_s);
    if (!next.seen) {
      next.up_raw_cm = knots.up_cm_at(next.time_s);
      next.across_cm = knots.across_cm_at(next.time_s);
    }
    out.push_back(next);
    waiting.pop_front();
  }
  return out;
}

void PathBuilder::Inside::forget() {
  if (waiting.empty()) return;
  const double needed_s = std::min(waiting.front().time_s, grid_s(grid_filled));
  knots.forget_before(needed_s);
  const auto whole = static_cast<std::int64_t>(std::floor((waiting.front().time_s - grid_start_s) * plan.grid_hz));
  while (smooth.size() > 4 && smooth_first < whole - 4) {
    smooth.pop_front();
    ++smooth_first;
  }
}

PathBuilder::PathBuilder(const scale::Scale& scale, const PathOptions& options)
    : inside_(std::make_unique<Inside>(*scale.cm_from_px, plan_of(options))) {}
PathBuilder::PathBuilder(PathBuilder&&) noexcept = default;
PathBuilder& PathBuilder::operator=(PathBuilder&&) noexcept = default;
PathBuilder::~PathBuilder() = default;

std::vector<PathSample> PathBuilder::push(const sticker::TrackSample& sample, const camera::View& view) {
  if (!(sample.seen && view.known) && inside_->knots.empty()) return {};
  inside_->take(sample, view);
  inside_->fill_grid(false);
  std::vector<PathSample> out = inside_->hand_out(false);
  inside_->forget();
  return out;
}

std::vector<PathSample> PathBuilder::finish() {
  if (inside_->knots.empty()) return {};
  inside_->fill_grid(true);
  return inside_->hand_out(true);
}

double PathBuilder::lag_s() const { return inside_->plan.lag_s; }
double PathBuilder::cutoff_hz() const { return inside_->plan.cutoff_hz; }

}  // namespace risetrace::path
