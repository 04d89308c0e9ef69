// One contact: the shoe cut out where it stands and followed into the air on either side, where its edge shows. Inside
// of sole/.
#pragma once

#include <optional>
#include <vector>

#include "sole/walk_contact.h"

namespace risetrace::sole {

struct FollowedContact {
  PiecePair piece;  // that was followed
  std::vector<Place> places;
  std::vector<Point> edge_px;  // of the shoe as it stands, as it shows in the air
};

// `pieces`: guesses, the one with the highest edge first. `ways`: the frames from the middle of the contact to the top
// of a flight, one or two of them. Empty: none of the pieces is ever seen in the air. `standing` is left with what is
// known of the floor once the shoe is known.
std::optional<FollowedContact> follow_contact(Standing& standing, const PieceWhere& where,
                                              const std::vector<PiecePair>& pieces,
                                              const std::vector<std::vector<const Kept*>>& ways);

}  // namespace risetrace::sole
