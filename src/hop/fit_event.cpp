#include "hop/fit_event.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <vector>

namespace risetrace::hop {
namespace {

enum Parameter { level, speed, bend, give };
constexpr int parameters = 4;
using Vector = Eigen::Matrix<double, parameters, 1>;
using Normal = Eigen::Matrix<double, parameters, parameters>;

constexpr double model_px = 0.15;     // what the piece's own fit does not know of
constexpr double model_share = 0.02;  // of the clearance: the foot turns while it moves
// On the ground the clearance drifts by so much away from the event: the foot rolls over an edge that is not quite
// known.
constexpr double drift_cm_s = 3.0;
constexpr double bend_freedom_g = 0.5;    // the foot's own movement against the body's, as a part of gravity
constexpr double free_bend_cm_s2 = 2000;  // where the scale is not known
constexpr double give_freedom_cm = 0.5;
constexpr double huber = 2.0;

struct Weighed {
  double time_s = 0.0;
  double up_px = 0.0;
  double weight = 0.0;
  double root_weight = 0.0;
};

struct Tried {
  Vector p;
  double loss = 0.0;
  double sum_squares = 0.0;
};

// What the clearance is made of at an instant: level, speed, bend and give, each times its share.
Vector shares(double after_s, const EventFrame& frame) {
  Vector row;
  if (after_s >= 0) {
    const double soft = frame.takeoff ? frame.softness_s : 0;
    const double share = soft > 0 ? std::min(1.0, after_s / soft) : 1.0;
    const double gone = share < 1 ? after_s * share * (1 - share / 3) : after_s - soft / 3;
    row << 1, gone, 0.5 * after_s * after_s, 0;
  } else {
    row << 1, 0, 0, -std::sin(M_PI * std::min(1.0, -after_s / frame.contact_s));
  }
  return row;
}

// The same as a frame shows it; only about the event is the mean over the exposure not its middle.
Vector design(double after_s, const EventFrame& frame) {
  const double near = frame.exposure_s / 2 + (frame.takeoff ? frame.softness_s : 0);
  if (frame.exposure_s <= 0 || std::abs(after_s) > near) return shares(after_s, frame);
  constexpr int pieces = 6;
  Vector sum = Vector::Zero();
  for (int i = 0; i < pieces; ++i) sum += shares(after_s + frame.exposure_s * ((i + 0.5) / pieces - 0.5), frame);
  return sum / pieces;
}

// Of the samples on the ground the one next to the air.
double last_on_ground_s(const std::vector<EventSample>& samples, bool takeoff) {
  double last_s = takeoff ? -1e9 : 1e9;
  for (const EventSample& s : samples) {
    if (!s.in_air) last_s = takeoff ? std::max(last_s, s.time_s) : std::min(last_s, s.time_s);
  }
  return last_s;
}

class Trial {
 public:
  Trial(const std::vector<EventSample>& samples, const EventFrame& frame) : frame_(frame) {
    const double gravity = frame.gravity_px_s2.value_or(0);
    wanted_ << 0, 0, -gravity, 0;
    const double bend_sd = frame.gravity_px_s2 ? bend_freedom_g * gravity : free_bend_cm_s2 * frame.px_per_cm;
    const double give_sd = give_freedom_cm * frame.px_per_cm;
    prior_ << 0, 0, 1 / (bend_sd * bend_sd), 1 / (give_sd * give_sd);
    points_.reserve(samples.size());
    const double last_s = last_on_ground_s(samples, frame.takeoff);
    for (const EventSample& s : samples) {
      const double drift_px = s.in_air ? 0.0 : drift_cm_s * frame.px_per_cm * std::abs(s.time_s - last_s);
      const double spread = std::hypot(std::max(s.sigma_px, model_px), model_share * s.up_px, drift_px);
      const double weight = 1 / (spread * spread);
      points_.push_back({s.time_s, s.up_px, weight, std::sqrt(weight)});
    }
    rows_.resize(points_.size());
    down_.resize(points_.size());
  }

  Tried at(double event_s) {
    for (std::size_t i = 0; i < points_.size(); ++i) {
      const double after_s = frame_.takeoff ? points_[i].time_s - event_s : event_s - points_[i].time_s;
      rows_[i] = design(after_s, frame_);
    }
    std::fill(down_.begin(), down_.end(), 1.0);
    Tried tried;
    for (int round = 0; round < 3; ++round) {
      Normal normal = prior_.asDiagonal();
      normal(speed, speed) += 1e-12;
      Vector right = prior_.cwiseProduct(wanted_);
      for (std::size_t i = 0; i < points_.size(); ++i) {
        const Vector& row = rows_[i];
        normal += points_[i].weight * down_[i] * row * row.transpose();
        right += points_[i].weight * down_[i] * points_[i].up_px * row;
      }
      tried.p = normal.ldlt().solve(right);
      tried.loss = 0;
      tried.sum_squares = 0;
      for (std::size_t i = 0; i < points_.size(); ++i) {
        const double z = points_[i].root_weight * std::abs(points_[i].up_px - rows_[i].dot(tried.p));
        down_[i] = z > huber ? huber / z : 1;
        tried.loss += z > huber ? huber * (2 * z - huber) : z * z;
        tried.sum_squares += std::min(z * z, 9.0);
      }
      tried.loss += prior_.dot((tried.p - wanted_).cwiseAbs2());
    }
    if (tried.p[speed] <= 0) tried.loss += 1e6;  // a foot leaves the ground upwards
    return tried;
  }

 private:
  const EventFrame& frame_;
  Vector wanted_;
  Vector prior_;
  std::vector<Weighed> points_;
  std::vector<Vector> rows_;  // of the instant tried last, as is `down_`; kept for their memory
  std::vector<double> down_;
};

// Half the width over which the loss grows by `by`.
double half_width(Trial& trial, double best_s, double best_loss, double by, double step_s) {
  double width = 0;
  for (const double side : {-1.0, 1.0}) {
    double low = 0;
    double high = step_s / 64;
    while (high < 2 * step_s && trial.at(best_s + side * high).loss < best_loss + by) {
      low = high;
      high *= 2;
    }
    for (int round = 0; round < 12; ++round) {
      const double middle = (low + high) / 2;
      (trial.at(best_s + side * middle).loss < best_loss + by ? low : high) = middle;
    }
    width += high / 2;
  }
  return width;
}

}  // namespace

std::optional<EventFit> fit_event(const std::vector<EventSample>& samples, const EventFrame& frame) {
  const auto flying = std::count_if(samples.begin(), samples.end(), [](const auto& s) { return s.in_air; });
  if (flying < 2 || flying == static_cast<std::ptrdiff_t>(samples.size())) return std::nullopt;
  Trial trial(samples, frame);
  double best_s = frame.earliest_s;
  double best_loss = trial.at(best_s).loss;
  const double coarse = frame.step_s / 20;
  const auto tries = static_cast<int>((frame.latest_s - frame.earliest_s) / coarse);
  for (int i = 1; i <= tries; ++i) {
    const double t = frame.earliest_s + i * coarse;
    if (const double loss = trial.at(t).loss; loss < best_loss) {
      best_loss = loss;
      best_s = t;
    }
  }
  double reach = coarse;
  for (int round = 0; round < 20; ++round) {
    reach *= 0.6;
    for (const double t : {best_s - reach, best_s + reach}) {
      if (const double loss = trial.at(t).loss; loss < best_loss) {
        best_loss = loss;
        best_s = t;
      }
    }
  }
  const Tried best = trial.at(best_s);
  EventFit fit;
  fit.time_s = best_s;
  fit.loss = best.loss;
  const double freedom = std::max(1.0, static_cast<double>(samples.size()) - 4);
  const double excess = std::max(1.0, best.sum_squares / freedom);
  fit.time_s_u = half_width(trial, best_s, best.loss, excess, frame.step_s);
  fit.misfit = std::sqrt(best.sum_squares / freedom);
  fit.speed_px_s = best.p[speed];
  fit.bend_px_s2 = best.p[bend];
  return fit;
}

}  // namespace risetrace::hop
