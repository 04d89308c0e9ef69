#include "sticker/fit_by_hand.h"

#include <cmath>

#include "sticker/find_blobs.h"

namespace risetrace::sticker {

std::string at_px(Point px) {
  return "(" + std::to_string(std::lround(px.x)) + ", " + std::to_string(std::lround(px.y)) + ")";
}

Result<Fit> fit_by_hand(const clip::Frame& frame, Point place, const std::string& option) {
  if (place.x < 0 || place.y < 0 || place.x > frame.width_px - 1 || place.y > frame.height_px - 1) {
    return Error{Fault::option_wrong,
                 option + " " + at_px(place) + " lies outside the picture of " + std::to_string(frame.width_px) +
                     " x " + std::to_string(frame.height_px) + " pixels",
                 "give the sticker's place in the first frame, x right and y down from the top left"};
  }
  BlobOptions loose;
  loose.least_contrast = 10;
  loose.least_explained = 0.6;
  std::optional<Fit> best;
  for (const double radius : {3.0, 5.0, 8.0, 12.0, 18.0, 26.0, 36.0}) {
    Look look;
    look.outer_radius_px = 2 * radius;
    const std::optional<Fit> fit =
        fit_unknown_spot(clip::upright_patch(frame, fit_box(place, look)), place, radius, loose);
    if (!fit) continue;
    const double off = std::hypot(fit->centre_px.x - place.x, fit->centre_px.y - place.y);
    if (off > fit->look.outer_radius_px + 4) continue;
    if (!best || spot_score(*fit) > spot_score(*best)) best = fit;
  }
  if (best) return *best;
  return Error{Fault::sticker_not_found, "nothing round stands out at " + at_px(place) + " in the first frame",
               "point " + option + " at the middle of the sticker"};
}

}  // namespace risetrace::sticker
