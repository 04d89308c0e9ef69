#include "measure/expect_error.h"

#include <algorithm>
#include <cmath>

namespace risetrace::measure {
namespace {

std::optional<double> joined(std::vector<ErrorPart>& parts) {
  std::stable_sort(parts.begin(), parts.end(), [](const ErrorPart& a, const ErrorPart& b) { return a.u > b.u; });
  if (parts.empty()) return std::nullopt;
  double sum = 0;
  for (const ErrorPart& part : parts) sum += part.u * part.u;
  return std::sqrt(sum);
}

// The same parts as those of a measured height (measure/judge.h), for a heel where the sticker stands now.
void add_scale_parts(const Setup& setup, const model::Cards& cards, double rise_cm, std::vector<ErrorPart>& parts) {
  const scale::Scale& scale = setup.scale;
  const double all = *scale.px_per_cm_u / *scale.px_per_cm;
  const double depth = cards.plane_offset_u_cm / (100 * scale.distance_m.value_or(1));
  const double size_2 = all * all - depth * depth - cards.print_scale_u * cards.print_scale_u;
  const Point heel_cm = scale.cm_from_px->map(setup.sticker->spot.px);
  const double away_cm = std::hypot(heel_cm.x, 2 * heel_cm.y);
  const double aside =
      away_cm * std::sin(scale.tilt_deg.value_or(0) * M_PI / 180) / (100 * scale.distance_m.value_or(1));
  const double facing = std::hypot(scale.perspective_u_per_cm.value_or(0) * away_cm, aside);
  parts.push_back({ErrorFrom::card_depth, rise_cm * depth});
  parts.push_back({ErrorFrom::card_print, rise_cm * cards.print_scale_u});
  parts.push_back({ErrorFrom::card_size, rise_cm * std::sqrt(std::max(0.0, size_2))});
  parts.push_back({ErrorFrom::card_facing, rise_cm * facing});
}

// Whether the card leans or the camera is held askew a clip does not tell: heights are taken along the card's upright
// edge, which is then off by anything from nothing to all of the lean (rectangular, JCGM 100:2008, 4.3.7).
void add_lean_part(const Setup& setup, const model::CheckLimits& limits, std::vector<ErrorPart>& parts) {
  if (!setup.card) return;
  const double all_cm = limits.forward_cm * std::sin(std::abs(setup.card->lean_deg) * M_PI / 180);
  parts.push_back({ErrorFrom::card_lean, all_cm / std::sqrt(3.0)});
}

// A height is the difference of two readings. White noise through the two-pass filter keeps about 2 fc / fs of its
// variance; the camera's sway is slow and is kept whole.
void add_reading_parts(const Setup& setup, double smooth_cutoff_hz, double sway_limit_px,
                       std::vector<ErrorPart>& parts) {
  const sticker::Spot& spot = setup.sticker->spot;
  // From frame to frame a hand's tremor looks like noise too; it is the camera's part.
  const bool still = setup.sway_px.value_or(0) < sway_limit_px;
  const double noise_cm = (still ? std::max(spot.sigma_px, spot.scatter_px) : spot.sigma_px) / *setup.scale.px_per_cm;
  const double kept = std::min(1.0, 2 * smooth_cutoff_hz / std::max(1.0, setup.clip.frame_rate_hz));
  parts.push_back({ErrorFrom::sticker_reading, std::sqrt(2 * kept) * noise_cm});
  if (setup.sway_px) parts.push_back({ErrorFrom::camera, std::sqrt(2.0) * *setup.sway_px / *setup.scale.px_per_cm});
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
    add_scale_parts(setup, cards, limits.rise_cm, expected.height_parts);
    add_lean_part(setup, limits, expected.height_parts);
    add_reading_parts(setup, smooth_cutoff_hz, limits.sway_px, expected.height_parts);
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
