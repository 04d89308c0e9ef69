#include "synth/truth.h"

#include <algorithm>
#include <cmath>

#include "synth/bystanders.h"
#include "synth/clock.h"
#include "synth/expected_set.h"
#include "synth/motion.h"
#include "synth/placed_card.h"
#include "synth/truth_hops.h"
#include "synth/truth_leg.h"

namespace risetrace::synth {
namespace {

// Root of the area that a small square about the spot takes in the picture over its own area.
double px_per_cm_about(const View& view, Spot middle, Spot along, Spot up) {
  const double step = 0.01;
  const auto at = [&](const Spot& way, double by) {
    const auto px = view.stored_px({middle.x + by * way.x, middle.y + by * way.y, middle.z + by * way.z}, 0.0);
    return px ? view.upright_px(*px) : Point{};
  };
  const Point right = at(along, step);
  const Point left = at(along, -step);
  const Point above = at(up, step);
  const Point below = at(up, -step);
  const double area = (right.x - left.x) * (above.y - below.y) - (right.y - left.y) * (above.x - below.x);
  return std::sqrt(std::abs(area)) / (2 * step);
}

Spot difference(Spot a, Spot b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }

TruthCard truth_card(const PlacedCard& card, const model::Cards& cards, const View& view) {
  TruthCard out;
  out.kind = card.kind();
  out.offset_cm = card.spec().offset_cm;
  const auto corners_px = [&](const std::array<Point, 4>& corners_cm) {
    std::vector<Point> px;
    for (const Point& corner : corners_cm) {
      const auto caught = view.caught([&](double) { return card.spot_cm(corner, 0.0); }, 0.0);
      if (caught) px.push_back(view.upright_px(caught->stored_px));
    }
    return px;
  };
  const Point half = card.half_cm();
  out.outline_px = corners_px({Point{-half.x, half.y}, half, Point{half.x, -half.y}, Point{-half.x, -half.y}});
  if (card.kind() == CardKind::tags) {
    for (const model::TagPattern& tag : cards.tags.tags) {
      out.tag_ids.push_back(tag.id);
      out.tags_px.push_back(corners_px(model::tag_corners_cm(cards.tags, tag)));
    }
  }
  const Spot middle = card.spot_cm({0, 0}, 0.0);
  out.px_per_cm = px_per_cm_about(view, middle, difference(card.spot_cm({1, 0}, 0.0), middle),
                                  difference(card.spot_cm({0, 1}, 0.0), middle));
  return out;
}

constexpr double standing_s = -1e9;  // long before any movement

struct Heel {
  const Scene& scene;
  Motion motion;
  View view;

  [[nodiscard]] TruthFrame in(const FrameTime& frame, int index) const {
    TruthFrame out;
    out.index = index;
    out.time_s = frame.time_s;
    out.repeated = frame.repeated;
    if (motion.hops() != nullptr) out.sole = truth_sole(scene, motion, view, frame.shows_s);
    if (motion.hops() == nullptr) out.leg = truth_leg(scene, motion, view, frame.shows_s);
    const auto caught = view.caught([&](double t) { return motion.heel_sticker_cm(t); }, frame.shows_s);
    out.heel_in_picture = caught.has_value();
    if (!caught) return out;
    out.heel_s = caught->time_s;
    out.heel_px = view.upright_px(caught->stored_px);
    out.height_cm = motion.heel_height_cm(caught->time_s);
    out.heel_in_picture = out.heel_px.x > -0.5 && out.heel_px.y > -0.5 && out.heel_px.x < scene.camera.width_px - 0.5 &&
                          out.heel_px.y < scene.camera.height_px - 0.5;
    out.heel_covered = heel_covered(scene, motion, view, index, caught->time_s);
    return out;
  }
};

}  // namespace

Truth truth_of(const Scene& scene, const model::Cards& cards, const model::RaiseProtocol& protocol) {
  const Heel heel{scene, Motion(scene), View(scene)};
  Truth truth;
  truth.width_px = scene.camera.width_px;
  truth.height_px = scene.camera.height_px;
  truth.fps = scene.camera.fps;
  truth.seed = scene.seed;
  truth.title = scene.title;
  truth.px_per_cm = px_per_cm_about(heel.view, heel.motion.heel_sticker_cm(standing_s), {1, 0, 0}, {0, 1, 0});
  truth.heel_radius_px = truth.px_per_cm * scene.stickers.heel.radius_cm;
  truth.heel_absent = scene.stickers.heel.absent;
  for (const FrameTime& frame : frame_times(scene)) {
    TruthFrame now = heel.in(frame, static_cast<int>(truth.frames.size()));
    if (frame.repeated) {  // the picture before, covered or not as it was
      now = truth.frames.back();
      now.index = static_cast<int>(truth.frames.size());
      now.time_s = frame.time_s;
      now.repeated = true;
    }
    truth.frames.push_back(now);
  }
  for (const Card& card : scene.cards) {
    truth.cards.push_back(truth_card(PlacedCard(scene, card, cards), cards, heel.view));
  }
  if (heel.motion.hops() != nullptr) {
    truth.hops = truth_hops(scene, *heel.motion.hops(), truth.frames);
    return truth;
  }
  if (heel.motion.lunges() != nullptr) {
    truth.lunges = truth_lunges(scene, heel.motion, heel.view);
    return truth;
  }
  truth.set = expected_set(heel.motion.raises(), truth.frames.back().time_s, protocol);
  return truth;
}

}  // namespace risetrace::synth
