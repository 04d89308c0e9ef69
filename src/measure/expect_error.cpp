#include "measure/expect_error.h"

#include <algorithm>
#include <cmath>

#include "measure/height_budget.h"

namespace risetrace::measure {
namespace {

std::optional<double> joined(std::vector<ErrorPart>& parts) {
  std::stable_sort(parts.begin(), parts.end(), [](const ErrorPart& a, const ErrorPart& b) { return a.u > b.u; });
  if (parts.empty()) return std::nullopt;
  double sum = 0;
  for (const ErrorPart& part : parts) sum += part.u * part.u;
  return std::sqrt(sum);
}

ErrorFrom from(scale::DoubtFrom doubt) {
  switch (doubt) {
    case scale::DoubtFrom::fit:
    case scale::DoubtFrom::pointing:
      return ErrorFrom::card_size;
    case scale::DoubtFrom::print:
      return ErrorFrom::card_print;
    case scale::DoubtFrom::plane_offset:
      return ErrorFrom::card_depth;
    case scale::DoubtFrom::card_stance:
    case scale::DoubtFrom::view:
      return ErrorFrom::card_facing;
    case scale::DoubtFrom::focal_length:
    case scale::DoubtFrom::distortion:
      return ErrorFrom::lens;
  }
  return ErrorFrom::card_size;
}

// As those of a measured height (measure/height_budget.h): what each of the scale's doubts does to a rise straight up
// from where the sticker is now.
void add_scale_parts(const Setup& setup, double rise_cm, std::vector<ErrorPart>& parts) {
  const auto px_from_cm = setup.scale.cm_from_px->inverse();
  if (!px_from_cm) return;
  const Point foot_px = setup.sticker->spot.px;
  const Point foot_cm = setup.scale.cm_from_px->map(foot_px);
  const Point top_px = px_from_cm->map({foot_cm.x, foot_cm.y + rise_cm});
  for (const scale::ScaleDoubt& doubt : setup.scale.doubts) {
    const double off_cm = doubt.map(top_px).y - doubt.map(foot_px).y - rise_cm;
    const ErrorFrom source = from(doubt.from);
    const auto part = std::find_if(parts.begin(), parts.end(), [&](const ErrorPart& p) { return p.from == source; });
    if (part == parts.end()) {
      parts.push_back({source, std::abs(off_cm)});
    } else {
      part->u = std::hypot(part->u, off_cm);
    }
  }
}

// Whether the card leans or the camera is held askew a clip does not tell: heights are taken along the card's upright
// edge, which is then off by anything from nothing to all of the lean (rectangular, JCGM 100:2008, 4.3.7).
void add_lean_part(const Setup& setup, const model::CheckLimits& limits, std::vector<ErrorPart>& parts) {
  if (!setup.card) return;
  const double all_cm = limits.forward_cm * std::sin(std::abs(setup.card->lean_deg) * M_PI / 180);
  parts.push_back({ErrorFrom::card_lean, all_cm / std::sqrt(3.0)});
}

// A height is the difference of two readings: their noise through the smoothing, and what does not average out over
// frames. Of a hand's sway a part is left when the camera is taken out.
void add_reading_parts(const Setup& setup, const model::Cards& cards, const model::CheckLimits& limits,
                       double smooth_cutoff_hz, std::vector<ErrorPart>& parts) {
  const sticker::Spot& spot = setup.sticker->spot;
  // From frame to frame a hand's tremor looks like noise too; it is the camera's part.
  const bool still = setup.sway_px.value_or(0) < limits.sway_px;
  const double noise_px = still ? std::max(spot.sigma_px, spot.scatter_px) : spot.sigma_px;
  const double kept = noise_shares(smooth_cutoff_hz, std::max(1.0, setup.clip.frame_rate_hz)).kept;
  const double reading_px = std::hypot(std::sqrt(kept) * noise_px, cards.view.localising_u_px);
  parts.push_back({ErrorFrom::sticker_reading, std::sqrt(2.0) * reading_px / *setup.scale.px_per_cm});
  if (!setup.sway_px) return;
  const double left_px = still ? *setup.sway_px : cards.view.sway_left * *setup.sway_px;
  parts.push_back({ErrorFrom::camera, std::sqrt(2.0) * left_px / *setup.scale.px_per_cm});
}

// Above a certain rate times finer than a frame are known to be right; below it, an event may lie anywhere in its
// frame, and the time between two such has a standard deviation of T / sqrt 6.
void add_contact_parts(const Setup& setup, const model::CheckLimits& limits, std::vector<ErrorPart>& parts) {
  const double frame_ms = 1000 / setup.clip.frame_rate_hz;
  const bool below_frame = setup.clip.frame_rate_hz >= limits.below_frame_from_hz;
  parts.push_back({ErrorFrom::frames, below_frame ? limits.contact_of_frame_u * frame_ms : frame_ms / std::sqrt(6.0)});
  parts.push_back({ErrorFrom::program, limits.contact_program_u_ms});
}

}  // namespace

ExpectedError expect_error(const Setup& setup, const model::Cards& cards, const model::CheckLimits& limits,
                           double smooth_cutoff_hz) {
  ExpectedError expected;
  expected.rise_cm = limits.rise_cm;
  const scale::Scale& scale = setup.scale;
  if (setup.sticker && scale.cm_from_px && scale.px_per_cm && scale.px_per_cm_u) {
    add_scale_parts(setup, limits.rise_cm, expected.height_parts);
    add_lean_part(setup, limits, expected.height_parts);
    add_reading_parts(setup, cards, limits, smooth_cutoff_hz, expected.height_parts);
    expected.height_u_cm = joined(expected.height_parts);
  }
  const bool sole_in_view = setup.room.floor_below_cm.value_or(1) > 0 && setup.room.toes_in_view.value_or(true);
  if (setup.test == Test::hop && setup.sticker && setup.clip.frame_rate_hz > 0 && sole_in_view) {
    add_contact_parts(setup, limits, expected.contact_parts);
    expected.contact_u_ms = joined(expected.contact_parts);
  }
  return expected;
}

}  // namespace risetrace::measure
