// A rendered clip of a few hops, seen small, and the sole followed through it.
#pragma once

#include <algorithm>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "model/read_models.h"
#include "place.h"
#include "sole/follow_sole.h"
#include "synth/render.h"
#include "synth/truth.h"

namespace risetrace::sole::test {

// 80 x 45 cm of floor and foot at 8 px a cm, 120 a second; three hops and the last landing.
inline synth::Scene small_hops(double toe_roll_s) {
  synth::Scene scene;
  scene.camera.width_px = 640;
  scene.camera.height_px = 360;
  scene.camera.px_per_cm = 8;
  scene.camera.height_cm = 12;
  scene.camera.x_cm = 12;
  scene.camera.fps = 120;
  scene.camera.exposure_s = 0.003;
  scene.camera.noise_grey = 1.5;
  scene.cards.clear();
  scene.file.full_range = true;
  scene.movement.hops.emplace().rule.count = 3;
  scene.movement.hops->form.toe_roll_s = toe_roll_s;
  scene.movement.lead_in_s = 0.5;
  scene.movement.tail_s = 0.5;
  return scene;
}

struct Filmed {
  std::vector<clip::Frame> frames;
  synth::Truth truth;
};

inline clip::Frame frame_of(const synth::RenderedFrame& rendered, bool mirrored) {
  const synth::StoredPlane& luma = rendered.planes[0];
  auto owned = std::make_shared<std::vector<std::uint8_t>>(luma.bytes);
  for (int y = 0; mirrored && y < luma.height; ++y) {
    const auto row = owned->begin() + static_cast<std::ptrdiff_t>(y) * luma.width;
    std::reverse(row, row + luma.width);
  }
  clip::Frame frame;
  frame.number = rendered.index;
  frame.time_s = rendered.time_s;
  frame.width_px = luma.width;
  frame.height_px = luma.height;
  frame.luma = {owned->data(), luma.width, luma.width, luma.height};
  frame.full_range = true;
  frame.owner = owned;
  return frame;
}

inline Filmed filmed(const synth::Scene& scene, bool mirrored = false) {
  const auto models = model::read_models(risetrace::test::source_folder() / "models");
  Filmed out;
  if (!models) return out;
  synth::Renderer renderer(scene, models->cards);
  while (const auto rendered = renderer.next()) out.frames.push_back(frame_of(*rendered, mirrored));
  out.truth = synth::truth_of(scene, models->cards, models->heel_raise);
  return out;
}

// With the heel's sticker where it was drawn; what a tracker adds is another room's.
inline Clearance followed(const Filmed& film, bool mirrored = false) {
  const double width = film.truth.width_px;
  const auto heel_at = [&](const synth::TruthFrame& frame) {
    return Point{mirrored ? width - 1 - frame.heel_px.x : frame.heel_px.x, frame.heel_px.y};
  };
  Point low;
  for (const auto& frame : film.truth.frames) {
    if (heel_at(frame).y > low.y) low = heel_at(frame);
  }
  SoleFollower follower({film.truth.px_per_cm, mirrored ? -1.0 : 1.0, low.y, low.x});
  for (std::size_t i = 0; i < film.frames.size(); ++i) {
    follower.push(film.frames[i], heel_at(film.truth.frames[i]), std::nullopt);
  }
  return follower.finish();
}

}  // namespace risetrace::sole::test
