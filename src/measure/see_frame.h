// What a reader of heel raises and the look at a set-up do with a frame before the sticker is looked for.
#pragma once

#include "camera/follow_camera.h"
#include "scale/find_scale.h"

namespace risetrace::measure {

// Gives the frame to the camera and, with the camera's view, to the card; once the card is found the camera watches it.
inline camera::View see_frame(camera::CameraFollower& camera, scale::ScaleFinder& card, const clip::Frame& frame) {
  const camera::View view = camera.push(frame);
  card.push(frame, view);
  if (!camera.watches_card() && card.found()) camera.watch_card(frame, card.card_quads());
  return view;
}

}  // namespace risetrace::measure
