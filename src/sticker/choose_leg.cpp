#include "sticker/choose_leg.h"

#include <algorithm>
#include <cmath>

#include "base/geometry.h"
#include "math/statistics.h"

namespace risetrace::sticker {
namespace {

constexpr double least_rise_share = 0.25;  // of the heel's; the ankle rises by about three quarters, the rest with it
constexpr double greatest_rise_share = 2.0;
constexpr double least_likeness = 0.8;  // correlation of the ways up and down
constexpr std::size_t least_common = 15;
// In radii of the heel's sticker, some 0.75 to 1.25 cm.
constexpr double least_ankle_radii = 2.5;
constexpr double greatest_ankle_radii = 16;
constexpr double least_shank_radii = 15;
constexpr double greatest_shank_radii = 80;
constexpr double least_size = 0.45;  // of the heel sticker's radius
constexpr double greatest_size = 2.2;
constexpr double least_thigh_share = 0.65;  // of the shank
constexpr double greatest_thigh_share = 1.5;
constexpr double greatest_shank_lean_deg = 50;
constexpr double greatest_knee_deg = 95;
constexpr double about_as_good = 0.85;  // of the best three looks
constexpr double about_as_long = 0.85;  // a badge on the shank makes a short leg of its own

// A spot that goes with the heel, and where it is from there: x right, y up.
struct Goer {
  std::size_t index = 0;
  Point from_heel_px;
  double look_score = 0.0;
};

double correlation(const std::vector<double>& a, const std::vector<double>& b) {
  const double mean_a = math::mean(a);
  const double mean_b = math::mean(b);
  double ab = 0;
  double aa = 0;
  double bb = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    ab += (a[i] - mean_a) * (b[i] - mean_b);
    aa += (a[i] - mean_a) * (a[i] - mean_a);
    bb += (b[i] - mean_b) * (b[i] - mean_b);
  }
  return aa > 0 && bb > 0 ? ab / std::sqrt(aa * bb) : 0;
}

std::optional<Goer> goes_with(const LegCandidate& heel, const LegCandidate& other, std::size_t index) {
  const double share = heel.rise_px > 0 ? other.rise_px / heel.rise_px : 0;
  const double size = heel.radius_px > 0 ? other.radius_px / heel.radius_px : 0;
  if (share < least_rise_share || share > greatest_rise_share || size < least_size || size > greatest_size) return {};
  std::vector<double> up;
  std::vector<double> heel_up;
  std::vector<double> right_of;
  std::vector<double> above;
  auto at = heel.samples.begin();
  for (const TrackSample& s : other.samples) {
    while (at != heel.samples.end() && at->frame < s.frame) ++at;
    if (at == heel.samples.end()) break;
    if (at->frame != s.frame || !at->seen || !s.seen) continue;
    up.push_back(-s.px.y);
    heel_up.push_back(-at->px.y);
    right_of.push_back(s.px.x - at->px.x);
    above.push_back(at->px.y - s.px.y);
  }
  if (up.size() < least_common || correlation(up, heel_up) < least_likeness) return {};
  return Goer{index, {math::median(right_of), math::median(above)}, other.look_score};
}

Point difference(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
double length(Point p) { return std::hypot(p.x, p.y); }

bool is_ankle(const Goer& goer, double radius_px) {
  const double away = length(goer.from_heel_px) / radius_px;
  return goer.from_heel_px.y > 0 && away >= least_ankle_radii && away <= greatest_ankle_radii;
}

bool is_leg(const Goer& ankle, const Goer& knee, const Goer& hip, double radius_px) {
  const Point shank = difference(knee.from_heel_px, ankle.from_heel_px);
  const Point thigh = difference(hip.from_heel_px, knee.from_heel_px);
  const double radii = length(shank) / radius_px;
  if (radii < least_shank_radii || radii > greatest_shank_radii || thigh.y <= 0) return false;
  const double share = length(thigh) / length(shank);
  if (share < least_thigh_share || share > greatest_thigh_share) return false;
  const double shank_lean = std::atan2(shank.x, shank.y);
  const double thigh_lean = std::atan2(thigh.x, thigh.y);
  return std::abs(shank_lean) <= greatest_shank_lean_deg * rad_per_deg &&
         std::abs(shank_lean - thigh_lean) <= greatest_knee_deg * rad_per_deg;
}

struct Leg {
  LegChoice choice;
  double look = 0.0;
  double length_px = 0.0;  // ankle to hip
};

// Those that look about as much like stickers as the best.
std::vector<Leg> legs_among(const std::vector<Goer>& goers, double radius_px) {
  std::vector<Leg> legs;
  double best_look = 0;
  for (const Goer& ankle : goers) {
    if (!is_ankle(ankle, radius_px)) continue;
    for (const Goer& knee : goers) {
      for (const Goer& hip : goers) {
        if (!is_leg(ankle, knee, hip, radius_px)) continue;
        const double look = ankle.look_score + knee.look_score + hip.look_score;
        const double length_px = length(difference(hip.from_heel_px, ankle.from_heel_px));
        legs.push_back({{ankle.index, knee.index, hip.index, false}, look, length_px});
        best_look = std::max(best_look, look);
      }
    }
  }
  std::erase_if(legs, [&](const Leg& leg) { return leg.look < about_as_good * best_look; });
  return legs;
}

}  // namespace

std::optional<LegChoice> choose_leg(const LegCandidate& heel, const std::vector<LegCandidate>& others) {
  std::vector<Goer> goers;
  for (std::size_t i = 0; i < others.size(); ++i) {
    if (const auto goer = goes_with(heel, others[i], i)) goers.push_back(*goer);
  }
  const std::vector<Leg> legs = legs_among(goers, heel.radius_px);
  if (legs.empty()) return std::nullopt;
  const auto longer = [](const Leg& a, const Leg& b) { return a.length_px < b.length_px; };
  const Leg& best = *std::max_element(legs.begin(), legs.end(), longer);
  const auto as_long = std::count_if(legs.begin(), legs.end(),
                                     [&](const Leg& leg) { return leg.length_px >= about_as_long * best.length_px; });
  LegChoice choice = best.choice;
  choice.doubtful = as_long > 1;
  return choice;
}

Note leg_doubtful() {
  return {
      "leg-sticker-choice-doubtful",
      "More than one set of spots lies as the stickers of ankle, knee and hip do; those that look most like stickers "
      "were followed: look at the overlay, or give --ankle, --knee-at and --hip.",
      std::nullopt};
}

}  // namespace risetrace::sticker
