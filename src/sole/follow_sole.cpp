#include "sole/follow_sole.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <map>
#include <thread>

#include "base/hand_over.h"
#include "math/statistics.h"
#include "sole/camera_shift.h"
#include "sole/cycles.h"
#include "sole/shoe_piece.h"

namespace risetrace::sole {
namespace {

constexpr double keep_s = 1.2;
constexpr double half_cycle_s = 0.4;    // a contact's middle is looked for no farther than this from the flight's top
constexpr double still_s = 0.03;        // frames so near the middle of a contact show the shoe standing
constexpr double floating_s = 0.025;    // and so near the top of a flight, the floor without it
constexpr std::size_t most_frames = 7;  // of each
constexpr double greatest_rise_cm = 15.0;  // of a hop's clearance
constexpr double heel_slack_cm = 0.8;      // the sole rises by no more than the heel, give or take
constexpr double sink_cm = 1.2;            // into a soft floor
constexpr double most_turn_rad = 1.0;
constexpr std::size_t most_settled = 3;  // of the starts, the likeliest
constexpr double surely_up_cm = 0.4;     // off the ground, whatever the fit is worth
constexpr double hanging_cm = 0.15;      // about the top of a flight the shoe moves by so much
constexpr double worst_misfit = 0.5;
constexpr double unchanged_misfit = 0.003;  // a fifth of a pixel adds more
constexpr double surely_misfit = 0.05;      // the shoe is plainly there ...
constexpr double lies_cm = 0.1;             // ... and on the ground: it may be still in the next frame
constexpr double plainly_better = 0.85;     // of the misfit where the shoe was going to be
constexpr double plain_misfit = 0.1;        // no other place needs to be tried
constexpr double back_turn_rad = 0.3;
constexpr std::size_t most_waiting = 48;  // strips that wait for the ones before to be followed

struct Kept {
  Strip strip;
  std::optional<Point> heel_px;
  std::optional<Point> forefoot_px;
};

// What one contact is measured against.
struct Standing {
  const Kept* middle = nullptr;
  Ground ground;
  Ground soft;
};

struct CutPiece {
  PiecePair piece;
  double heel_x_px = 0.0;  // of the heel's sticker when it was cut
};

// The same places for a piece that turns about another pivot.
std::vector<SeenPiece> at_pivot(std::vector<SeenPiece> seen, const ShoePiece& from, const ShoePiece& to) {
  for (SeenPiece& s : seen) {
    const Point gone = place_of(from, s.pose, to.pivot_px);
    s.pose.right_px = gone.x - to.pivot_px.x;
    s.pose.down_px = gone.y - to.pivot_px.y;
  }
  return seen;
}

}  // namespace

struct SoleFollower::Inside {
  explicit Inside(const SoleOptions& o)
      : options(o), shift(leg_box()), cycles(least_swing_cm * o.px_per_cm), thread([this] { take_all(); }) {}
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;
  ~Inside() {
    waiting.abandon();
    if (thread.joinable()) thread.join();
  }

  // In a thread of its own: following a contact takes as long as decoding a dozen frames, and neither waits then.
  void take_all() {
    while (auto k = waiting.take()) take(*std::move(k));
  }
  void take(Kept k);

  [[nodiscard]] Box leg_box() const;
  [[nodiscard]] Box strip_box(Point heel_px) const;
  [[nodiscard]] const Kept* lowest_heel(double from_s, double to_s) const;
  [[nodiscard]] std::vector<const Strip*> near(double time_s, double reach_s) const;
  void on_turn(const Turn& turn);
  void settle_top(std::optional<double> low_after_s);
  [[nodiscard]] double middle_above(double heel_top_s) const;
  void on_top(double top_s);
  void landing(double top_s, double until_s, std::optional<double> next_top_s);
  void leaving(double top_s, std::optional<double> last_top_s);
  void follow(const Kept& middle, double from_s, double to_s, std::optional<double> top_before,
              std::optional<double> top_after);
  [[nodiscard]] int soft_reach_px() const {
    return std::max(2, static_cast<int>(std::lround(0.3 * options.px_per_cm)));
  }
  [[nodiscard]] bool possible(const Pose& pose, double heel_rise_px) const;
  [[nodiscard]] std::optional<PieceFit> settle_in(const Standing& standing, const PiecePair& piece, const Kept& k,
                                                  const Strip& soft_strip, const Pose& start) const;
  [[nodiscard]] bool better_elsewhere(const Standing& standing, const PiecePair& piece, const Strip& soft_strip,
                                      const PieceFit& fit, double heel_rise_px) const;
  [[nodiscard]] std::optional<PieceFit> find(const Standing& standing, const PiecePair& piece, const Kept& k,
                                             const std::vector<Pose>& known) const;
  [[nodiscard]] std::vector<SeenPiece> seen_in_air(const Standing& standing, const PiecePair& piece,
                                                   double top_s) const;
  [[nodiscard]] Standing without_flying_shoe(const Standing& standing, const PiecePair& piece,
                                             const std::vector<double>& tops_s) const;
  [[nodiscard]] std::optional<PiecePair> true_piece(Standing& standing, const PieceCutting& cutting,
                                                    const std::vector<double>& tops_s) const;
  [[nodiscard]] std::vector<const Kept*> between(double from_s, double to_s) const;
  // Of the heel above where it was in the middle of the contact; as high as may be where it was not seen.
  [[nodiscard]] double rise_px(const Standing& standing, const Kept& k) const {
    return k.heel_px ? standing.middle->heel_px->y - k.heel_px->y : greatest_rise_cm * options.px_per_cm;
  }
  void walk(const Standing& standing, const PiecePair& piece, double right_px, double to_s);
  void note(const Kept& kept, const ShoePiece& piece, const PieceFit& fit);

  SoleOptions options;
  CameraShift shift;
  CycleFinder cycles;
  std::deque<Kept> kept;
  std::optional<double> heel_top_s;  // waits for the contact after it
  std::optional<double> last_low_s;
  std::optional<double> last_top_s;
  bool landed = true;  // the contact after the last top has been followed back to its touchdown
  std::map<std::int64_t, ClearanceSample> found;
  std::vector<std::pair<std::int64_t, double>> frames;
  std::vector<double> floor_rows;
  std::optional<CutPiece> last_piece;
  HandOver<Kept> waiting;
  std::thread thread;  // last: it uses all above but `shift` and `frames`
};

Box SoleFollower::Inside::leg_box() const {
  const double back = options.heel_column_px - options.forward * 10 * options.px_per_cm;
  const double front = options.heel_column_px + options.forward * 34 * options.px_per_cm;
  return {static_cast<int>(std::min(back, front)), 0, static_cast<int>(std::abs(front - back)), 100000};
}

Box SoleFollower::Inside::strip_box(Point heel_px) const {
  const double ppc = options.px_per_cm;
  const double back = heel_px.x + options.forward * 2 * ppc;  // no piece begins so far back
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
  for (const Kept& k : kept) strips.push_back(&k.strip);
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

bool SoleFollower::Inside::possible(const Pose& pose, double heel_rise_px) const {
  const double turn = options.forward * pose.turn_rad;
  return pose.down_px > -std::max(0.0, heel_rise_px) - heel_slack_cm * options.px_per_cm &&
         pose.down_px < sink_cm * options.px_per_cm && turn > -back_turn_rad && turn < most_turn_rad;
}

// Blurred first, then sharp from where that led. Empty: it leads nowhere possible.
std::optional<PieceFit> SoleFollower::Inside::settle_in(const Standing& standing, const PiecePair& piece, const Kept& k,
                                                        const Strip& soft_strip, const Pose& start) const {
  const double rise = rise_px(standing, k);
  const auto soft = settle(piece.soft, soft_strip, standing.soft.empty, start);
  if (!soft || !possible(soft->pose, rise)) return std::nullopt;
  const auto sharp = settle(piece.sharp, k.strip, standing.ground.empty, soft->pose);
  if (!sharp || !possible(sharp->pose, rise)) return std::nullopt;
  return sharp;
}

// Whether the piece would look better at another height: an edge a few pixels off can hold a fit fast in a wrong place.
bool SoleFollower::Inside::better_elsewhere(const Standing& standing, const PiecePair& piece, const Strip& soft_strip,
                                            const PieceFit& fit, double heel_rise_px) const {
  const auto misfit = [&](const Pose& pose) { return rough_misfit(piece.soft, soft_strip, standing.soft.empty, pose); };
  const double here = misfit(fit.pose);
  const double step = 0.2 * options.px_per_cm;
  for (double up = -sink_cm * options.px_per_cm; up < heel_rise_px + heel_slack_cm * options.px_per_cm; up += step) {
    if (std::abs(-up - fit.pose.down_px) < step) continue;
    if (misfit({fit.pose.right_px, -up, fit.pose.turn_rad}) < here) return true;
  }
  return false;
}

// From the last of the `known` places, where that is plainly right; else from all of them and from a grid of others.
std::optional<PieceFit> SoleFollower::Inside::find(const Standing& standing, const PiecePair& piece, const Kept& k,
                                                   const std::vector<Pose>& known) const {
  const double rise = rise_px(standing, k);
  const Strip soft_strip = blurred(k.strip, soft_reach_px());
  const Pose last = known.empty() ? Pose{} : known.front();
  std::optional<PieceFit> best;
  if (!known.empty()) {
    best = settle_in(standing, piece, k, soft_strip, known.back());
    if (best && best->misfit < plain_misfit && !better_elsewhere(standing, piece, soft_strip, *best, rise)) return best;
  }
  std::vector<std::pair<double, Pose>> starts;
  const auto add = [&](const Pose& pose) {
    if (possible(pose, rise)) {
      starts.emplace_back(rough_misfit(piece.soft, soft_strip, standing.soft.empty, pose), pose);
    }
  };
  for (const Pose& pose : known) add(pose);
  const double grid = 0.4 * options.px_per_cm;
  for (double up = -sink_cm * options.px_per_cm; up < rise + heel_slack_cm * options.px_per_cm; up += grid) {
    for (const double turn : {0.0, 0.2, 0.4, 0.6}) add({last.right_px, -up, options.forward * turn});
  }
  std::stable_sort(starts.begin(), starts.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (std::size_t i = 0; i < std::min(most_settled, starts.size()); ++i) {
    const auto sharp = settle_in(standing, piece, k, soft_strip, starts[i].second);
    if (!sharp) continue;
    // Where the shoe was going to be is believed unless another place is plainly better.
    if (!best || sharp->misfit < plainly_better * best->misfit) best = sharp;
  }
  if (best && best->misfit > worst_misfit) best.reset();
  return best;
}

// In the order from the one time to the other.
std::vector<const Kept*> SoleFollower::Inside::between(double from_s, double to_s) const {
  std::vector<const Kept*> way;
  for (const Kept& k : kept) {
    const double t = k.strip.time_s;
    if (t >= std::min(from_s, to_s) && t <= std::max(from_s, to_s)) way.push_back(&k);
  }
  if (to_s < from_s) std::reverse(way.begin(), way.end());
  return way;
}

// From the middle of the contact outwards, frame by frame, to `to_s` on either side of it.
void SoleFollower::Inside::walk(const Standing& standing, const PiecePair& piece, double right_px, double to_s) {
  const double middle_s = standing.middle->strip.time_s;
  const std::vector<const Kept*> way = between(middle_s, to_s);
  Pose last{right_px, 0, 0};
  Pose before = last;
  std::optional<PieceFit> still;  // the last that was worked out, and how that place looked
  double still_looks = 0;
  int lost = 0;
  for (const Kept* k : way) {
    if (still && rough_misfit(piece.sharp, k->strip, standing.ground.empty, last) < still_looks + unchanged_misfit) {
      note(*k, piece.sharp, *still);
      before = last;
      continue;
    }
    const Pose onwards{2 * last.right_px - before.right_px, 2 * last.down_px - before.down_px,
                       2 * last.turn_rad - before.turn_rad};
    const auto fit = find(standing, piece, *k, {last, onwards});
    if (fit) {
      note(*k, piece.sharp, *fit);
      before = lost == 0 ? last : fit->pose;
      last = fit->pose;
      lost = 0;
      // A place that is not plainly right looks as wrong in the next frame, wherever the shoe has gone by then.
      const bool lies =
          fit->misfit < surely_misfit && clearance_px(piece.sharp, fit->pose) < lies_cm * options.px_per_cm;
      still = lies ? fit : std::nullopt;
      if (lies) still_looks = rough_misfit(piece.sharp, k->strip, standing.ground.empty, last);
    } else if (++lost > 3) {
      return;
    }
  }
}

// Where the piece is in frames in which the shoe is surely in the air.
std::vector<SeenPiece> SoleFollower::Inside::seen_in_air(const Standing& standing, const PiecePair& piece,
                                                         double top_s) const {
  const double middle_s = standing.middle->strip.time_s;
  double greatest = 0;
  for (const Kept* k : between(middle_s, top_s))
    if (k->heel_px) greatest = std::max(greatest, rise_px(standing, *k));
  std::vector<SeenPiece> seen;
  for (const double share : {0.75, 0.85, 0.95}) {  // of the heel's rise: half of it is done when the toes leave
    const Kept* nearest = nullptr;
    for (const Kept* k : between(middle_s, top_s)) {
      if (!k->heel_px) continue;
      const double off = std::abs(rise_px(standing, *k) - share * greatest);
      if (nearest == nullptr || off < std::abs(rise_px(standing, *nearest) - share * greatest)) nearest = k;
    }
    if (nearest == nullptr) continue;
    const auto fit = find(standing, piece, *nearest, {});
    if (fit && clearance_px(piece.sharp, fit->pose) > surely_up_cm * options.px_per_cm) {
      seen.push_back({&nearest->strip, fit->pose});
    }
  }
  return seen;
}

// At the tops of the flights the floor lies bare, but higher up the shoe itself hangs in the picture: what is behind it
// there is not known.
Standing SoleFollower::Inside::without_flying_shoe(const Standing& standing, const PiecePair& piece,
                                                   const std::vector<double>& tops_s) const {
  Standing clear = standing;
  for (const double top_s : tops_s) {
    const std::vector<const Kept*> about = between(top_s - floating_s, top_s + floating_s);
    const auto nearest = std::min_element(about.begin(), about.end(), [&](const Kept* a, const Kept* b) {
      return std::abs(a->strip.time_s - top_s) < std::abs(b->strip.time_s - top_s);
    });
    if (nearest == about.end()) continue;
    const auto fit = find(standing, piece, **nearest, {});
    if (fit) hide_shoe(clear.ground.empty, piece.sharp, fit->pose, options.forward, hanging_cm * options.px_per_cm);
  }
  clear.soft.empty = blurred(clear.ground.empty, soft_reach_px());
  return clear;
}

// The highest edge is the shoe's or lies within it. What lies between it and the next lower one either goes with the
// shoe when that is in the air, and then the lower edge is the shoe's, or stays behind as a shadow does. Columns that
// stay behind are no shoe either. `standing` is left with what is known of the floor once the shoe is.
std::optional<PiecePair> SoleFollower::Inside::true_piece(Standing& standing, const PieceCutting& cutting,
                                                          const std::vector<double>& tops_s) const {
  std::vector<PiecePair> pieces = cut_pieces(standing.ground, standing.soft, cutting);
  std::stable_sort(pieces.begin(), pieces.end(),
                   [](const auto& a, const auto& b) { return a.sharp.floor_row_px < b.sharp.floor_row_px; });
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    const Standing clear = without_flying_shoe(standing, pieces[i], tops_s);
    std::vector<SeenPiece> seen;
    for (const double top_s : tops_s) {
      const std::vector<SeenPiece> some = seen_in_air(clear, pieces[i], top_s);
      seen.insert(seen.end(), some.begin(), some.end());
    }
    if (seen.empty()) continue;
    standing = clear;
    std::size_t best = i;
    while (best + 1 < pieces.size() && goes_along(pieces[i].sharp, pieces[best + 1].sharp, standing.ground, seen)) {
      ++best;
    }
    const std::vector<SeenPiece> moved = best == i ? seen : at_pivot(seen, pieces[i].sharp, pieces[best].sharp);
    return cut_piece(standing.ground, standing.soft, edge_that_goes_along(pieces[best].sharp, standing.ground, moved),
                     cutting);
  }
  return std::nullopt;
}

void SoleFollower::Inside::follow(const Kept& middle, double from_s, double to_s, std::optional<double> top_before,
                                  std::optional<double> top_after) {
  std::vector<double> tops_s;
  for (const auto& top : {top_before, top_after}) {
    if (top) tops_s.push_back(*top);
  }
  std::vector<const Strip*> air;
  for (const double top_s : tops_s) {
    const std::vector<const Strip*> some = near(top_s, floating_s);
    air.insert(air.end(), some.begin(), some.end());
  }
  const std::vector<const Strip*> ground = near(middle.strip.time_s, still_s);
  if (air.empty() || ground.empty()) return;
  const Box box = middle.strip.box;
  Standing standing{&middle, {median_plate(ground, box), median_plate(air, box)}, {}};
  standing.soft = blurred(standing.ground, soft_reach_px());
  std::vector<double> noise;
  for (int y = box.y0 + 1; y < box.y0 + box.height - 1; y += 3) {
    for (int x = box.x0 + 1; x < box.x0 + box.width - 1; x += 5) {
      const Sampled s = sample(middle.strip, x, y);
      if (s.inside) noise.push_back(s.grey - standing.ground.standing.at(x, y));
    }
  }
  const float noise_grey = noise.empty() ? 2.0F : static_cast<float>(math::robust_sd(noise) + 0.5);
  const PieceWhere where{*middle.heel_px, options.forward, options.px_per_cm, middle.forefoot_px};
  double right_px = 0;
  if (auto piece = true_piece(standing, {where, noise_grey, soft_reach_px()}, tops_s)) {
    last_piece = CutPiece{*std::move(piece), middle.heel_px->x};
  } else if (last_piece) {  // the same shoe as it stood before, wherever it has come down now
    right_px = middle.heel_px->x - last_piece->heel_x_px;
  } else {
    return;
  }
  const PiecePair& piece = last_piece->piece;
  floor_rows.push_back(piece.sharp.floor_row_px);
  if (from_s < middle.strip.time_s) walk(standing, piece, right_px, from_s);
  if (to_s > middle.strip.time_s) walk(standing, piece, right_px, to_s);
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

// The heel is highest when it is drawn up most, which may be soon after take-off; the foot as a whole is highest midway
// between two contacts. So a top waits for the contact after it.
void SoleFollower::Inside::on_turn(const Turn& turn) {
  if (turn.high) {
    settle_top(std::nullopt);
    heel_top_s = turn.time_s;
    return;
  }
  settle_top(turn.time_s);
  last_low_s = turn.time_s;
}

void SoleFollower::Inside::settle_top(std::optional<double> low_after_s) {
  if (!heel_top_s) return;
  double top_s = *heel_top_s;
  heel_top_s.reset();
  const bool between_contacts =
      low_after_s && last_low_s && *low_after_s - top_s <= half_cycle_s && top_s - *last_low_s <= half_cycle_s;
  on_top(between_contacts ? (*last_low_s + *low_after_s) / 2 : middle_above(top_s));
}

// Where a contact is missing on one side: midway between the heel's passing half of its height up and down.
double SoleFollower::Inside::middle_above(double heel_top_s) const {
  double highest = 1e9;
  double lowest = -1e9;
  const std::vector<const Kept*> about = between(heel_top_s - half_cycle_s, heel_top_s + half_cycle_s);
  for (const Kept* k : about) {
    if (!k->heel_px) continue;
    highest = std::min(highest, k->heel_px->y);
    lowest = std::max(lowest, k->heel_px->y);
  }
  double from_s = heel_top_s;
  double to_s = heel_top_s;
  for (const Kept* k : about) {
    const double t = k->strip.time_s;
    const bool low = k->heel_px && k->heel_px->y > (highest + lowest) / 2;
    if (t <= heel_top_s) from_s = low ? heel_top_s : std::min(from_s, t);
    if (t > heel_top_s && low) break;
    if (t > heel_top_s) to_s = t;
  }
  return (from_s + to_s) / 2;
}

void SoleFollower::Inside::on_top(double top_s) {
  const bool whole = last_top_s && top_s - *last_top_s <= 2 * half_cycle_s && !landed;
  const Kept* middle = whole ? lowest_heel(*last_top_s, top_s) : nullptr;
  if (middle != nullptr && middle->strip.time_s - *last_top_s <= half_cycle_s &&
      top_s - middle->strip.time_s <= half_cycle_s) {
    follow(*middle, *last_top_s, top_s, last_top_s, top_s);
  } else {
    if (last_top_s && !landed) landing(*last_top_s, top_s, std::nullopt);
    leaving(top_s, last_top_s);
  }
  last_top_s = top_s;
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
  in.waiting.put(std::move(k), most_waiting);
}

void SoleFollower::Inside::take(Kept k) {
  const double time_s = k.strip.time_s;
  kept.push_back(std::move(k));
  while (!kept.empty() && kept.front().strip.time_s < time_s - keep_s) kept.pop_front();
  if (!kept.back().heel_px) return;
  const auto turn = cycles.push(time_s, -kept.back().heel_px->y);
  if (turn) on_turn(*turn);
  if (heel_top_s && time_s > *heel_top_s + half_cycle_s) settle_top(std::nullopt);
  if (last_top_s && !landed && time_s > *last_top_s + 2 * half_cycle_s) landing(*last_top_s, time_s, std::nullopt);
}

Clearance SoleFollower::finish() {
  Inside& in = *inside_;
  in.waiting.close();
  if (in.thread.joinable()) in.thread.join();
  in.settle_top(std::nullopt);
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
