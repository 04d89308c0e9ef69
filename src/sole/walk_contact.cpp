#include "sole/walk_contact.h"

#include <algorithm>
#include <cmath>

namespace risetrace::sole {
namespace {

constexpr double greatest_rise_cm = 15.0;  // of a hop's clearance
constexpr double heel_slack_cm = 0.8;      // the sole rises by no more than the heel, give or take
// A shoe does not grow longer: from heel to toes it is as long as it stands, or shorter where it bends or turns away.
constexpr double most_stretch = 1.05;
constexpr double sink_cm = 1.2;  // into a soft floor
constexpr double slack_px = 2;
constexpr double fastest_cm_s = 250;  // of the shoe's front; its body lands with less than 200
constexpr double most_turn_rad = 1.0;
constexpr std::size_t most_settled = 3;  // of the starts, the likeliest
constexpr double worst_misfit = 0.5;
constexpr double unchanged_misfit = 0.003;  // a fifth of a pixel adds more
constexpr double surely_misfit = 0.05;      // the shoe is plainly there ...
constexpr double lies_cm = 0.1;             // ... and on the ground: it may be still in the next frame
constexpr double plainly_better = 0.85;     // of the misfit where the shoe was going to be
constexpr double plain_misfit = 0.1;        // no other place needs to be tried
constexpr double flies_cm = 0.8;            // no ground and no giving sole disturbs it
constexpr double on_its_way_px = 1.5;
constexpr double as_before_share = 1.1;
constexpr double as_before_misfit = 0.005;
constexpr double worst_going_on_misfit = 0.3;
constexpr double back_turn_rad = 0.3;

class Walker {
 public:
  Walker(const Standing& standing, const PiecePair& piece, double right_px, const WalkOptions& options)
      : standing_(standing), piece_(piece), start_right_px_(right_px), options_(options) {}

  [[nodiscard]] std::vector<Place> walk(const std::vector<const Kept*>& way) const;
  [[nodiscard]] bool possible(const Pose& pose, const Kept& k) const;

 private:
  // Of the heel above where it was in the middle of the contact; as high as may be where it was not seen.
  [[nodiscard]] double rise_px(const Kept& k) const {
    return k.heel_px ? standing_.middle->heel_px->y - k.heel_px->y : greatest_rise_cm * options_.px_per_cm;
  }
  [[nodiscard]] bool stretched(const Pose& pose, Point heel_px) const;
  [[nodiscard]] std::optional<PieceFit> settle_in(const Kept& k, const Strip& soft_strip, const Pose& start) const;
  [[nodiscard]] bool better_elsewhere(const Kept& k, const Strip& soft_strip, const PieceFit& fit) const;
  [[nodiscard]] std::optional<PieceFit> goes_on(const Kept& k, const PieceFit& last, const Pose& onwards) const;
  [[nodiscard]] std::optional<PieceFit> find(const Kept& k, const Pose& last, const Pose& onwards,
                                             double reach_px) const;

  const Standing& standing_;
  const PiecePair& piece_;
  double start_right_px_ = 0.0;
  WalkOptions options_;
};

bool Walker::possible(const Pose& pose, const Kept& k) const {
  const double turn = options_.forward * pose.turn_rad;
  return pose.down_px > -std::max(0.0, rise_px(k)) - heel_slack_cm * options_.px_per_cm &&
         pose.down_px < sink_cm * options_.px_per_cm && turn > -back_turn_rad && turn < most_turn_rad &&
         !(k.heel_px && stretched(pose, *k.heel_px));
}

bool Walker::stretched(const Pose& pose, Point heel_px) const {
  const Point pivot = piece_.sharp.pivot_px;
  const Point stood = *standing_.middle->heel_px;
  const double length = std::hypot(stood.x - pivot.x - start_right_px_, stood.y - pivot.y);
  const double now = std::hypot(heel_px.x - pivot.x - pose.right_px, heel_px.y - pivot.y - pose.down_px);
  return now > most_stretch * length;
}

// Blurred first, then sharp from where that led. Empty: it leads nowhere possible.
std::optional<PieceFit> Walker::settle_in(const Kept& k, const Strip& soft_strip, const Pose& start) const {
  const auto soft = settle(piece_.soft, soft_strip, standing_.soft.empty, start);
  if (!soft || !possible(soft->pose, k)) return std::nullopt;
  const auto sharp = settle(piece_.sharp, k.strip, standing_.ground.empty, soft->pose);
  if (!sharp || !possible(sharp->pose, k)) return std::nullopt;
  return sharp;
}

// Whether the piece would look better at another height: an edge a few pixels off can hold a fit fast in a wrong place.
bool Walker::better_elsewhere(const Kept& k, const Strip& soft_strip, const PieceFit& fit) const {
  const auto misfit = [&](const Pose& pose) {
    return rough_misfit(piece_.soft, soft_strip, standing_.soft.empty, pose);
  };
  const double here = misfit(fit.pose);
  const double step = 0.2 * options_.px_per_cm;
  const double lowest = -sink_cm * options_.px_per_cm;
  const int heights = static_cast<int>((rise_px(k) + heel_slack_cm * options_.px_per_cm - lowest) / step);
  for (int i = 0; i <= heights; ++i) {
    const double up = lowest + i * step;
    if (std::abs(-up - fit.pose.down_px) < step) continue;
    const Pose there{fit.pose.right_px, -up, fit.pose.turn_rad};
    if (possible(there, k) && misfit(there) < here) return true;
  }
  return false;
}

// In the air: where it was going to be to a pixel or so, and looks as it did in the frame before.
std::optional<PieceFit> Walker::goes_on(const Kept& k, const PieceFit& last, const Pose& onwards) const {
  const auto fit = settle(piece_.sharp, k.strip, standing_.ground.empty, onwards);
  if (!fit || !possible(fit->pose, k)) return std::nullopt;
  const double off_px = std::hypot(fit->pose.right_px - onwards.right_px, fit->pose.down_px - onwards.down_px);
  const bool as_before =
      fit->misfit < std::min(last.misfit * as_before_share + as_before_misfit, worst_going_on_misfit);
  return off_px < on_its_way_px && as_before ? fit : std::nullopt;
}

// Where it was going to be, where that is plainly right; else there, where it was, and from a grid of places it can
// have reached.
std::optional<PieceFit> Walker::find(const Kept& k, const Pose& last, const Pose& onwards, double reach_px) const {
  const double rise = rise_px(k);
  const Strip soft_strip = blurred(k.strip, options_.soft_reach_px());
  const auto reached = [&](const Pose& pose) {
    return std::hypot(pose.right_px - last.right_px, pose.down_px - last.down_px) <= reach_px;
  };
  std::optional<PieceFit> best = settle_in(k, soft_strip, onwards);
  if (best && !reached(best->pose)) best.reset();
  if (best && best->misfit < plain_misfit && !better_elsewhere(k, soft_strip, *best)) return best;
  std::vector<std::pair<double, Pose>> starts;
  const auto add = [&](const Pose& pose) {
    if (reached(pose) && possible(pose, k)) {
      starts.emplace_back(rough_misfit(piece_.soft, soft_strip, standing_.soft.empty, pose), pose);
    }
  };
  add(last);
  add(onwards);
  const double grid = 0.4 * options_.px_per_cm;
  const double lowest = -sink_cm * options_.px_per_cm;
  const int heights = static_cast<int>((rise + heel_slack_cm * options_.px_per_cm - lowest) / grid);
  for (int i = 0; i <= heights; ++i) {
    const double up = lowest + i * grid;
    for (const double turn : {0.0, 0.2, 0.4, 0.6}) add({last.right_px, -up, options_.forward * turn});
  }
  std::stable_sort(starts.begin(), starts.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (std::size_t i = 0; i < std::min(most_settled, starts.size()); ++i) {
    const auto sharp = settle_in(k, soft_strip, starts[i].second);
    if (!sharp || !reached(sharp->pose)) continue;
    // Where the shoe was going to be is believed unless another place is plainly better.
    if (!best || sharp->misfit < plainly_better * best->misfit) best = sharp;
  }
  if (best && best->misfit > worst_misfit) best.reset();
  return best;
}

std::vector<Place> Walker::walk(const std::vector<const Kept*>& way) const {
  std::vector<Place> places;
  Pose last{start_right_px_, 0, 0};
  Pose before = last;
  std::optional<PieceFit> still;  // the last that was worked out, and how that place looked
  double still_looks = 0;
  int lost = 0;
  double last_s = standing_.middle->strip.time_s;
  for (const Kept* k : way) {
    if (still && rough_misfit(piece_.sharp, k->strip, standing_.ground.empty, last) < still_looks + unchanged_misfit) {
      places.push_back({k, *still});
      before = last;
      last_s = k->strip.time_s;
      lost = 0;
      continue;
    }
    const double steps = lost + 1;
    const Pose onwards{last.right_px + steps * (last.right_px - before.right_px),
                       last.down_px + steps * (last.down_px - before.down_px),
                       last.turn_rad + steps * (last.turn_rad - before.turn_rad)};
    const double gone_s = std::abs(k->strip.time_s - last_s);
    std::optional<PieceFit> fit;
    if (lost == 0 && clearance_px(piece_.sharp, last) > flies_cm * options_.px_per_cm) {
      fit = goes_on(*k, places.back().fit, onwards);
    }
    if (!fit) fit = find(*k, last, onwards, fastest_cm_s * gone_s * options_.px_per_cm + slack_px);
    if (fit) {
      places.push_back({k, *fit});
      before = lost == 0 ? last : fit->pose;
      last = fit->pose;
      last_s = k->strip.time_s;
      lost = 0;
      // A place that is not plainly right looks as wrong in the next frame, wherever the shoe has gone by then.
      const bool lies =
          fit->misfit < surely_misfit && clearance_px(piece_.sharp, fit->pose) < lies_cm * options_.px_per_cm;
      still = lies ? fit : std::nullopt;
      if (lies) still_looks = rough_misfit(piece_.sharp, k->strip, standing_.ground.empty, last);
    } else if (++lost > 3) {
      break;
    }
  }
  return places;
}

}  // namespace

std::vector<Place> walk_contact(const Standing& standing, const PiecePair& piece, const std::vector<const Kept*>& way,
                                double right_px, const WalkOptions& options) {
  return Walker(standing, piece, right_px, options).walk(way);
}

std::vector<Place> settle_again(const Standing& standing, const PiecePair& rough, const PiecePair& piece,
                                const std::vector<Place>& places, const WalkOptions& options) {
  const Walker walker(standing, piece, 0.0, options);
  std::vector<Place> out;
  const Pose* last = nullptr;
  for (const Place& place : places) {
    const Pose& was = place.fit.pose;
    const bool lay_still = last != nullptr && !out.empty() && was.down_px == last->down_px &&
                           was.right_px == last->right_px && was.turn_rad == last->turn_rad;
    last = &was;
    if (lay_still) {
      out.push_back({place.kept, out.back().fit});
      continue;
    }
    const Pose start = at_pivot(was, rough.sharp, piece.sharp);
    const auto fit = settle(piece.sharp, place.kept->strip, standing.ground.empty, start);
    const bool possible = fit && walker.possible(fit->pose, *place.kept);
    out.push_back({place.kept, possible ? *fit : PieceFit{start, place.fit.sigma_px, place.fit.misfit}});
  }
  return out;
}

}  // namespace risetrace::sole
