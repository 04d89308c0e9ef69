#include "sole/follow_sole.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <map>

#include "math/statistics.h"
#include "sole/camera_shift.h"
#include "sole/cycles.h"
#include "sole/shoe_piece.h"

namespace risetrace::sole {
namespace {

constexpr double keep_s = 1.0;
constexpr double half_cycle_s = 0.4;    // a contact's middle is looked for no farther than this from the flight's top
constexpr double still_s = 0.03;        // frames so near the middle of a contact show the shoe standing
constexpr double floating_s = 0.025;    // and so near the top of a flight, the floor without it
constexpr std::size_t most_frames = 7;  // of each
constexpr double least_swing_cm = 1.5;
constexpr double heel_slack_cm = 0.8;  // the sole rises by no more than the heel, give or take
constexpr double sink_cm = 1.2;        // into a soft floor
constexpr double most_turn_rad = 1.0;
constexpr double back_turn_rad = 0.3;

struct Kept {
  Strip strip;
  std::optional<Point> heel_px;
  std::optional<Point> forefoot_px;
};

}  // namespace

struct SoleFollower::Inside {
  explicit Inside(const SoleOptions& o) : options(o), shift(leg_box()), cycles(least_swing_cm * o.px_per_cm) {}

  [[nodiscard]] Box leg_box() const;
  [[nodiscard]] Box strip_box(Point heel_px) const;
  [[nodiscard]] const Kept* lowest_heel(double from_s, double to_s) const;
  [[nodiscard]] std::vector<const Strip*> near(double time_s, double reach_s) const;
  void on_top(const Turn& top);
  void landing(double top_s, double until_s, std::optional<double> next_top_s);
  void leaving(double top_s, std::optional<double> last_top_s);
  void follow(const Kept& middle, double from_s, double to_s, std::optional<double> top_before,
              std::optional<double> top_after);
  [[nodiscard]] std::optional<PieceFit> find(const ShoePiece& piece, const Plate& empty, const Kept& middle,
                                             const Kept& k, const std::vector<Pose>& known) const;
  [[nodiscard]] double misfit_in_air(const ShoePiece& piece, const Plate& empty, const Kept& middle, double from_s,
                                     double to_s) const;
  void walk(const ShoePiece& piece, const Plate& empty, const Kept& middle, double to_s);
  void note(const Kept& kept, const ShoePiece& piece, const PieceFit& fit);

  SoleOptions options;
  CameraShift shift;
  CycleFinder cycles;
  std::deque<Kept> kept;
  std::optional<double> last_top_s;
  bool landed = true;  // the contact after the last top has been followed back to its touchdown
  std::map<std::int64_t, ClearanceSample> found;
  std::vector<std::pair<std::int64_t, double>> frames;
  std::vector<double> floor_rows;
};

Box SoleFollower::Inside::leg_box() const {
  const double back = options.heel_column_px - options.forward * 10 * options.px_per_cm;
  const double front = options.heel_column_px + options.forward * 34 * options.px_per_cm;
  return {static_cast<int>(std::min(back, front)), 0, static_cast<int>(std::abs(front - back)), 100000};
}

Box SoleFollower::Inside::strip_box(Point heel_px) const {
  const double ppc = options.px_per_cm;
  const double back = heel_px.x - options.forward * 6 * ppc;
  const double front = heel_px.x + options.forward * 32 * ppc;
  return {static_cast<int>(std::min(back, front)), static_cast<int>(options.heel_floor_px - 9 * ppc),
          static_cast<int>(std::abs(front - back)), static_cast<int>(20 * ppc)};
}

const Kept* SoleFollower::Inside::lowest_heel(double from_s, double to_s) const {
  const Kept* lowest = nullptr;
  for (const Kept& k : kept) {
    if (k.strip.time_s < from_s || k.strip.time_s > to_s || !k.heel_px) continue;
    if (lowest == nullptr || k.heel_px->y > lowest->heel_px->y) lowest = &k;
  }
  return lowest;
}

std::vector<const Strip*> SoleFollower::Inside::near(double time_s, double reach_s) const {
  std::vector<const Strip*> strips;
  for (const Kept& k : kept) {
    if (k.heel_px) strips.push_back(&k.strip);
  }
  std::stable_sort(strips.begin(), strips.end(), [&](const Strip* a, const Strip* b) {
    return std::abs(a->time_s - time_s) < std::abs(b->time_s - time_s);
  });
  std::size_t count = 0;
  while (count < strips.size() && count < most_frames &&
         (count < 1 || std::abs(strips[count]->time_s - time_s) <= reach_s)) {
    ++count;
  }
  strips.resize(count);
  return strips;
}

void SoleFollower::Inside::note(const Kept& k, const ShoePiece& piece, const PieceFit& fit) {
  ClearanceSample& sample = found[k.strip.frame];
  if (sample.seen && sample.sigma_px <= fit.misfit) return;
  sample = {k.strip.frame, k.strip.time_s, clearance_px(piece, fit.pose), fit.misfit, true};
  sample.sigma_px = std::max(0.05, fit.sigma_px);
}

std::optional<PieceFit> SoleFollower::Inside::find(const ShoePiece& piece, const Plate& empty, const Kept& middle,
                                                   const Kept& k, const std::vector<Pose>& known) const {
  const double rise = middle.heel_px->y - k.heel_px->y;
  PieceLimits limits;
  limits.least_down_px = -std::max(0.0, rise) - heel_slack_cm * options.px_per_cm;
  limits.greatest_down_px = sink_cm * options.px_per_cm;
  limits.least_turn_rad = options.forward > 0 ? -back_turn_rad : -most_turn_rad;
  limits.greatest_turn_rad = options.forward > 0 ? most_turn_rad : back_turn_rad;
  const Pose last = known.empty() ? Pose{} : known.front();
  std::vector<Pose> starts = known;
  const double grid = std::max(2.0, 0.25 * options.px_per_cm);
  for (double down = limits.least_down_px; down <= limits.greatest_down_px; down += grid) {
    for (const double turn : {-0.12, 0.0, 0.12, 0.25}) {
      starts.push_back({last.right_px, down, last.turn_rad + options.forward * turn});
    }
  }
  return find_piece(piece, k.strip, empty, starts, limits);
}

// From the middle of the contact outwards, frame by frame, to `to_s` on either side of it.
void SoleFollower::Inside::walk(const ShoePiece& piece, const Plate& empty, const Kept& middle, double to_s) {
  std::vector<const Kept*> way;
  for (const Kept& k : kept) {
    const bool between = to_s > middle.strip.time_s ? k.strip.time_s >= middle.strip.time_s && k.strip.time_s <= to_s
                                                    : k.strip.time_s <= middle.strip.time_s && k.strip.time_s >= to_s;
    if (between && k.heel_px) way.push_back(&k);
  }
  if (to_s < middle.strip.time_s) std::reverse(way.begin(), way.end());
  Pose last;
  Pose before;
  int lost = 0;
  for (const Kept* k : way) {
    const Pose onwards{2 * last.right_px - before.right_px, 2 * last.down_px - before.down_px,
                       2 * last.turn_rad - before.turn_rad};
    const auto fit = find(piece, empty, middle, *k, {last, onwards});
    if (fit) {
      note(*k, piece, *fit);
      before = lost == 0 ? last : fit->pose;
      last = fit->pose;
      lost = 0;
    } else if (++lost > 3) {
      return;
    }
  }
}

// How well a piece is found again in the frames in which the shoe has just left, or is about to reach, the floor.
double SoleFollower::Inside::misfit_in_air(const ShoePiece& piece, const Plate& empty, const Kept& middle,
                                           double from_s, double to_s) const {
  double sum = 0;
  int count = 0;
  for (const double top_s : {from_s, to_s}) {
    if (std::abs(top_s - middle.strip.time_s) < 1e-9) continue;
    for (const double share : {0.55, 0.7, 0.85}) {  // of the way to the top of the flight
      const double at_s = middle.strip.time_s + share * (top_s - middle.strip.time_s);
      const Kept* nearest = nullptr;
      for (const Kept& k : kept) {
        if (!k.heel_px) continue;
        if (nearest == nullptr || std::abs(k.strip.time_s - at_s) < std::abs(nearest->strip.time_s - at_s))
          nearest = &k;
      }
      if (nearest == nullptr) continue;
      const auto fit = find(piece, empty, middle, *nearest, {});
      sum += fit ? fit->misfit : 1.0;
      ++count;
    }
  }
  return count > 0 ? sum / count : 1.0;
}

void SoleFollower::Inside::follow(const Kept& middle, double from_s, double to_s, std::optional<double> top_before,
                                  std::optional<double> top_after) {
  std::vector<const Strip*> air;
  for (const auto& top : {top_before, top_after}) {
    if (!top) continue;
    const std::vector<const Strip*> some = near(*top, floating_s);
    air.insert(air.end(), some.begin(), some.end());
  }
  const std::vector<const Strip*> ground = near(middle.strip.time_s, still_s);
  if (air.empty() || ground.empty()) return;
  const Box box = middle.strip.box;
  const Plate standing = median_plate(ground, box);
  const Plate empty = median_plate(air, box);
  std::vector<double> noise;
  for (int y = box.y0 + 1; y < box.y0 + box.height - 1; y += 3) {
    for (int x = box.x0 + 1; x < box.x0 + box.width - 1; x += 5) {
      const Sampled s = sample(middle.strip, x, y);
      if (s.inside) noise.push_back(s.grey - standing.at(x, y));
    }
  }
  const float noise_grey = noise.empty() ? 2.0F : static_cast<float>(math::robust_sd(noise) + 0.5);
  const PieceWhere where{*middle.heel_px, options.forward, options.px_per_cm, middle.forefoot_px};
  const std::vector<ShoePiece> pieces = cut_pieces(standing, empty, where, noise_grey);
  const ShoePiece* piece = nullptr;
  double least = 2.0;
  for (const ShoePiece& p : pieces) {
    const double misfit = pieces.size() > 1 ? misfit_in_air(p, empty, middle, from_s, to_s) : 0.0;
    if (misfit < least) {
      least = misfit;
      piece = &p;
    }
  }
  if (piece == nullptr) return;
  floor_rows.push_back(piece->floor_row_px);
  if (from_s < middle.strip.time_s) walk(*piece, empty, middle, from_s);
  if (to_s > middle.strip.time_s) walk(*piece, empty, middle, to_s);
}

void SoleFollower::Inside::landing(double top_s, double until_s, std::optional<double> next_top_s) {
  landed = true;
  if (const Kept* middle = lowest_heel(top_s, std::min(until_s, top_s + half_cycle_s))) {
    follow(*middle, top_s, middle->strip.time_s, top_s, next_top_s);
  }
}

void SoleFollower::Inside::leaving(double top_s, std::optional<double> before_s) {
  const double from = std::max(before_s.value_or(-1e9), top_s - half_cycle_s);
  if (const Kept* middle = lowest_heel(from, top_s)) follow(*middle, middle->strip.time_s, top_s, before_s, top_s);
}

void SoleFollower::Inside::on_top(const Turn& top) {
  const bool whole = last_top_s && top.time_s - *last_top_s <= 2 * half_cycle_s && !landed;
  const Kept* middle = whole ? lowest_heel(*last_top_s, top.time_s) : nullptr;
  if (middle != nullptr && middle->strip.time_s - *last_top_s <= half_cycle_s &&
      top.time_s - middle->strip.time_s <= half_cycle_s) {
    follow(*middle, *last_top_s, top.time_s, last_top_s, top.time_s);
  } else {
    if (last_top_s && !landed) landing(*last_top_s, top.time_s, std::nullopt);
    leaving(top.time_s, last_top_s);
  }
  last_top_s = top.time_s;
  landed = false;
}

SoleFollower::SoleFollower(const SoleOptions& options) : inside_(std::make_unique<Inside>(options)) {}
SoleFollower::SoleFollower(SoleFollower&&) noexcept = default;
SoleFollower& SoleFollower::operator=(SoleFollower&&) noexcept = default;
SoleFollower::~SoleFollower() = default;

void SoleFollower::push(const clip::Frame& frame, std::optional<Point> heel_px, std::optional<Point> forefoot_px) {
  Inside& in = *inside_;
  const Point shift = in.shift.push(frame);
  const auto steady = [&](std::optional<Point> p) {
    return p ? std::optional(Point{p->x - shift.x, p->y - shift.y}) : std::nullopt;
  };
  Kept k{{}, steady(heel_px), steady(forefoot_px)};
  const Point about = k.heel_px.value_or(Point{in.options.heel_column_px, in.options.heel_floor_px});
  k.strip = strip_of(frame, in.strip_box(about), shift);
  in.frames.emplace_back(frame.number, frame.time_s);
  in.kept.push_back(std::move(k));
  while (!in.kept.empty() && in.kept.front().strip.time_s < frame.time_s - keep_s) in.kept.pop_front();
  if (!in.kept.back().heel_px) return;
  const auto turn = in.cycles.push(frame.time_s, -in.kept.back().heel_px->y);
  if (turn && turn->high) in.on_top(*turn);
  if (in.last_top_s && !in.landed && frame.time_s > *in.last_top_s + 2 * half_cycle_s) {
    in.landing(*in.last_top_s, frame.time_s, std::nullopt);
  }
}

Clearance SoleFollower::finish() {
  Inside& in = *inside_;
  if (in.last_top_s && !in.landed) in.landing(*in.last_top_s, 1e9, std::nullopt);
  Clearance clearance;
  for (const auto& [number, time_s] : in.frames) {
    const auto found = in.found.find(number);
    clearance.samples.push_back(found != in.found.end() ? found->second : ClearanceSample{number, time_s, 0, 0, false});
  }
  if (!in.floor_rows.empty()) clearance.floor_row_px = math::median(in.floor_rows);
  return clearance;
}

}  // namespace risetrace::sole
