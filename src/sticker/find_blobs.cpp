#include "sticker/find_blobs.h"

#include <algorithm>
#include <cmath>

namespace risetrace::sticker {
namespace {

constexpr double least_ringed_px = 2.6;       // in a smaller sticker a ring cannot be told from the edge's softness,
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

// The palest sticker that is taken for one would change the mean by 10 grey levels.
bool unchanged(const clip::GreyPicture& before, const clip::GreyPicture& now, const Extreme& at) {
  constexpr int most_change = 4;  // grey levels, the mean of what noise does included
  const auto reach = static_cast<int>(1.2 * at.radius_px);
  const int x0 = std::max(0, static_cast<int>(at.px.x) - reach);
  const int x1 = std::min(now.width, static_cast<int>(at.px.x) + reach + 1);
  const int y0 = std::max(0, static_cast<int>(at.px.y) - reach);
  const int y1 = std::min(now.height, static_cast<int>(at.px.y) + reach + 1);
  int sum = 0;
  for (int y = y0; y < y1; ++y) {
    const std::ptrdiff_t row = static_cast<std::ptrdiff_t>(y) * now.width;
    for (int x = x0; x < x1; ++x) sum += std::abs(now.grey[row + x] - before.grey[row + x]);
  }
  return sum < most_change * (x1 - x0) * (y1 - y0);
}

// After a few rounds the ring already stands out the other way than its disc, or hardly yet.
bool may_be_ringed(const Look& look) {
  constexpr double hardly = 15;  // grey levels
  return look.ring_step * look.disc_step < 0 || std::abs(look.ring_step) < hardly;
}

std::optional<Fit> look_closely(const clip::GreyPicture& picture, const Extreme& at, const BlobOptions& options) {
  const Look widest = look_of_size(false, 1.7 * at.radius_px, 1.0);
  return fit_unknown_spot(clip::patch_of(picture, fit_box(at.px, widest)), at.px, at.radius_px, options);
}

// Where the extreme is no more than noise away from what it was and its surroundings look as they did.
const Looked* remembered(const BlobMemory& memory, const clip::GreyPicture& picture, const Extreme& at) {
  constexpr int most_searches = 4;          // then it is looked at anew: light that changes slowly
  constexpr double same_place_radii = 0.6;  // noise shifts an extreme by a pixel of its shrunk picture
  if (memory.picture.width != picture.width || memory.picture.height != picture.height) return nullptr;
  const auto same = [&](const Looked& l) {
    return l.searches_ago < most_searches && l.at.radius_px == at.radius_px &&
           std::hypot(l.at.px.x - at.px.x, l.at.px.y - at.px.y) < same_place_radii * at.radius_px;
  };
  const auto found = std::find_if(memory.looked.begin(), memory.looked.end(), same);
  return found != memory.looked.end() && unchanged(memory.picture, picture, at) ? &*found : nullptr;
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
  // What a disc explains so much less of is no disc, nor one in a ring: of 483 ringed spots on rendered and filmed
  // clips the disc alone explained 0.71 and more.
  const double worth_a_ring = options.least_explained - 0.15;
  FitOptions quick = loose;
  quick.most_pixels = 120;
  quick.most_iterations = 7;
  const auto try_ring = [&](double outer_px, double share) {
    const Look ring = look_of_size(true, outer_px, share);
    const std::optional<Fit> hint = fit_sticker(patch, place_px, ring, quick);
    if (hint && hint->explained > worth_settling && may_be_ringed(hint->look)) {
      consider(fit_sticker(patch, place_px, ring, loose));
    }
  };
  const Look start = look_of_size(false, radius_px, 1.0);
  const std::optional<Fit> glance = fit_sticker(patch, place_px, start, quick);
  if (!glance || glance->explained < worth_more) return std::nullopt;
  const std::optional<Fit> disc = fit_sticker(patch, glance->centre_px, glance->look, loose);
  if (!disc || disc->explained < worth_a_ring) return std::nullopt;
  consider(disc);
  // Where that found a disc, a ring would lie around it; else the spot may be ring and disc together.
  const double inner_px = best ? best->look.outer_radius_px : radius_px;
  for (const double share : {0.58, 0.7, 0.82}) try_ring(inner_px / share, share);
  if (!best || !best->look.ringed) try_ring(radius_px, 0.68);
  const auto settled = [&](const std::optional<Fit>& fit) {  // with all pixels now
    const auto again = fit ? fit_sticker(patch, fit->centre_px, fit->look, {}) : std::nullopt;
    return again && acceptable(*again, options) ? again : std::nullopt;
  };
  const std::optional<Fit> chosen = settled(best);
  return chosen ? chosen : settled(disc);
}

std::vector<Fit> find_blobs(const clip::GreyPicture& picture, const BlobOptions& options, BlobMemory& memory) {
  BlobMemory now;
  std::vector<Fit> blobs;
  for (const Extreme& at : find_extremes(picture, options.greatest_radius_px)) {
    const Looked* before = remembered(memory, picture, at);
    now.looked.push_back(before != nullptr ? Looked{at, before->fit, before->searches_ago + 1}
                                           : Looked{at, look_closely(picture, at, options), 0});
    const std::optional<Fit>& fit = now.looked.back().fit;
    if (!fit) continue;
    const auto twin = std::find_if(blobs.begin(), blobs.end(), [&](const Fit& b) { return same_place(b, *fit); });
    if (twin == blobs.end()) {
      blobs.push_back(*fit);
    } else if (spot_score(*fit) > spot_score(*twin)) {
      *twin = *fit;
    }
  }
  now.picture = picture;
  memory = std::move(now);
  std::sort(blobs.begin(), blobs.end(), [](const Fit& a, const Fit& b) { return spot_score(a) > spot_score(b); });
  if (blobs.size() > static_cast<std::size_t>(options.most_blobs)) {
    blobs.resize(static_cast<std::size_t>(options.most_blobs));
  }
  return blobs;
}

std::vector<Fit> find_blobs(const clip::GreyPicture& picture, const BlobOptions& options) {
  BlobMemory nothing;
  return find_blobs(picture, options, nothing);
}

}  // namespace risetrace::sticker
