#include "synth/check_scene.h"

#include <algorithm>
#include <cstdio>

#include "synth/hop_plan.h"
#include "synth/leg.h"
#include "synth/movement.h"
#include "synth/photo.h"

namespace risetrace::synth {
namespace {

std::string with_number(const char* form, double value) {
  std::array<char, 160> text{};
  std::snprintf(text.data(), text.size(), form, value);
  return text.data();
}

std::optional<std::string> conflict_in_camera(const Scene& scene) {
  const Camera& camera = scene.camera;
  if (camera.width_px % 2 != 0) return "camera.width_px must be even";
  if (camera.height_px % 2 != 0) return "camera.height_px must be even";
  if (camera.exposure_s > 1.0 / camera.fps)
    return with_number("camera.exposure_s must be at most 1 / fps, %g", 1 / camera.fps);
  if (camera.time_jitter_s > 0.2 / camera.fps) {
    return with_number("camera.time_jitter_s must be at most 0.2 / fps, %g", 0.2 / camera.fps);
  }
  if (scene.file.capture_tag && !scene.file.stored_rate_hz) return "file.capture_tag needs file.stored_rate_hz";
  return std::nullopt;
}

std::optional<std::string> conflict_in_hops(const Scene& scene) {
  const HopSpec& hops = *scene.movement.hops;
  const HopForm& form = hops.form;
  const bool held_up = scene.other_foot && scene.other_foot->held_up;
  if (held_up && scene.other_foot->hops) return "other_foot.hops cannot stand beside other_foot.held_up";
  if (form.lowest_heel_cm >= form.landing_heel_cm)
    return "movement.hops.form.lowest_heel_cm must be under landing_heel_cm";
  if (form.lowest_heel_cm >= form.takeoff_heel_cm)
    return "movement.hops.form.lowest_heel_cm must be under takeoff_heel_cm";
  const double highest_cm = greatest_height_cm(scene) - 1.0;  // the foot stretches on a little in the air
  if (std::max(form.landing_heel_cm, form.takeoff_heel_cm) > highest_cm) {
    return with_number("movement.hops.form: landing_heel_cm and takeoff_heel_cm must be at most %.1f for this foot",
                       highest_cm);
  }
  if (!hops.follow.empty() && !scene.beat) return "movement.hops.follow needs beat";
  const auto knocked = [](const Card& card) { return card.knocked_s.has_value(); };
  if (scene.camera.floor_shake_px > 0 && std::any_of(scene.cards.begin(), scene.cards.end(), knocked)) {
    return "cards: knocked_s cannot stand beside camera.floor_shake_px";
  }
  const std::size_t steps = scene.beat ? scene.beat->steps.size() : 0;
  if (hops.follow.size() > 1 && hops.follow.size() != steps) {
    return "movement.hops.follow must have one entry, or one for each of the " + std::to_string(steps) +
           " steps of beat";
  }
  for (std::size_t i = 0; i < (hops.follow.empty() ? 0 : steps); ++i) {
    const FollowSpec& how = hops.follow[std::min(i, hops.follow.size() - 1)];
    const double bpm = how.follows ? scene.beat->steps[i].bpm : how.own_bpm.value_or(scene.beat->steps[i].bpm);
    const double left_s = 60.0 / bpm - how.contact_s.value_or(hops.rule.contact_s);
    if (left_s < 0.06)
      return with_number("movement.hops: a contact leaves less than 0.06 s of flight at %g per minute", bpm);
  }
  return std::nullopt;
}

std::optional<std::string> conflict_in_movement(const Scene& scene) {
  const std::vector<RepSpec> reps = planned_reps(scene);
  const double greatest_cm = greatest_height_cm(scene);
  for (std::size_t i = 0; i < reps.size(); ++i) {
    const std::string name = "movement.reps[" + std::to_string(i) + "]";
    if (i == 0 && reps[i].floor_cm > 0) return name + ".floor_cm must be 0: the clip starts standing";
    if (reps[i].height_cm <= reps[i].floor_cm) return name + ".height_cm must exceed its floor_cm";
    if (i > 0 && reps[i - 1].height_cm <= reps[i].floor_cm) return name + ".floor_cm must be under the rep before";
    if (reps[i].height_cm > greatest_cm) {
      return name + with_number(".height_cm is more than this foot can rise, %.1f", greatest_cm);
    }
  }
  return std::nullopt;
}

}  // namespace

std::optional<std::string> conflict_in(const Scene& scene) {
  if (auto camera = conflict_in_camera(scene)) return camera;
  if (scene.background.kind == BackgroundKind::photo) {
    const auto photo = read_photo(scene.background.file);
    if (!photo) return photo.error().why;
  }
  const double forward_cm = scene.stickers.heel.forward_cm;
  if (forward_cm > bend_start_cm(scene.leg)) {
    return with_number("stickers.heel.forward_cm must lie behind where the shoe bends, %.1f", bend_start_cm(scene.leg));
  }
  if (scene.movement.hops) return conflict_in_hops(scene);
  if (scene.other_foot && scene.other_foot->hops) return "other_foot.hops needs movement.hops";
  if (scene.other_foot && scene.other_foot->held_up) return "other_foot.held_up needs movement.hops";
  if (scene.camera.floor_shake_px > 0) return "camera.floor_shake_px needs movement.hops";
  return conflict_in_movement(scene);
}

}  // namespace risetrace::synth
