// The tag card in a whole picture.
#pragma once

#include <array>
#include <map>
#include <memory>
#include <string>

#include "base/geometry.h"
#include "clip/frame.h"
#include "model/card.h"

namespace risetrace::scale {

using Quad =
    std::array<Point, 4>;  // upright pixels; top left, top right, bottom right, bottom left AS DRAWN on the card

struct TagsSeen {
  std::map<int, Quad> quads;  // by the tag's id, the card's own ids only
  bool twice = false;         // an id was seen in two places: two cards
};

// Holds libapriltag's detector. Not for several threads at once.
class TagDetector {
 public:
  TagDetector();
  ~TagDetector();
  TagDetector(const TagDetector&) = delete;
  TagDetector& operator=(const TagDetector&) = delete;
  TagDetector(TagDetector&&) noexcept;
  TagDetector& operator=(TagDetector&&) noexcept;

  // Corners to about half a pixel. `shrink` 1 .. 4: speed against the smallest tag found.
  TagsSeen detect(const clip::GreyPicture& picture, const model::TagCard& card, int shrink);

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::scale
