#include "sole/follow_contact.h"

#include <algorithm>
#include <utility>

#include "sole/edge_in_air.h"

namespace risetrace::sole {
namespace {

constexpr double surely_up_cm = 0.4;       // off the ground, whatever the fit is worth
constexpr double hanging_cm = 0.15;        // about the top of a flight the shoe moves by so much
constexpr double hanging_share = 0.85;     // of the way up the shoe may hide what it is to be told from
constexpr std::size_t most_sightings = 4;  // of one flight

double up_px(const ShoePiece& piece, const Place& place) { return clearance_px(piece, place.fit.pose); }

// The piece in frames in which the shoe is surely in the air, evenly on its way up.
std::vector<SeenPiece> sightings(const ShoePiece& piece, const std::vector<Place>& places, double px_per_cm) {
  double top_px = 0;
  for (const Place& place : places) top_px = std::max(top_px, up_px(piece, place));
  std::vector<const Place*> flying;
  for (const Place& place : places) {
    const double up = up_px(piece, place);
    if (up > surely_up_cm * px_per_cm && up < hanging_share * top_px) flying.push_back(&place);
  }
  std::vector<SeenPiece> seen;
  const std::size_t count = std::min(most_sightings, flying.size());
  for (std::size_t i = 0; i < count; ++i) {
    const Place& place = *flying[(2 * i + 1) * flying.size() / (2 * count)];
    seen.push_back({&place.kept->strip, place.fit.pose});
  }
  return seen;
}

// The highest edge is the shoe's or lies within it. What lies between it and a lower one either goes with the
// shoe when that is in the air, and then the lower edge is the shoe's, or mostly stays behind as a shadow does. Columns
// that stay behind are no shoe either.
std::vector<Point> true_edge(const std::vector<PiecePair>& pieces, std::size_t followed, const Ground& ground,
                             std::vector<SeenPiece> seen, const PieceWhere& where) {
  std::size_t best = followed;
  while (best + 1 < pieces.size() && goes_along(pieces[followed].sharp, pieces[best + 1].sharp, ground, seen)) ++best;
  for (SeenPiece& s : seen) s.pose = at_pivot(s.pose, pieces[followed].sharp, pieces[best].sharp);
  return edge_that_goes_along(pieces[best].sharp, ground, seen, where);
}

}  // namespace

std::optional<FollowedContact> follow_contact(Standing& standing, const PieceWhere& where,
                                              const std::vector<PiecePair>& pieces,
                                              const std::vector<std::vector<const Kept*>>& ways) {
  const WalkOptions options{where.px_per_cm, where.forward};
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    const ShoePiece& rough = pieces[i].sharp;
    std::vector<Place> places;
    std::vector<SeenPiece> seen;
    Plate empty = standing.ground.empty;
    for (const std::vector<const Kept*>& way : ways) {
      const std::vector<Place> found = walk_contact(standing, pieces[i], way, 0.0, options);
      const std::vector<SeenPiece> some = sightings(rough, found, where.px_per_cm);
      seen.insert(seen.end(), some.begin(), some.end());
      places.insert(places.end(), found.begin(), found.end());
      if (some.empty()) continue;
      // At the top the floor lies bare, but higher up the shoe itself hangs in the picture of it: what is behind it
      // there is not known.
      const auto top = std::max_element(found.begin(), found.end(), [&](const Place& a, const Place& b) {
        return up_px(rough, a) < up_px(rough, b);
      });
      hide_shoe(empty, rough, top->fit.pose, where.forward, hanging_cm * where.px_per_cm);
    }
    if (seen.empty()) continue;
    standing.ground.empty = std::move(empty);
    return FollowedContact{pieces[i], std::move(places), true_edge(pieces, i, standing.ground, std::move(seen), where)};
  }
  return std::nullopt;
}

}  // namespace risetrace::sole
