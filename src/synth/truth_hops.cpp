#include "synth/truth_hops.h"

#include <algorithm>
#include <cmath>

#include "synth/clock.h"

namespace risetrace::synth {
namespace {

// The first frame that shows the sole at that instant or later; empty where the clip begins after it or ends before.
std::optional<int> first_frame_from(const std::vector<TruthFrame>& frames, double time_s) {
  const auto found = std::find_if(frames.begin(), frames.end(),
                                  [&](const TruthFrame& f) { return f.sole && f.sole->sole_s >= time_s; });
  if (found == frames.end() || (found == frames.begin() && found->sole->sole_s > time_s)) return std::nullopt;
  return found->index;
}

TruthHop hop_of(const Landing& landing, const std::vector<TruthFrame>& frames) {
  TruthHop hop;
  hop.touchdown_s = landing.touchdown_s;
  hop.touchdown_frame = first_frame_from(frames, landing.touchdown_s);
  hop.flight_ms = landing.flight_s * 1000;
  hop.height_cm = gravity_m_s2 * landing.flight_s * landing.flight_s / 8 * 100;
  hop.kind = landing.kind;
  hop.is_hop = landing.is_hop;
  if (landing.step >= 0) hop.step = landing.step;
  if (std::isfinite(landing.takeoff_s)) {
    hop.takeoff_s = landing.takeoff_s;
    hop.takeoff_frame = first_frame_from(frames, landing.takeoff_s);
    hop.contact_ms = (landing.takeoff_s - landing.touchdown_s) * 1000;
  }
  return hop;
}

}  // namespace

TruthSole truth_sole(const Scene& scene, const Motion& motion, const View& view, double shows_s) {
  const LegModel& leg = motion.leg();
  TruthSole out;
  const auto place_px = [&](const auto& spot_at) {
    const auto caught = view.caught(spot_at, shows_s);
    return caught ? view.upright_px(caught->stored_px) : Point{};
  };
  const auto lowest_at = [&](double t) { return leg.in_scene(leg.lowest_of_shoe_cm(motion.pose(t))); };
  const auto lowest = view.caught(lowest_at, shows_s);
  out.sole_s = lowest ? lowest->time_s : shows_s;
  out.lowest_px = place_px(lowest_at);
  const auto floor_px = view.stored_px({lowest_at(out.sole_s).x, 0.0, 0.0}, out.sole_s);
  out.up_px = floor_px ? view.upright_px(*floor_px).y - out.lowest_px.y : 0.0;
  out.in_contact = motion.hops()->in_contact(out.sole_s);
  out.up_cm = planned_clearance_cm(scene, *motion.hops(), out.sole_s);
  out.toe_tip_px = place_px([&](double t) { return motion.spot_cm(Part::foot, leg.toe_tip_point_cm(), t); });
  out.forefoot_px = place_px([&](double t) { return motion.spot_cm(Part::foot, leg.forefoot_sticker_point_cm(), t); });
  return out;
}

TruthHops truth_hops(const Scene& scene, const HopPlan& plan, const std::vector<TruthFrame>& frames) {
  TruthHops out;
  const double end_s = frames.back().sole ? frames.back().sole->sole_s : frames.back().time_s;
  out.first_takeoff_s = plan.first_takeoff_s();
  out.first_takeoff_frame = first_frame_from(frames, out.first_takeoff_s);
  for (const Landing& landing : plan.landings()) {
    if (landing.takeoff_s <= 0 || landing.touchdown_s > end_s) continue;
    out.hops.push_back(hop_of(landing, frames));
    out.hops.back().n = static_cast<int>(out.hops.size());
  }
  const double stretch = stretch_of(scene);
  out.sound_offset_s = scene.sound.offset_s;
  for (const BeatClick& click : beat_clicks(scene)) {
    out.clicks.push_back({click.time_s, (click.time_s + scene.sound.offset_s) * stretch, std::nullopt, click.accent});
    if (click.step >= 0) out.clicks.back().step = click.step;
  }
  const std::vector<BeatSpan> spans = beat_spans(scene);
  const std::vector<FollowSpec>& follow = scene.movement.hops->follow;
  for (std::size_t i = 0; i < spans.size(); ++i) {
    const BeatSpan& span = spans[i];
    TruthStep step{span.bpm, span.first_s, span.from_s, span.to_s, span.beats, 0, false};
    for (const TruthHop& hop : out.hops) step.hops += hop.is_hop && hop.step == static_cast<int>(i) ? 1 : 0;
    step.followed = !follow.empty() && follow[std::min(i, follow.size() - 1)].follows;
    out.steps.push_back(step);
  }
  return out;
}

}  // namespace risetrace::synth
