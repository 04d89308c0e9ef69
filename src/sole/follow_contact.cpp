#include "sole/follow_contact.h"

#include <algorithm>
#include <utility>

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

// The same places for a piece that turns about another pivot.
std::vector<SeenPiece> at_pivot(std::vector<SeenPiece> seen, const ShoePiece& from, const ShoePiece& to) {
  for (SeenPiece& s : seen) s.pose = at_pivot(s.pose, from, to);
  return seen;
}

// The highest edge is the shoe's or lies within it. What lies between it and the next lower one either goes with the
// shoe when that is in the air, and then the lower edge is the shoe's, or stays behind as a shadow does. Columns that
// stay behind are no shoe either.
std::optional<PiecePair> true_piece(const std::vector<PiecePair>& pieces, std::size_t from, const Standing& standing,
                                    const PieceCutting& cutting, const std::vector<SeenPiece>& seen) {
  std::size_t best = from;
  while (best + 1 < pieces.size() && goes_along(pieces[from].sharp, pieces[best + 1].sharp, standing.ground, seen)) {
    ++best;
  }
  const std::vector<SeenPiece> moved = at_pivot(seen, pieces[from].sharp, pieces[best].sharp);
  const std::vector<Point> edge_px = edge_that_goes_along(pieces[best].sharp, standing.ground, moved);
  return cut_piece(standing.ground, standing.soft, edge_px, cutting);
}

}  // namespace

std::optional<FollowedContact> follow_contact(Standing& standing, const PieceCutting& cutting,
                                              const std::vector<std::vector<const Kept*>>& ways) {
  const PieceWhere& where = cutting.where;
  const WalkOptions options{where.px_per_cm, where.forward};
  std::vector<PiecePair> pieces = cut_pieces(standing.ground, standing.soft, cutting);
  std::stable_sort(pieces.begin(), pieces.end(),
                   [](const auto& a, const auto& b) { return a.sharp.floor_row_px < b.sharp.floor_row_px; });
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
    standing.soft.empty = blurred(standing.ground.empty, cutting.soft_reach_px);
    auto piece = true_piece(pieces, i, standing, cutting, seen);
    if (!piece) return std::nullopt;
    std::vector<Place> again = settle_again(standing, pieces[i], *piece, places);
    return FollowedContact{*std::move(piece), std::move(again)};
  }
  return std::nullopt;
}

}  // namespace risetrace::sole
