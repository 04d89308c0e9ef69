// One contact: the shoe cut out where it stands, followed into the air on either side, and cut anew by what is seen
// there. Inside of sole/.
#pragma once

#include <optional>
#include <vector>

#include "sole/walk_contact.h"

namespace risetrace::sole {

struct FollowedContact {
  PiecePair piece;
  std::vector<Place> places;
};

// `ways`: the frames from the middle of the contact to the top of a flight, one or two of them. Empty: no edge stands
// out that could be a shoe's, or none of them is ever seen in the air. `standing` is left with what is known of the
// floor once the shoe is known.
std::optional<FollowedContact> follow_contact(Standing& standing, const PieceCutting& cutting,
                                              const std::vector<std::vector<const Kept*>>& ways);

}  // namespace risetrace::sole
