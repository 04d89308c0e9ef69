// Patches of one thing that does not bend, found again all together: shift, turn and size of a card or a background.
//
// Lucas & Kanade's method (1981, Proc IJCAI 674, from memory; slopes taken from the patch as first seen, Baker &
// Matthews 2004, Int J Comput Vis 56:221, from memory), solved for the four numbers of a similarity with all patches at
// once. Four because a camera far from a flat thing does little else to it: turned by an angle t it also bends the
// picture, by about t x^2 / f at x pixels from the middle, 0.1 px between card and sticker for a sway of 20 px; and a
// free homography, fitted to a card of 200 px, would multiply its noise at a sticker 400 px away. Patches all over a
// picture do see it bend, by 2 px at its sides, and are fitted with that too: two numbers more. With shift and turn
// from 16 corners of tags the sticker's place has a noise of some hundredths of a pixel. A thing that flickers or is
// lit anew is matched after its mean and contrast are made alike.
#pragma once

#include <optional>
#include <vector>

#include "base/geometry.h"
#include "camera/marked_patch.h"
#include "math/similarity.h"

namespace risetrace::camera {

// The reference view -> a frame's upright pixels p, then p + u (bend . u), u from the picture's middle to p.
struct GroupMap {
  math::Similarity px_from_ref;
  Point bend;  // 1 / px; 0 for a card

  [[nodiscard]] Point map(Point ref, Point middle_px) const;
  // The similarity that does most nearly the same about a place of the reference view.
  [[nodiscard]] math::Similarity about(Point ref, Point middle_px) const;
};

struct GroupFit {
  GroupMap map;
  int visible = 0;              // patches that look as they did
  std::vector<Point> agreeing;  // the places, in the reference view, of those that also move with most others
  // Standard deviation of the map near the patches, from how they scatter about it and how unlike they look: noise, and
  // what compression does.
  double noise_px = 0.0;
};

struct FitEffort {
  int rounds = 1;
  int reach_px = 3;  // how far the patches may be from where they are thought to be
};

class PatchGroup {
 public:
  PatchGroup() = default;
  // Patches all over a picture with this middle, in upright pixels: the map may bend.
  explicit PatchGroup(Point picture_middle_px) : bends_about_(picture_middle_px) {}
  // `ref_from_cut`: from the picture the patch was cut from to the reference view.
  void add(MarkedPatch patch, const math::Similarity& ref_from_cut);
  // Forgets the patches whose middle lies inside.
  void drop_inside(Box ref_box);
  // The four patches farthest out towards the corners.
  [[nodiscard]] PatchGroup outermost() const;
  [[nodiscard]] std::size_t size() const { return patches_.size(); }
  // In the reference view: the patches' mean place, and the root of their mean square distance from it.
  [[nodiscard]] Point middle() const { return middle_; }
  [[nodiscard]] double spread_px() const { return spread_px_; }

  // Empty: fewer than three patches agree.
  [[nodiscard]] std::optional<GroupFit> fit(const clip::Frame& frame, const GroupMap& about,
                                            const FitEffort& effort) const;
  // For a thing that has jumped: the shift, up to `reach_px` and to a pixel or two, at which the patches together look
  // most like the frame. Empty where they nowhere do. Costs about a millisecond.
  [[nodiscard]] std::optional<GroupMap> search(const clip::Frame& frame, const GroupMap& about, int reach_px) const;

 private:
  struct Watched {
    MarkedPatch patch;
    math::Similarity ref_from_cut;
    Point ref;  // its middle in the reference view
    double mean = 0.0;
    double square = 0.0;  // mean square of the grey levels about their mean
  };
  struct Seen;
  struct CommonStep;
  using Looked = std::vector<const Watched*>;
  [[nodiscard]] Seen look(const Watched& watched, const clip::Patch& window, const GroupMap& map) const;
  [[nodiscard]] std::optional<CommonStep> common_step(const Looked& looked, std::vector<Seen>& seen) const;
  [[nodiscard]] Point middle_px() const { return bends_about_.value_or(Point{}); }
  void measure_spread();

  std::vector<Watched> patches_;
  Point middle_;
  double spread_px_ = 0.0;
  std::optional<Point> bends_about_;
};

}  // namespace risetrace::camera
