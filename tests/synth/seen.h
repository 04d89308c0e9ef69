// What a rendered frame shows, found without the renderer's help.
#pragma once

#include <cmath>
#include <string>

#include "model/read_models.h"
#include "place.h"
#include "synth/read_scene.h"
#include "synth/render.h"
#include "synth/truth.h"

namespace risetrace::synth::test {

inline model::Models models() {
  auto read = model::read_models(risetrace::test::source_folder() / "models");
  return read ? *read : model::Models{};
}

inline Truth truth_for(const Scene& scene) {
  const model::Models all = models();
  return truth_of(scene, all.cards, all.heel_raise);
}

inline double grey_at(const RenderedFrame& frame, int x, int y) {
  const StoredPlane& luma = frame.planes[0];
  const std::size_t at =
      static_cast<std::size_t>(y) * static_cast<std::size_t>(luma.width) + static_cast<std::size_t>(x);
  if (frame.bits == 8) return luma.bytes[at];
  return (luma.bytes[2 * at] + 256 * luma.bytes[2 * at + 1]) / 4.0;
}

// Centre of the light above `ground` in a square of side 2 * reach + 1 about a guess, stored pixels.
inline Point centroid(const RenderedFrame& frame, Point guess, int reach, double ground) {
  const int x0 = static_cast<int>(std::lround(guess.x));
  const int y0 = static_cast<int>(std::lround(guess.y));
  double sum = 0;
  Point moment;
  for (int y = y0 - reach; y <= y0 + reach; ++y) {
    for (int x = x0 - reach; x <= x0 + reach; ++x) {
      const double light = grey_at(frame, x, y) - ground;
      sum += light;
      moment.x += light * x;
      moment.y += light * y;
    }
  }
  return {moment.x / sum, moment.y / sum};
}

// A white sticker on a black shoe and leg before a dark wall: nothing else is bright near it. Gamma off, so that grey
// levels are light and their centre is the sticker's.
inline Scene bare_scene() {
  Scene scene;
  scene.camera.width_px = 480;
  scene.camera.height_px = 400;
  scene.camera.noise_grey = 0;
  scene.camera.gamma = false;
  scene.cards.clear();
  scene.light.shadow = false;
  scene.background.kind = BackgroundKind::bricks;  // the one without a pale skirting board
  const Colour black{0, 0, 0};
  for (Colour* colour : {&scene.leg.skin, &scene.leg.shoe, &scene.leg.sole, &scene.leg.sock, &scene.leg.shorts,
                         &scene.background.wall, &scene.background.second, &scene.background.floor}) {
    *colour = black;
  }
  scene.stickers.heel.kind = StickerKind::white;
  scene.file.codec = CodecName::hevc_10bit;  // finer grey levels
  return scene;
}

}  // namespace risetrace::synth::test
