#include "measure/check_clip.h"

#include <algorithm>
#include <cmath>

#include "clip/read_ahead.h"
#include "math/statistics.h"
#include "measure/expect_error.h"
#include "measure/find_limits.h"
#include "measure/look_at_setup.h"
#include "sole/camera_shift.h"

namespace risetrace::measure {
namespace {

constexpr std::int64_t least_frames = 15;  // as measure asks

// What the rooms say of each frame until the time is over.
struct Looking {
  Looking(const model::Cards& cards, const CheckOptions& options)
      : card(cards, options.scale),
        tracker({options.test == Test::hop ? sticker::Movement::hop : sticker::Movement::raise, options.heel_px,
                 std::nullopt}) {}

  scale::ScaleFinder card;
  sticker::StickerTracker tracker;
  std::optional<Error> sticker_trouble;
  std::optional<sole::CameraShift> camera;
  std::vector<double> shifts_px;  // up and down
  clip::Frame first;

  Outcome look(const clip::Frame& frame);
};

// The leg may move: about the sticker's place nothing tells how the camera moves.
Box leg_box(const clip::Frame& frame, const std::vector<sticker::Spot>& spots) {
  if (spots.empty()) return {0, 0, 0, 0};
  constexpr double reach_radii = 10;  // some 10 cm
  const double reach = reach_radii * spots.front().look.outer_radius_px;
  return {static_cast<int>(spots.front().px.x - reach), 0, static_cast<int>(2 * reach),
          std::min(frame.height_px, static_cast<int>(spots.front().px.y + reach))};
}

Outcome Looking::look(const clip::Frame& frame) {
  card.push(frame);
  if (!sticker_trouble) {
    const auto samples = tracker.push(frame);
    if (!samples && samples.error().fault == Fault::option_wrong) return samples.error();
    if (!samples) sticker_trouble = samples.error();
  }
  if (!camera) {
    first = frame;
    camera.emplace(leg_box(frame, tracker.spots()));
  }
  const Point shift = camera->push(frame);
  if (camera->agreeing() > 0) shifts_px.push_back(shift.y);
  return Done{};
}

std::optional<double> sway_px(const std::vector<double>& shifts) {
  if (shifts.size() < static_cast<std::size_t>(least_frames) / 2) return std::nullopt;
  const double mean = math::mean(shifts);
  double sum = 0;
  for (const double shift : shifts) sum += (shift - mean) * (shift - mean);
  return std::sqrt(sum / static_cast<double>(shifts.size()));
}

void see_card(Setup& setup, const Looking& looking, const clip::GreyPicture& picture, const model::Cards& cards) {
  Result<scale::Scale> scale = looking.card.finish();
  if (!scale) {
    setup.card_trouble = scale.error();
    return;
  }
  setup.scale = *std::move(scale);
  if (setup.scale.from == scale::ScaleFrom::tags || setup.scale.from == scale::ScaleFrom::id_1) {
    setup.card = card_seen(picture, setup, cards);
  }
}

void see_sticker(Setup& setup, const Looking& looking, const clip::GreyPicture& picture,
                 const model::CheckLimits& limits) {
  setup.sticker_trouble = looking.sticker_trouble;
  if (setup.sticker_trouble) return;
  const std::vector<sticker::Spot> spots = looking.tracker.spots();
  Result<StickerSeen> seen = sticker_seen(picture, setup, spots, limits);
  if (!seen) {
    setup.sticker_trouble = seen.error();
    return;
  }
  setup.sticker = *std::move(seen);
  setup.room = room_around(picture, setup, spots, limits);
}

}  // namespace

Result<Check> check_clip(const std::string& path, const model::Cards& cards, const CheckOptions& options) {
  if (auto right = scale::check(options.scale); !right) return right.error();
  Result<clip::ClipReader> opened = clip::ClipReader::open(path, options.read);
  if (!opened) return opened.error();
  const double rate_hz = std::max(1.0, opened->facts().frame_rate_hz);
  opened->stop_after(std::min(options.limits.look_s, options.limits.look_frames / rate_hz));
  clip::ReadAhead reader(*std::move(opened));
  Looking looking(cards, options);
  while (true) {
    Result<std::optional<clip::Frame>> frame = reader.next();
    if (!frame) return frame.error();
    if (!*frame) break;
    if (auto looked = looking.look(**frame); !looked) return looked.error();
  }
  Check check;
  Setup& setup = check.setup;
  setup.test = options.test;
  setup.clip = reader.facts();
  setup.looked_s = setup.clip.duration_s;
  if (setup.clip.frames < least_frames) {
    return Error{Fault::clip_too_short, "it has " + std::to_string(setup.clip.frames) + " frames",
                 "film the runner standing for two or three seconds"};
  }
  setup.bank_card = options.scale.card == scale::CardKind::id_1;
  setup.card_offset_cm = options.scale.card_offset_cm;
  setup.distance_m = options.scale.distance_m;
  const clip::GreyPicture picture = clip::upright_picture(looking.first);
  see_card(setup, looking, picture, cards);
  see_sticker(setup, looking, picture, options.limits);
  setup.light = clip::light_of(picture, options.limits.clipped_grey);
  setup.sway_px = sway_px(looking.shifts_px);
  check.expected = expect_error(setup, cards, options.limits, options.smooth_cutoff_hz);
  check.findings = find_limits(setup, check.expected, options.limits);
  check.verdict = verdict_of(setup, check.expected, check.findings, options.limits);
  check.stopped_by = stopped_by(setup, check.findings);
  check.first = looking.first;
  return check;
}

}  // namespace risetrace::measure
