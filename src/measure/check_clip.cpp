#include "measure/check_clip.h"

#include <algorithm>
#include <cmath>

#include "camera/follow_camera.h"
#include "clip/read_ahead.h"
#include "measure/camera_sway.h"
#include "measure/expect_error.h"
#include "measure/find_limits.h"
#include "measure/judge_camera.h"
#include "measure/look_at_setup.h"
#include "measure/see_frame.h"

namespace risetrace::measure {
namespace {

// What the rooms say of each frame until the time is over.
struct Looking {
  Looking(const model::Cards& cards, const CheckOptions& options)
      : card(cards, options.scale),
        tracker({options.test == Test::hop ? sticker::Movement::hop : sticker::Movement::raise, options.heel_px,
                 std::nullopt}) {}

  camera::CameraFollower camera;
  scale::ScaleFinder card;
  sticker::StickerTracker tracker;
  std::optional<Error> sticker_trouble;
  std::optional<clip::Frame> first;

  Outcome look(const clip::Frame& frame);
};

Outcome Looking::look(const clip::Frame& frame) {
  if (!first) first = frame;
  const camera::View view = see_frame(camera, card, frame);
  if (!sticker_trouble) {
    const auto samples = tracker.push(frame, view);
    if (!samples && samples.error().fault == Fault::option_wrong) return samples.error();
    if (!samples) sticker_trouble = samples.error();
  }
  return Done{};
}

// Where the card is; without one, the picture's middle.
Point sway_place(const Setup& setup, Point picture_middle) {
  if (!setup.card) return picture_middle;
  Point at;
  for (const Point corner : setup.card->outline_px) at = {at.x + corner.x / 4, at.y + corner.y / 4};
  return at;
}

void see_card(Setup& setup, const Looking& looking, const clip::GreyPicture& picture, const model::Cards& cards) {
  Result<scale::Scale> scale = looking.card.finish();
  if (!scale) {
    setup.card_trouble = scale.error();
    return;
  }
  if (auto turned = turn_to_blame(*scale)) {
    setup.card_trouble = *std::move(turned);
    setup.picture_turned = true;
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
  const clip::GreyPicture picture = clip::upright_picture(*looking.first);
  see_card(setup, looking, picture, cards);
  see_sticker(setup, looking, picture, options.limits);
  setup.light = clip::light_of(picture, options.limits.clipped_grey);
  const Point middle{picture.width / 2.0, picture.height / 2.0};
  setup.sway_px = sway_px(looking.camera.finish(), sway_place(setup, middle), options.limits.camera_unseen_share);
  check.expected = expect_error(setup, cards, options.limits, options.smooth_cutoff_hz);
  check.findings = find_limits(setup, check.expected, options.limits);
  check.verdict = verdict_of(setup, check.expected, check.findings, options.limits);
  check.stopped_by = stopped_by(setup, check.findings);
  check.first = *looking.first;
  return check;
}

}  // namespace risetrace::measure
