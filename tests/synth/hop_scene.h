// Scenes of hops for tests.
#pragma once

#include "seen.h"

namespace risetrace::synth::test {

// Four hops by rule, nothing random but their jitter.
inline Movement hop_movement() {
  Movement movement;
  movement.hops.emplace().rule.count = 4;
  movement.lead_in_s = 0.5;
  movement.tail_s = 0.5;
  return movement;
}

inline Scene hop_scene() {
  Scene scene;
  scene.movement = hop_movement();
  return scene;
}

// A white shoe on a black leg before black; nothing else is bright.
inline Scene bare_hop_scene() {
  Scene scene = bare_scene();
  scene.movement = hop_movement();
  scene.camera.fps = 240;
  scene.camera.px_per_cm = 12;
  scene.camera.height_cm = 12;
  scene.camera.x_cm = 14;
  scene.camera.exposure_s = 0;
  scene.camera.blur_px = 0.3;
  const Colour white{1, 1, 1};
  for (Colour* colour : {&scene.leg.shoe, &scene.leg.sole, &scene.leg.sock}) *colour = white;
  return scene;
}

}  // namespace risetrace::synth::test
