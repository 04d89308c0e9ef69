// The front of the shoe followed from the middle of a contact outwards, frame by frame. Inside of sole/.
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "base/geometry.h"
#include "sole/shoe_piece.h"
#include "sole/strip.h"

namespace risetrace::sole {

// Of one frame; places as the picture lay in the first frame.
struct Kept {
  Strip strip;
  std::optional<Point> heel_px;
  std::optional<Point> forefoot_px;
};

// What one contact is measured against.
struct Standing {
  const Kept* middle = nullptr;  // its heel was seen
  Ground ground;
  Ground soft;
};

struct WalkOptions {
  double px_per_cm = 10.0;
  double forward = 1;  // +1: the toes point right in the picture

  [[nodiscard]] int soft_reach_px() const { return std::max(2, static_cast<int>(std::lround(0.3 * px_per_cm))); }
};

struct Place {
  const Kept* kept = nullptr;
  PieceFit fit;
};

// Along `way`, which begins in the middle of the contact, where the piece lies `right_px` from where it was cut. Ends
// where it is lost.
std::vector<Place> walk_contact(const Standing& standing, const PiecePair& piece, const std::vector<const Kept*>& way,
                                double right_px, const WalkOptions& options);

// The places found with a rough piece, looked at once more with a better one, cut where the shoe stands. Where that
// leads to no possible place the rough one's stays.
std::vector<Place> settle_again(const Standing& standing, const PiecePair& rough, const PiecePair& piece,
                                const std::vector<Place>& places, const WalkOptions& options);

}  // namespace risetrace::sole
