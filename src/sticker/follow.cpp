#include "sticker/follow.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "sticker/sticker_model.h"

namespace risetrace::sticker {
namespace {

constexpr double least_explained = 0.55;   // below, the fit is not the sticker
constexpr double plainly_explained = 0.8;  // above, no second look is needed
// Ours: over 90 of our clips, blurred, dark, flickering and out of focus among them, the shape of a sticker in full
// view differed from the one followed by no more than 0.10, of a half covered one by 0.2 to 0.5.
constexpr double most_change = 0.2;
constexpr double most_smear = 0.4;
constexpr int look_known_after = 10;  // fits
constexpr double as_well_as_usual = 0.05;
constexpr double as_plain_as_usual = 0.08;
// Of a sticker of about a centimetre's radius: of a hopping heel in the air twice gravity, of a rising one a tenth.
constexpr double hardest_stop_radii_s2 = 2000;
constexpr double slow_stop_radii_s2 = 100;
constexpr double most_relit = 1.8;  // a camera that hunts for its exposure, while a hand goes past

// The sticker drawn on a grid of `step` pixels, ground zero.
cv::Mat drawn(Look look, int half, double step) {
  look.soft_px = std::max(look.soft_px, step);  // the grid is a lens too
  Pixels grid;
  const int side = 2 * half + 1;
  const auto pixels = static_cast<Eigen::Index>(side) * side;
  grid.x.resize(pixels);
  grid.y.resize(pixels);
  grid.grey.setZero(pixels);
  for (int i = 0; i < side * side; ++i) {
    const int row = i / side;
    grid.x(i) = static_cast<float>((i % side - half) * step);
    grid.y(i) = static_cast<float>((row - half) * step);
  }
  Evaluation drawing;
  evaluate(grid, parameters_of({0, 0}, look, 0, all_parameters), look.ringed, drawing);
  return cv::Mat(side, side, CV_32F, drawing.shape.data()).clone();
}

double blend(double from, double to, double share) { return from + share * (to - from); }

// Of patches of one size.
double mean_change(const clip::Patch& a, const clip::Patch& b) {
  double sum = 0;
  for (std::size_t i = 0; i < a.grey.size(); ++i) sum += std::abs(a.grey[i] - b.grey[i]);
  return sum / static_cast<double>(a.grey.size());
}

}  // namespace

Follower::Follower(const Fit& first, double time_s, bool jerky)
    : look_(first.look),
      first_look_(first.look),
      place_px_(first.centre_px),
      time_s_(time_s),
      jerky_(jerky),
      sigma_px_(first.sigma_px),
      usual_explained_(first.explained) {}

bool Follower::same_sticker(const Fit& fit, double time_s) const {
  const double size = fit.look.outer_radius_px / first_look_.outer_radius_px;
  const double contrast = fit.look.contrast() / first_look_.contrast();
  return fit.explained >= least_explained && size > 0.6 && size < 1.6 && contrast > 0.25 && contrast < 3.0 &&
         fit.look.disc_step * first_look_.disc_step > 0 && fit.look.roundness() > 0.35 && same_shape(fit, time_s);
}

bool Follower::as_plain_as_before(const Fit& fit) const {
  const double contrast = fit.look.contrast() / look_.contrast();
  return fit.explained > usual_explained_ - as_plain_as_usual && contrast > 1 / most_relit && contrast < most_relit;
}

// From frame to frame a sticker's size and shape change by hundredths; what is left of one half covered, or the edge of
// what covers it, differs by tenths. So does one that is smeared over its own way while it goes on as it went. One that
// is found anew must be as plain as before: a logo beside it waits to be taken for it.
bool Follower::same_shape(const Fit& fit, double time_s) const {
  if (times_seen_ < look_known_after) return true;
  const double step_s = time_s - time_s_;
  const Point gone{fit.centre_px.x - place_px_.x, fit.centre_px.y - place_px_.y};
  const double off_way_px = std::hypot(gone.x - velocity_px_s_.x * step_s, gone.y - velocity_px_s_.y * step_s);
  const bool on_its_way = frames_lost_ == 0 && off_way_px < 1.5 * look_.outer_radius_px;
  const bool thrown = frames_lost_ == 0 && jerky_;
  if (!on_its_way && !thrown && !as_plain_as_before(fit)) return false;
  const double growth = std::log(fit.look.outer_radius_px / look_.outer_radius_px);
  const double change = std::hypot(fit.look.stretch - look_.stretch, fit.look.shear - look_.shear);
  if (std::abs(growth) < most_change && change < most_change) return true;
  const bool smeared = (on_its_way || thrown) && std::hypot(gone.x, gone.y) > look_.outer_radius_px / 2;
  return smeared && growth > -most_change && growth < most_smear && change < most_smear;
}

// As in the frame before. Where that was too short to be seen, what the speed would make with the shutter open for half
// of the time between frames.
Point Follower::likely_way_px(double time_s) const {
  constexpr double seen_px = 0.7;
  if (std::hypot(look_.motion_px.x, look_.motion_px.y) > seen_px) return look_.motion_px;
  const double half_s = (time_s - time_s_) / 2;
  const Point way{velocity_px_s_.x * half_s, velocity_px_s_.y * half_s};
  return std::hypot(way.x, way.y) > seen_px ? way : Point{};
}

std::optional<Fit> Follower::look_near(const clip::Frame& frame, Point predicted_px) const {
  Look moving = look_;
  moving.motion_px = likely_way_px(frame.time_s);
  Look wide = moving;
  wide.outer_radius_px *= 1.2;  // room for the centre to move within the patch
  const clip::Patch patch = clip::upright_patch(frame, fit_box(predicted_px, wide));
  // What no sticker explains well is none, or is half hidden: its exact place is nothing to spend time on.
  const bool worth_placing = usual_explained_ > plainly_explained;
  std::optional<Fit> fit = worth_placing ? place_sticker(patch, predicted_px, moving) : std::nullopt;
  if (fit && same_sticker(*fit, frame.time_s) && fit->explained > plainly_explained) return fit;
  const std::optional<Fit> about = fit_sticker(patch, predicted_px, look_, {});
  if (!about || !same_sticker(*about, frame.time_s)) return std::nullopt;
  if (!worth_placing) return about;
  moving = about->look;
  moving.motion_px = likely_way_px(frame.time_s);
  fit = place_sticker(patch, about->centre_px, moving);
  return fit && same_sticker(*fit, frame.time_s) ? fit : about;
}

std::optional<Fit> Follower::search_around(const clip::Frame& frame, Point predicted_px, double reach_px) const {
  const double step = std::max(1.0, look_.outer_radius_px / 4);  // the sticker about nine grid steps across
  const int half = static_cast<int>(std::ceil(1.3 * look_.outer_radius_px / step));
  const int reach = static_cast<int>(std::ceil(reach_px + half * step));
  const clip::Patch patch =
      clip::upright_patch(frame, {static_cast<int>(std::lround(predicted_px.x)) - reach,
                                  static_cast<int>(std::lround(predicted_px.y)) - reach, 2 * reach + 1, 2 * reach + 1});
  const cv::Mat whole(patch.box.height, patch.box.width, CV_32F, const_cast<float*>(patch.grey.data()));
  const cv::Size small(static_cast<int>(patch.box.width / step), static_cast<int>(patch.box.height / step));
  const cv::Mat sticker = drawn(look_, half, step);
  if (small.width < sticker.cols || small.height < sticker.rows) return std::nullopt;
  cv::Mat shrunk;
  cv::resize(whole, shrunk, small, 0, 0, cv::INTER_AREA);
  cv::Mat likeness;
  cv::matchTemplate(shrunk, sticker, likeness, cv::TM_CCOEFF_NORMED);
  std::optional<Fit> best;
  for (int attempt = 0; attempt < 3; ++attempt) {
    double value = 0;
    cv::Point at;
    cv::minMaxLoc(likeness, nullptr, &value, nullptr, &at);
    if (value < 0.5) break;
    const double scale_x = static_cast<double>(patch.box.width) / small.width;
    const double scale_y = static_cast<double>(patch.box.height) / small.height;
    const Point place{patch.box.x0 + (at.x + half + 0.5) * scale_x - 0.5,
                      patch.box.y0 + (at.y + half + 0.5) * scale_y - 0.5};
    const std::optional<Fit> fit = look_near(frame, place);
    if (fit && (!best || fit->explained > best->explained)) best = fit;
    if (best && best->explained > plainly_explained) break;
    cv::circle(likeness, at, std::max(1, half / 2), cv::Scalar(-1), cv::FILLED);
  }
  return best;
}

void Follower::accept(const Fit& fit, const clip::Frame& frame) {
  const double step_s = frame.time_s - time_s_;
  if (step_s > 0 && frames_lost_ == 0) {
    velocity_px_s_ = {(fit.centre_px.x - place_px_.x) / step_s, (fit.centre_px.y - place_px_.y) / step_s};
  } else {
    velocity_px_s_ = {0, 0};
  }
  place_px_ = fit.centre_px;
  time_s_ = frame.time_s;
  frames_lost_ = 0;
  sigma_px_ = fit.sigma_px;
  ++times_seen_;
  usual_explained_ = blend(usual_explained_, fit.explained, 0.05);
  // The look follows slowly: the foot turns and the light changes, but a hand passing over must not be learnt.
  if (fit.explained > plainly_explained) {
    constexpr double share = 0.2;
    if (fit.explained > usual_explained_ - as_well_as_usual || times_seen_ < look_known_after) {
      look_.outer_radius_px = blend(look_.outer_radius_px, fit.look.outer_radius_px, share);
      look_.inner_share = blend(look_.inner_share, fit.look.inner_share, share);
      look_.stretch = blend(look_.stretch, fit.look.stretch, share);
      look_.shear = blend(look_.shear, fit.look.shear, share);
    }
    look_.soft_px = blend(look_.soft_px, fit.look.soft_px, share);
    look_.motion_px = fit.look.motion_px;  // the speed changes from frame to frame
    look_.ring_step = blend(look_.ring_step, fit.look.ring_step, share);
    look_.disc_step = blend(look_.disc_step, fit.look.disc_step, share);
  }
  still_ = clip::upright_patch(frame, fit_box(place_px_, look_));
}

// The picture before once more: to the byte, or as a second coding leaves it. Then little has changed anywhere, and
// here far less than if the sticker had moved on as it did, or stopped as hard as it may in the air.
bool Follower::repeated(const clip::Frame& frame, double step_s) const {
  const double move_px = std::hypot(velocity_px_s_.x, velocity_px_s_.y) * step_s;
  if (move_px < 1.0 || still_.grey.empty()) return false;
  const clip::Patch now = clip::upright_patch(frame, still_.box);
  if (now.grey == still_.grey) return true;
  if (!frame.like_last) return false;
  const double radius = look_.outer_radius_px;
  const double stop_radii = (jerky_ ? hardest_stop_radii_s2 : slow_stop_radii_s2) * step_s * step_s;
  if (move_px < 1.0 + stop_radii * radius || now.grey.size() != still_.grey.size()) return false;
  // A disc that moves by d changes a strip of d times its width, by the contrast.
  const double side = std::sqrt(static_cast<double>(now.grey.size()));
  const double moved_change = look_.contrast() * 2 * radius * std::min(move_px, radius) / (side * side);
  return mean_change(now, still_) < 0.25 * moved_change;
}

TrackSample Follower::follow(const clip::Frame& frame) {
  const double step_s = frame.time_s - time_s_;
  Point predicted = place_px_;
  if (frames_lost_ == 0 && repeated(frame, step_s)) {
    return {frame.number, frame.time_s, place_px_, false, true, 0.0};
  }
  if (frames_lost_ == 0) {
    predicted.x += velocity_px_s_.x * step_s;
    predicted.y += velocity_px_s_.y * step_s;
  }
  std::optional<Fit> fit = look_near(frame, predicted);
  // A spot that is never explained well is not looked for all around in every frame.
  if (!fit || fit->explained < std::min(plainly_explained, usual_explained_ - as_plain_as_usual)) {
    const double moved = std::hypot(predicted.x - place_px_.x, predicted.y - place_px_.y);
    const double radius = look_.outer_radius_px;
    // Half of 150 m/s2 over the time since it was seen, for a sticker of about a centimetre's radius.
    const double thrown_radii = jerky_ ? std::min(12.0, 7500 * step_s * step_s) : 0;
    const double reach =
        std::min((1.5 + thrown_radii) * radius + moved + 4 + 2.0 * frames_lost_, (10 + thrown_radii) * radius + 20);
    const std::optional<Fit> found = search_around(frame, predicted, reach);
    if (found && (!fit || found->explained > fit->explained + 0.05)) fit = found;
  }
  TrackSample sample{frame.number, frame.time_s, place_px_, false, false, 0.0};
  if (fit) {
    accept(*fit, frame);
    sample.px = fit->centre_px;
    sample.seen = true;
    sample.fit = fit->explained;
  } else {
    ++frames_lost_;
    velocity_px_s_ = {0, 0};
  }
  return sample;
}

bool Follower::unchanged(const clip::Frame& frame) const {
  if (still_.grey.empty() || frames_lost_ > 0) return false;
  const clip::Patch now = clip::upright_patch(frame, still_.box);
  if (now.grey.size() != still_.grey.size()) return false;
  // The mean of absolute differences of noise alone is 1.13 sigma; a sticker that moved by a tenth of its radius gives
  // several times that.
  return mean_change(now, still_) < std::max(1.5, 0.03 * look_.contrast());
}

}  // namespace risetrace::sticker
