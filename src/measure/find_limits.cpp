#include "measure/find_limits.h"

#include <algorithm>
#include <cmath>

#include "base/rounded.h"

namespace risetrace::measure {
namespace {

class Finder {
 public:
  Finder(const Setup& setup, const ExpectedError& expected, const model::CheckLimits& limits)
      : setup_(setup), expected_(expected), limits_(limits) {}

  std::vector<Finding> all() {
    look_at_card();
    look_at_sticker();
    look_at_light();
    look_at_room();
    look_at_camera();
    look_at_clock();
    std::stable_sort(findings_.begin(), findings_.end(), before);
    return std::move(findings_);
  }

 private:
  void look_at_card();
  void look_at_place_of_card();
  void look_at_sticker();
  void look_at_light();
  void look_at_room();
  void look_at_floor();
  void look_at_camera();
  void look_at_clock();

  [[nodiscard]] std::optional<double> blur_px() const;
  [[nodiscard]] bool hops() const { return setup_.test == Test::hop; }
  void add(Limit limit, Weight weight, double seen) { findings_.push_back({limit, weight, {}, {}, seen}); }
  void add_cost(Limit limit, std::optional<double> cost_cm, double seen) {
    findings_.push_back({limit, cost_cm ? Weight::costs : Weight::look, cost_cm, {}, seen});
  }
  [[nodiscard]] std::optional<double> cost_cm(ErrorFrom from) const {
    for (const ErrorPart& part : expected_.height_parts) {
      if (part.from == from) return coverage_95 * part.u;
    }
    return std::nullopt;
  }
  [[nodiscard]] bool much(ErrorFrom from) const { return cost_cm(from).value_or(0) > limits_.noted_cost_cm; }
  // By weight, then by cost; a time and a height are each held against what is still good.
  [[nodiscard]] static bool before(const Finding& a, const Finding& b) {
    if (a.weight != b.weight) return a.weight < b.weight;
    const auto size = [](const Finding& f) { return f.cost_cm.value_or(0) + f.cost_ms.value_or(0) / 10; };
    return size(a) > size(b);
  }

  const Setup& setup_;
  const ExpectedError& expected_;
  const model::CheckLimits& limits_;
  std::vector<Finding> findings_;
};

// Of the sticker's or the card's edges, the softer; empty where they are sharp enough.
std::optional<double> Finder::blur_px() const {
  double blur = 0;
  // The sticker's soft edge is a normal curve whose width is the root of twice its variance (sticker/sticker_model.h).
  if (setup_.sticker) blur = setup_.sticker->spot.look.soft_px / std::sqrt(2.0);
  if (setup_.card && setup_.card->look) blur = std::max(blur, setup_.card->look->blur_px);
  const double enough = std::max(limits_.blur_px, limits_.blur_cm * setup_.scale.px_per_cm.value_or(0));
  return blur > enough ? std::optional(blur) : std::nullopt;
}

void Finder::look_at_card() {
  if (setup_.card_trouble) {
    // The times of hops need no scale, and what lies on its side may still be measured along the card.
    add(Limit::card_trouble, hops() || setup_.picture_turned ? Weight::takes_away : Weight::stops, 0);
    return;
  }
  if (!setup_.scale.px_per_cm) {
    add(Limit::no_scale, Weight::takes_away, 0);
    return;
  }
  if (!setup_.card) return;
  const CardSeen& card = *setup_.card;
  const double tilt_deg = setup_.scale.tilt_deg.value_or(0);
  if (blur_px()) {
    // An edge that is not sharp has no sure place: what it says of how the card faces is the blur's.
  } else if (tilt_deg > limits_.tilt_deg) {
    add_cost(Limit::card_tilted, cost_cm(ErrorFrom::card_facing), tilt_deg);
  } else if (cost_cm(ErrorFrom::card_facing).value_or(0) > limits_.facing_cost_cm) {
    add_cost(Limit::card_far_aside, cost_cm(ErrorFrom::card_facing), 0);
  }
  if (std::abs(card.lean_deg) > limits_.lean_deg) {
    add_cost(Limit::card_leans, cost_cm(ErrorFrom::card_lean), std::abs(card.lean_deg));
  }
  if (much(ErrorFrom::card_size)) add_cost(Limit::card_small, cost_cm(ErrorFrom::card_size), *setup_.scale.px_per_cm);
  look_at_place_of_card();
}

void Finder::look_at_place_of_card() {
  const CardSeen& card = *setup_.card;
  if (has_note(setup_.scale.notes, "card-partly-seen")) {
    add(Limit::card_partly, Weight::look, 0);
  } else if (card.to_picture_edge_cm < limits_.card_edge_cm) {
    add(Limit::card_near_edge, Weight::look, card.to_picture_edge_cm);
  }
  if (setup_.distance_m) {
    const double ratio = *setup_.distance_m / card.seen_distance_m;
    if (std::max(ratio, 1 / ratio) > limits_.distance_ratio) {
      add(Limit::distance_differs, Weight::look, card.seen_distance_m);
    }
  }
  // Unless it is stated the distance rests on a usual lens; the phone's may be half as long again.
  const double at_most_m = setup_.distance_m.value_or(limits_.lens_ratio * card.seen_distance_m);
  if (at_most_m < limits_.distance_m) {
    add_cost(Limit::camera_near, cost_cm(ErrorFrom::card_depth), setup_.distance_m.value_or(card.seen_distance_m));
  }
}

void Finder::look_at_sticker() {
  if (setup_.sticker_trouble) {
    add(Limit::sticker_trouble, Weight::stops, 0);
    return;
  }
  if (!setup_.sticker) return;
  const StickerSeen& seen = *setup_.sticker;
  const auto cost = cost_cm(ErrorFrom::sticker_reading);
  const std::size_t before = findings_.size();
  if (seen.spot.look.outer_radius_px < limits_.sticker_radius_px) {
    add_cost(Limit::sticker_small, cost, 2 * seen.spot.look.outer_radius_px);
  }
  if (seen.spot.look.contrast() < limits_.sticker_contrast) {
    add_cost(Limit::sticker_pale, cost, seen.spot.look.contrast());
  }
  if (much(ErrorFrom::sticker_reading) && findings_.size() == before && !blur_px()) {
    add_cost(Limit::reading_unsure, cost, std::max(seen.spot.sigma_px, seen.spot.scatter_px));
  }
  if (seen.others > 0 && !seen.spot.rose) add(Limit::several_stickers, Weight::look, seen.others);
  if (seen.brightest_grey >= limits_.clipped_grey) {
    add(Limit::sticker_clipped, Weight::look, seen.brightest_grey);
  }
}

void Finder::look_at_light() {
  const auto cost = cost_cm(ErrorFrom::sticker_reading);
  const auto* look = setup_.card && setup_.card->look ? &*setup_.card->look : nullptr;
  const bool dark =
      look != nullptr ? look->white_grey < limits_.dark_card_grey : setup_.light.bright_grey < limits_.dark_card_grey;
  if (dark) add_cost(Limit::dark, cost, look != nullptr ? look->white_grey : setup_.light.bright_grey);
  if (look != nullptr && look->white_grey >= limits_.clipped_grey) {
    add(Limit::card_clipped, Weight::look, look->white_grey);
  }
  if (setup_.light.noise_grey > limits_.noise_grey) add_cost(Limit::noisy, cost, setup_.light.noise_grey);
  if (const auto blur = blur_px()) {
    const double card = cost_cm(ErrorFrom::card_facing).value_or(0);
    add_cost(Limit::blurred, cost ? std::optional(std::hypot(*cost, card)) : std::nullopt, *blur);
  }
}

void Finder::look_at_room() {
  const Room& room = setup_.room;
  const double wanted = hops() ? limits_.room_above_hop_cm : limits_.room_above_cm;
  if (room.above_cm && *room.above_cm < limits_.least_room_cm) {
    add(Limit::sticker_leaves, Weight::stops, *room.above_cm);
  } else if (room.above_cm && *room.above_cm < wanted) {
    add(Limit::room_above_short, Weight::look, *room.above_cm);
  }
  if (hops()) look_at_floor();
}

void Finder::look_at_floor() {
  const Room& room = setup_.room;
  if (room.floor_below_cm && *room.floor_below_cm < limits_.floor_margin_cm) {
    const bool gone = *room.floor_below_cm <= 0;
    add(Limit::floor_out_of_view, gone ? Weight::takes_away : Weight::look, *room.floor_below_cm);
  } else if (room.toes_in_view && !*room.toes_in_view) {
    add(Limit::toes_out_of_view, Weight::takes_away, 0);
  } else if (!room.floor_contrast) {
    if (setup_.sticker) add(Limit::floor_not_told, Weight::look, 0);
  } else if (*room.floor_contrast < limits_.floor_contrast) {
    add(Limit::sole_pale, Weight::look, *room.floor_contrast);
  }
}

void Finder::look_at_camera() {
  if (!setup_.sway_px) {
    add(Limit::camera_unknown, Weight::look, 0);
  } else if (*setup_.sway_px > limits_.sway_px) {
    add_cost(Limit::camera_moves, cost_cm(ErrorFrom::camera), *setup_.sway_px);
  }
}

void Finder::look_at_clock() {
  const double rate_hz = setup_.clip.frame_rate_hz;
  if (hops() && rate_hz < limits_.hop_rate_hz) {
    Finding finding{Limit::rate_low, Weight::costs, {}, {}, rate_hz};
    for (const ErrorPart& part : expected_.contact_parts) {
      if (part.from == ErrorFrom::frames) finding.cost_ms = coverage_95 * part.u;
    }
    if (!finding.cost_ms) finding.weight = Weight::look;
    findings_.push_back(finding);
  } else if (!hops() && rate_hz < limits_.raise_rate_hz) {
    add(Limit::rate_low, Weight::look, rate_hz);
  }
  if (setup_.clip.timing_irregular) {
    add(Limit::frames_uneven, Weight::look, static_cast<double>(setup_.clip.frames_missing));
  }
  if (has_note(setup_.clip.notes, "clock-may-be-stretched")) {
    add(Limit::slow_motion_untold, hops() ? Weight::takes_away : Weight::look, rate_hz);
  }
}

}  // namespace

std::vector<Finding> find_limits(const Setup& setup, const ExpectedError& expected, const model::CheckLimits& limits) {
  return Finder(setup, expected, limits).all();
}

std::optional<Error> stopped_by(const Setup& setup, const std::vector<Finding>& findings) {
  if (findings.empty() || findings.front().weight != Weight::stops) return std::nullopt;
  switch (findings.front().limit) {
    case Limit::card_trouble:
      return setup.card_trouble;
    case Limit::sticker_trouble:
      return setup.sticker_trouble;
    default:
      return Error{Fault::sticker_lost,
                   "it will leave the picture at the top after a rise of " +
                       rounded(std::max(0.0, findings.front().seen), 1) + " cm",
                   "turn the camera up, or move it back"};
  }
}

Verdict verdict_of(const Setup& setup, const ExpectedError& expected, const std::vector<Finding>& findings,
                   const model::CheckLimits& limits) {
  const auto any = [&](Weight weight) {
    return std::any_of(findings.begin(), findings.end(), [&](const Finding& f) { return f.weight == weight; });
  };
  if (any(Weight::stops)) return Verdict::not_measurable;
  if (any(Weight::takes_away)) return Verdict::usable;
  // So small a sticker costs little while it is seen, but may be lost in a fast rise.
  const auto small = [](const Finding& f) { return f.limit == Limit::sticker_small; };
  if (std::any_of(findings.begin(), findings.end(), small)) return Verdict::usable;
  // Each limit alone costs no more than is still good, and all together no more either.
  const auto good_cost = [&](const Finding& f) {
    return f.cost_cm.value_or(0) <= limits.good_height_cm && f.cost_ms.value_or(0) <= limits.good_contact_ms;
  };
  if (!std::all_of(findings.begin(), findings.end(), good_cost)) return Verdict::usable;
  const auto within = [](std::optional<double> u, double limit) { return u && coverage_95 * *u <= limit; };
  const bool good = setup.test == Test::hop ? within(expected.contact_u_ms, limits.good_contact_ms)
                                            : within(expected.height_u_cm, limits.good_height_cm);
  return good ? Verdict::good : Verdict::usable;
}

}  // namespace risetrace::measure
