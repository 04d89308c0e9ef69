#include "sticker/choose_shank.h"

#include <algorithm>
#include <cmath>

#include "base/geometry.h"

namespace risetrace::sticker {
namespace {

constexpr std::size_t least_common = 10;
constexpr double least_seen_share = 0.6;
constexpr double least_length_radii = 12;  // of the knee's sticker: a shank is some 30 to 60 of them long
constexpr double greatest_length_radii = 90;
constexpr double ankle_share = 0.25;        // of the knee's way, that the ankle's may go
constexpr double greatest_give = 0.05;      // of the length: beyond, it is no stiff piece
constexpr double as_stiff = 0.01;           // of the length
constexpr double share_of_best_look = 0.6;  // of the better of two pairs
constexpr double cut_share = 0.02;          // of the values at each end, when a range is told

struct Pair {
  ShankChoice choice;
  double length_px = 0.0;
  double give = 0.0;  // range of the length over the length
  double look = 0.0;
};

double at_share(std::vector<double>& values, double share) {
  const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1) + 0.5);
  std::nth_element(values.begin(), values.begin() + at, values.end());
  return values[static_cast<std::size_t>(at)];
}

double range_of(std::vector<double>& values) { return at_share(values, 1 - cut_share) - at_share(values, cut_share); }

std::optional<Pair> judge(const SpotTrack& ankle, const SpotTrack& knee, double least_turn_deg) {
  if (ankle.travel_px() > ankle_share * knee.travel_px()) return std::nullopt;
  std::vector<double> lengths;
  std::vector<double> leans;
  auto at = ankle.seen().begin();
  for (const SpotTrack::Seen& k : knee.seen()) {
    while (at != ankle.seen().end() && at->frame < k.frame) ++at;
    if (at == ankle.seen().end()) break;
    if (at->frame != k.frame) continue;
    const double right = k.ref_px.x - at->ref_px.x;
    const double up = at->ref_px.y - k.ref_px.y;
    if (up <= 0) return std::nullopt;
    lengths.push_back(std::hypot(right, up));
    leans.push_back(std::atan2(right, up) * deg_per_rad);
  }
  if (lengths.size() < least_common || range_of(leans) < least_turn_deg) return std::nullopt;
  Pair pair;
  pair.length_px = at_share(lengths, 0.5);
  pair.give = range_of(lengths) / pair.length_px;
  pair.look = ankle.spot().look_score() + knee.spot().look_score();
  const double radii = pair.length_px / knee.spot().radius_px();
  if (radii < least_length_radii || radii > greatest_length_radii || pair.give > greatest_give) return std::nullopt;
  return pair;
}

}  // namespace

std::optional<ShankChoice> choose_shank(const std::vector<SpotTrack>& spots, double least_turn_deg) {
  std::vector<Pair> pairs;
  for (std::size_t k = 0; k < spots.size(); ++k) {
    if (spots[k].seen_share() < least_seen_share || spots[k].travel_px() < 2 * spots[k].spot().radius_px()) continue;
    for (std::size_t a = 0; a < spots.size(); ++a) {
      if (a == k || spots[a].seen_share() < least_seen_share) continue;
      std::optional<Pair> pair = judge(spots[a], spots[k], least_turn_deg);
      if (!pair) continue;
      pair->choice = {a, k};
      pairs.push_back(*pair);
    }
  }
  if (pairs.empty()) return std::nullopt;
  const double stiffest =
      std::min_element(pairs.begin(), pairs.end(), [](const Pair& a, const Pair& b) { return a.give < b.give; })->give;
  std::erase_if(pairs, [&](const Pair& p) { return p.give > stiffest + as_stiff; });
  double best_look = 0;
  for (const Pair& p : pairs) best_look = std::max(best_look, p.look);
  std::erase_if(pairs, [&](const Pair& p) { return p.look < share_of_best_look * best_look; });
  return std::max_element(pairs.begin(), pairs.end(),
                          [](const Pair& a, const Pair& b) { return a.length_px < b.length_px; })
      ->choice;
}

}  // namespace risetrace::sticker
