#include "sole/follow_sole.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <exception>
#include <map>
#include <thread>

#include "base/hand_over.h"
#include "math/statistics.h"
#include "sole/camera_shift.h"
#include "sole/cycles.h"
#include "sole/follow_contact.h"
#include "sole/shared_edge.h"
#include "sole/shoe_piece.h"
#include "sole/steady_foot.h"

namespace risetrace::sole {
namespace {

constexpr double keep_s = 1.2;
constexpr double half_cycle_s = 0.4;    // a contact's middle is looked for no farther than this from the flight's top
constexpr double still_s = 0.03;        // frames so near the middle of a contact show the shoe standing
constexpr double floating_s = 0.025;    // and so near the top of a flight, the floor without it
constexpr double gone_s = 0.06;         // the frames of that time are not kept any more
constexpr std::size_t most_frames = 7;  // of each
constexpr double same_shoe_misfit = 0.15;
constexpr std::size_t most_waiting = 48;  // strips that wait for the ones before to be followed

// A frame's shoe as one contact saw it.
struct Found {
  std::size_t stance = 0;
  PieceFit fit;
};

// The shoe as it stood in one contact.
struct Stance {
  Point pivot_px;
  std::vector<Point> edge_px;
  std::optional<Point> moved_px;  // from where it stood in the first; not known: it has but its own edge
};

struct CutPiece {
  PiecePair piece;
  double heel_x_px = 0.0;  // of the heel's sticker when it was cut
};

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
    try {
      while (auto k = waiting.take()) take(*std::move(k));
    } catch (...) {
      thrown = std::current_exception();
      waiting.abandon();
    }
  }
  void take(Kept k);

  [[nodiscard]] Box leg_box() const;
  [[nodiscard]] Box strip_box(Point heel_px) const;
  [[nodiscard]] const Kept* lowest_heel(double from_s, double to_s) const;
  [[nodiscard]] std::vector<const Strip*> near(double time_s, double reach_s) const;
  void on_turn(const Turn& turn);
  void settle_top(std::optional<double> low_after_s);
  [[nodiscard]] double middle_above(double highest_s) const;
  void on_top(double top_s);
  void landing(double top_s, double until_s);
  void leaving(double top_s, std::optional<double> before_s);
  void follow(const Kept& middle, double from_s, double to_s, std::optional<double> top_before,
              std::optional<double> top_after);
  [[nodiscard]] WalkOptions walk_options() const { return {options.px_per_cm, options.forward}; }
  [[nodiscard]] std::optional<Standing> standing_at(const Kept& middle, const std::vector<double>& tops_s) const;
  [[nodiscard]] std::vector<const Kept*> between(double from_s, double to_s) const;
  [[nodiscard]] std::optional<Point> moved_px(const Standing& standing) const;
  [[nodiscard]] std::vector<Place> follow_stance(Standing& standing, const std::vector<std::vector<const Kept*>>& ways);
  void note(const Place& place);

  SoleOptions options;
  CameraShift shift;
  CycleFinder cycles;
  std::deque<Kept> kept;
  std::optional<double> heel_top_s;  // waits for the contact after it
  std::optional<double> last_low_s;
  std::optional<double> last_top_s;
  bool landed = true;  // the contact after the last top has been followed back to its touchdown
  std::map<std::int64_t, Found> found;
  std::vector<ClearanceSample> frames;            // not yet seen
  std::vector<std::optional<double>> heel_up_px;  // one a frame, above the picture's first row: below zero
  std::vector<Stance> stances;
  SharedEdge shared;
  std::optional<CutPiece> first_piece;
  std::optional<CutPiece> last_piece;
  HandOver<Kept> waiting;
  std::exception_ptr thrown;  // in the thread; thrown again by finish()
  std::thread thread;         // last: it uses all above but `shift`, `frames` and `heel_up_px`
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
  if (!strips.empty() && std::abs(strips.front()->time_s - time_s) > gone_s) return {};
  std::size_t count = 0;
  while (count < strips.size() && count < most_frames &&
         (count < 1 || std::abs(strips[count]->time_s - time_s) <= reach_s)) {
    ++count;
  }
  strips.resize(count);
  return strips;
}

// Where two contacts see the same frame, the one that fits it better.
void SoleFollower::Inside::note(const Place& place) {
  const std::int64_t frame = place.kept->strip.frame;
  const auto known = found.find(frame);
  if (known != found.end() && known->second.fit.misfit <= place.fit.misfit) return;
  found[frame] = {stances.size() - 1, place.fit};
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

// What is there in the middle of a contact, and without the shoe at the tops of the flights beside it.
std::optional<Standing> SoleFollower::Inside::standing_at(const Kept& middle, const std::vector<double>& tops_s) const {
  std::vector<const Strip*> air;
  for (const double top_s : tops_s) {
    const std::vector<const Strip*> some = near(top_s, floating_s);
    air.insert(air.end(), some.begin(), some.end());
  }
  const std::vector<const Strip*> ground = near(middle.strip.time_s, still_s);
  if (air.empty() || ground.empty()) return std::nullopt;
  const Box box = middle.strip.box;
  Standing standing{&middle, {median_plate(ground, box), median_plate(air, box)}, {}};
  standing.soft = blurred(standing.ground, walk_options().soft_reach_px());
  return standing;
}

ShoePiece standing_shoe(Point pivot_px, std::vector<Point> edge_px) {
  ShoePiece shoe;
  shoe.pivot_px = pivot_px;
  shoe.edge_px = std::move(edge_px);
  shoe.floor_row_px = lowest_row_px(shoe.edge_px);
  return shoe;
}

// Standard deviation of one pixel of one frame.
float noise_of(const Standing& standing) {
  const Strip& strip = standing.middle->strip;
  const Box& box = strip.box;
  std::vector<double> noise;
  for (int y = box.y0 + 1; y < box.y0 + box.height - 1; y += 3) {
    for (int x = box.x0 + 1; x < box.x0 + box.width - 1; x += 5) {
      const Sampled s = sample(strip, x, y);
      if (s.inside) noise.push_back(s.grey - standing.ground.standing.at(x, y));
    }
  }
  return noise.empty() ? 2.0F : static_cast<float>(math::robust_sd(noise) + 0.5);
}

// The shoe on the ground from where it stood in the first contact: the first piece found in this contact's picture.
// Empty: it is not found in it.
std::optional<Point> SoleFollower::Inside::moved_px(const Standing& standing) const {
  if (!first_piece) return Point{};
  const double heel_px = standing.middle->heel_px->x - first_piece->heel_x_px;
  const auto fit = settle(first_piece->piece.sharp, standing.middle->strip, standing.ground.empty, {heel_px, 0, 0});
  if (!fit || fit->misfit > same_shoe_misfit) return std::nullopt;
  return Point{fit->pose.right_px, fit->pose.down_px};
}

// With the edge that the contacts so far have shown; else with what looks like one in this contact, and once more with
// what turned out to be it.
std::vector<Place> SoleFollower::Inside::follow_stance(Standing& standing,
                                                       const std::vector<std::vector<const Kept*>>& ways) {
  const Kept& middle = *standing.middle;
  const PieceWhere where{*middle.heel_px, options.forward, options.px_per_cm, middle.forefoot_px};
  const PieceCutting cutting{where, noise_of(standing), walk_options().soft_reach_px()};
  const auto cut = [&](const std::vector<Point>& edge_px) {
    return cut_piece(standing.ground, standing.soft, edge_px, cutting);
  };
  const std::optional<Point> moved = moved_px(standing);
  const auto together = [&] { return moved ? shared.at(*moved) : std::vector<Point>{}; };
  std::optional<FollowedContact> followed;
  if (const auto piece = cut(together())) followed = follow_contact(standing, where, {*piece}, ways);
  const bool from_shared = followed.has_value();
  if (!from_shared) {
    followed = follow_contact(standing, where, cut_pieces(standing.ground, standing.soft, cutting), ways);
    if (!followed) return {};
    auto piece = cut(together());
    if (!piece) piece = cut(followed->edge_px);
    if (!piece) return {};
    followed->places = settle_again(standing, followed->piece, *piece, followed->places, walk_options());
    followed->piece = *std::move(piece);
  }
  if (moved) shared.add(followed->edge_px, *moved);
  last_piece = CutPiece{std::move(followed->piece), middle.heel_px->x};
  if (!first_piece) first_piece = last_piece;
  stances.push_back({last_piece->piece.sharp.pivot_px, last_piece->piece.sharp.edge_px, moved});
  return std::move(followed->places);
}

void SoleFollower::Inside::follow(const Kept& middle, double from_s, double to_s, std::optional<double> top_before,
                                  std::optional<double> top_after) {
  std::vector<double> tops_s;
  for (const auto& top : {top_before, top_after}) {
    if (top) tops_s.push_back(*top);
  }
  std::optional<Standing> standing = standing_at(middle, tops_s);
  if (!standing) return;
  const double middle_s = middle.strip.time_s;
  std::vector<std::vector<const Kept*>> ways;
  if (from_s < middle_s) ways.push_back(between(middle_s, from_s));
  if (to_s > middle_s) ways.push_back(between(middle_s, to_s));
  std::vector<Place> places = follow_stance(*standing, ways);
  if (places.empty() && last_piece) {  // the same shoe as it stood before, wherever it has come down now
    for (const auto& way : ways) {
      const double right_px = middle.heel_px->x - last_piece->heel_x_px;
      const std::vector<Place> some = walk_contact(*standing, last_piece->piece, way, right_px, walk_options());
      places.insert(places.end(), some.begin(), some.end());
    }
  }
  for (const Place& place : places) note(place);
}

void SoleFollower::Inside::landing(double top_s, double until_s) {
  landed = true;
  if (const Kept* middle = lowest_heel(top_s, std::min(until_s, top_s + half_cycle_s))) {
    follow(*middle, top_s, middle->strip.time_s, top_s, std::nullopt);
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
double SoleFollower::Inside::middle_above(double highest_s) const {
  double highest = 1e9;
  double lowest = -1e9;
  const std::vector<const Kept*> about = between(highest_s - half_cycle_s, highest_s + half_cycle_s);
  for (const Kept* k : about) {
    if (!k->heel_px) continue;
    highest = std::min(highest, k->heel_px->y);
    lowest = std::max(lowest, k->heel_px->y);
  }
  double from_s = highest_s;
  double to_s = highest_s;
  for (const Kept* k : about) {
    const double t = k->strip.time_s;
    const bool low = k->heel_px && k->heel_px->y > (highest + lowest) / 2;
    if (t <= highest_s) from_s = low ? highest_s : std::min(from_s, t);
    if (t > highest_s && low) break;
    if (t > highest_s) to_s = t;
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
    if (last_top_s && !landed) landing(*last_top_s, top_s);
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
  in.frames.push_back({frame.number, frame.time_s, 0, 0, false});
  in.heel_up_px.push_back(k.heel_px ? std::optional(-k.heel_px->y) : std::nullopt);
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
  if (last_top_s && !landed && time_s > *last_top_s + 2 * half_cycle_s) landing(*last_top_s, time_s);
}

Clearance SoleFollower::finish() {
  Inside& in = *inside_;
  in.waiting.close();
  if (in.thread.joinable()) in.thread.join();
  if (in.thrown) std::rethrow_exception(in.thrown);
  in.settle_top(std::nullopt);
  if (in.last_top_s && !in.landed) in.landing(*in.last_top_s, 1e9);
  // All contacts seen together know the edge better than each did when it was followed.
  std::vector<ShoePiece> shoes;
  for (const Stance& stance : in.stances) {
    const std::vector<Point> together = stance.moved_px ? in.shared.at(*stance.moved_px) : std::vector<Point>{};
    shoes.push_back(standing_shoe(stance.pivot_px, together.empty() ? stance.edge_px : together));
  }
  Clearance clearance;
  for (ClearanceSample sample : in.frames) {
    if (const auto found = in.found.find(sample.frame); found != in.found.end()) {
      sample.up_px = clearance_px(shoes[found->second.stance], found->second.fit.pose);
      sample.sigma_px = std::max(0.05, found->second.fit.sigma_px);
      sample.seen = true;
    }
    clearance.samples.push_back(sample);
  }
  leave_out_leaps(clearance.samples, in.heel_up_px, in.options.px_per_cm);
  std::vector<double> floor_rows;
  floor_rows.reserve(shoes.size());
  for (const ShoePiece& shoe : shoes) floor_rows.push_back(shoe.floor_row_px);
  if (!floor_rows.empty()) clearance.floor_row_px = math::median(floor_rows);
  return clearance;
}

}  // namespace risetrace::sole
