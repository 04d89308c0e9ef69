#include "sticker/find_blobs.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace risetrace::sticker {
namespace {

struct Spot {
  Point px;
  double radius_px = 0.0;
  double response = 0.0;
};

// Blur widths of the difference of Gaussians, and the radius of the disc each difference answers to most.
constexpr std::array blur_sigma = {1.6, 2.26, 3.2, 4.53};
constexpr double radius_of_sigma = 1.68;
constexpr double least_response = 4.0;   // grey levels; a disc of contrast 20 gives about 5
constexpr std::size_t most_spots = 120;  // of each size, so that fine texture does not crowd out a large pale sticker
constexpr double least_ringed_px = 2.6;  // in a smaller sticker a ring cannot be told from the edge's softness,
constexpr double least_ring_width_px = 0.75;  // nor can a narrower ring
constexpr double sure_ringed_px = 4.5;        // up to here a ring must be plainly one: texture has many like it,
constexpr double plain_ring_step = 45.0;      // of so many grey levels
constexpr double plain_ring_explained = 0.85;

bool plainly_ringed(const Fit& fit) {
  return std::abs(fit.look.ring_step) > plain_ring_step && fit.explained > plain_ring_explained;
}

// An ellipse is explained by much that is no sticker: folds, laces, shadows. One that is far from round must be plain,
// and a small plain disc, whose form a few pixels tell, must not be far from round.
constexpr double aslant_roundness = 0.6;
constexpr double aslant_explained = 0.85;
constexpr double small_disc_px = 4.0;
constexpr double small_disc_roundness = 0.65;

bool plainly_elliptic(const Fit& fit) {
  const double roundness = fit.look.roundness();
  if (!fit.look.ringed && fit.look.outer_radius_px < small_disc_px && roundness < small_disc_roundness) return false;
  return roundness > aslant_roundness || fit.explained > aslant_explained;
}

// Lowe's test: the two curvatures of a spot are alike, those of an edge or a line are not.
bool is_spot(const cv::Mat& d, int x, int y) {
  const auto at = [&](int dx, int dy) { return static_cast<double>(d.at<short>(y + dy, x + dx)); };
  const double xx = at(1, 0) - 2 * at(0, 0) + at(-1, 0);
  const double yy = at(0, 1) - 2 * at(0, 0) + at(0, -1);
  const double xy = (at(1, 1) - at(1, -1) - at(-1, 1) + at(-1, -1)) / 4;
  const double determinant = xx * yy - xy * xy;
  constexpr double ratio = 3.0;
  return determinant > 0 && (xx + yy) * (xx + yy) * ratio < (ratio + 1) * (ratio + 1) * determinant;
}

bool is_extreme(const cv::Mat& d, int x, int y) {
  const short here = d.at<short>(y, x);
  for (int dy = -1; dy <= 1; ++dy) {
    for (int dx = -1; dx <= 1; ++dx) {
      if (dx == 0 && dy == 0) continue;
      const short there = d.at<short>(y + dy, x + dx);
      if (here > 0 ? there > here : there < here) return false;
    }
  }
  return true;
}

void add_spots(const cv::Mat& difference, double radius, double shrink, std::vector<Spot>& spots) {
  constexpr int unit = 16;  // the blurred pictures carry 16ths of a grey level
  for (int y = 2; y < difference.rows - 2; ++y) {
    const short* row = difference.ptr<short>(y);
    for (int x = 2; x < difference.cols - 2; ++x) {
      if (std::abs(row[x]) < least_response * unit) continue;
      if (!is_extreme(difference, x, y) || !is_spot(difference, x, y)) continue;
      const double half = (shrink - 1) / 2;  // pixel centres of the shrunk picture lie between those of the whole
      spots.push_back({{x * shrink + half, y * shrink + half}, radius * shrink, std::abs(row[x]) / double{unit}});
    }
  }
}

std::vector<Spot> spots_at(const cv::Mat& level, double shrink) {
  std::vector<Spot> spots;
  cv::Mat wide;
  level.convertTo(wide, CV_16S, 16.0);
  std::array<cv::Mat, blur_sigma.size()> blurred;
  for (std::size_t i = 0; i < blur_sigma.size(); ++i) {
    cv::GaussianBlur(wide, blurred.at(i), cv::Size(), blur_sigma.at(i), 0, cv::BORDER_REPLICATE);
  }
  for (std::size_t i = 0; i + 1 < blur_sigma.size(); ++i) {
    cv::Mat difference = blurred.at(i) - blurred.at(i + 1);
    add_spots(difference, radius_of_sigma * blur_sigma.at(i), shrink, spots);
  }
  return spots;
}

std::vector<Spot> all_spots(const clip::GreyPicture& picture, const BlobOptions& options) {
  // OpenCV does not write to it; the cast is its interface's, not ours.
  const cv::Mat whole(picture.height, picture.width, CV_8U, const_cast<std::uint8_t*>(picture.grey.data()));
  std::vector<Spot> spots;
  for (const int shrink : {1, 2, 4, 8}) {
    if (radius_of_sigma * blur_sigma[0] * shrink > options.greatest_radius_px) break;
    if (std::min(picture.width, picture.height) / shrink < 12) break;
    cv::Mat level = whole;
    if (shrink > 1) cv::resize(whole, level, cv::Size(), 1.0 / shrink, 1.0 / shrink, cv::INTER_AREA);
    std::vector<Spot> found = spots_at(level, shrink);
    std::sort(found.begin(), found.end(), [](const Spot& a, const Spot& b) { return a.response > b.response; });
    if (found.size() > most_spots) found.resize(most_spots);
    spots.insert(spots.end(), found.begin(), found.end());
  }
  return spots;
}

Look look_of_size(bool ringed, double outer_px, double share) {
  Look look;
  look.ringed = ringed;
  look.outer_radius_px = outer_px;
  look.inner_share = share;
  // Soft at first: a sharp model feels an edge only when it is already upon it.
  look.soft_px = std::max(0.8, 0.15 * outer_px);
  return look;
}

bool acceptable(const Fit& fit, const BlobOptions& options) {
  const Look& look = fit.look;
  // A ring that shades the same way as its disc, or hardly at all, is a soft edge and no ring.
  const double least_step = std::max(12.0, 0.15 * look.contrast());
  const bool ring_true =
      !look.ringed ||
      (look.ring_step * look.disc_step < 0 && std::abs(look.ring_step) > least_step &&
       std::abs(look.disc_step) > least_step && look.inner_share < 0.93 && look.inner_share > 0.35 &&
       look.outer_radius_px > least_ringed_px && (1 - look.inner_share) * look.outer_radius_px > least_ring_width_px);
  const bool small_ring = look.ringed && look.outer_radius_px < sure_ringed_px;
  return ring_true && !(small_ring && !plainly_ringed(fit)) && plainly_elliptic(fit) &&
         fit.explained >= options.least_explained && look.contrast() >= options.least_contrast &&
         look.roundness() >= options.least_roundness && look.outer_radius_px >= options.least_radius_px &&
         look.outer_radius_px <= options.greatest_radius_px && look.soft_px < 0.5 * look.outer_radius_px;
}

bool same_place(const Fit& a, const Fit& b) {
  const double distance = std::hypot(a.centre_px.x - b.centre_px.x, a.centre_px.y - b.centre_px.y);
  return distance < 0.7 * std::max(a.look.outer_radius_px, b.look.outer_radius_px);
}

}  // namespace

double spot_score(const Fit& fit) {
  const double ring_bonus = fit.look.ringed ? 1.5 : 1.0;  // nature and clothing make discs more often than ringed discs
  return fit.explained * fit.explained * std::min(fit.look.contrast(), 120.0) * fit.look.roundness() * ring_bonus;
}

std::optional<Fit> fit_unknown_spot(const clip::Patch& patch, Point place_px, double radius_px,
                                    const BlobOptions& options) {
  FitOptions loose;
  loose.most_pixels = 220;
  loose.most_iterations = 20;
  loose.shape_freedom = 0.25;
  loose.share_freedom = 0.15;
  std::optional<Fit> best;
  const auto consider = [&](const std::optional<Fit>& fit) {
    if (fit && acceptable(*fit, options) && (!best || spot_score(*fit) > spot_score(*best))) best = fit;
  };
  // Most extremes of a picture are corners and texture: a few rounds tell. The disc of a ringed sticker is explained
  // well enough by itself to go on.
  constexpr double worth_more = 0.3;
  constexpr double worth_settling = 0.5;  // of a look that has all its parts; it must come to `least_explained`
  FitOptions quick = loose;
  quick.most_pixels = 120;
  quick.most_iterations = 7;
  const auto try_ring = [&](double outer_px, double share) {
    const Look ring = look_of_size(true, outer_px, share);
    const std::optional<Fit> hint = fit_sticker(patch, place_px, ring, quick);
    if (hint && hint->explained > worth_settling) consider(fit_sticker(patch, place_px, ring, loose));
  };
  const Look start = look_of_size(false, radius_px, 1.0);
  const std::optional<Fit> glance = fit_sticker(patch, place_px, start, quick);
  if (!glance || glance->explained < worth_more) return std::nullopt;
  const std::optional<Fit> disc = fit_sticker(patch, glance->centre_px, glance->look, loose);
  consider(disc);
  // Where that found a disc, a ring would lie around it; else the spot may be ring and disc together.
  const double inner_px = best ? best->look.outer_radius_px : radius_px;
  for (const double share : {0.58, 0.7, 0.82}) try_ring(inner_px / share, share);
  if (!best || !best->look.ringed) try_ring(radius_px, 0.68);
  const auto settled = [&](const std::optional<Fit>& fit) {  // with all pixels now
    const bool worth = fit && fit->explained > worth_settling;
    const auto again = worth ? fit_sticker(patch, fit->centre_px, fit->look, {}) : std::nullopt;
    return again && acceptable(*again, options) ? again : std::nullopt;
  };
  const std::optional<Fit> chosen = settled(best);
  return chosen ? chosen : settled(disc);
}

std::vector<Fit> find_blobs(const clip::GreyPicture& picture, const BlobOptions& options) {
  std::vector<Fit> blobs;
  for (const Spot& spot : all_spots(picture, options)) {
    const Look widest = look_of_size(false, 1.7 * spot.radius_px, 1.0);
    const clip::Patch patch = clip::patch_of(picture, fit_box(spot.px, widest));
    const std::optional<Fit> fit = fit_unknown_spot(patch, spot.px, spot.radius_px, options);
    if (!fit) continue;
    const auto twin = std::find_if(blobs.begin(), blobs.end(), [&](const Fit& b) { return same_place(b, *fit); });
    if (twin == blobs.end()) {
      blobs.push_back(*fit);
    } else if (spot_score(*fit) > spot_score(*twin)) {
      *twin = *fit;
    }
  }
  std::sort(blobs.begin(), blobs.end(), [](const Fit& a, const Fit& b) { return spot_score(a) > spot_score(b); });
  if (blobs.size() > static_cast<std::size_t>(options.most_blobs)) {
    blobs.resize(static_cast<std::size_t>(options.most_blobs));
  }
  return blobs;
}

}  // namespace risetrace::sticker
