#include "sticker/track_sticker.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "sticker/excursion.h"
#include "sticker/find_blobs.h"
#include "sticker/follow.h"

namespace risetrace::sticker {
namespace {

constexpr double look_again_s = 1.0;  // between searches of the whole picture
constexpr double long_gap_s = 0.5;    // what a spot did while unseen for longer is not known
constexpr double least_seen_share = 0.7;
constexpr double give_up_s = 1.5;          // a spot lost for so long is dropped while searching
constexpr double least_cycle_radii = 2.5;  // a raise lifts the sticker by more than its own width
constexpr double least_look_score =
    28.0;  // below, it is a lace, a seam, a shadow: nothing a person would call a sticker
constexpr double least_roundness_now = 0.45;
constexpr double least_cycle_px = 10.0;
constexpr double moved_px = 1.5;           // beyond what noise does to a still spot
constexpr int most_skipped = 4;            // a still spot is fitted in every fifth frame, for the standing level's sake
constexpr double wait_for_others_s = 0.4;  // the spots of one leg come down together, give or take
constexpr double share_of_greatest = 0.55;  // knee, ankle and heel rise together; the forefoot hardly does
constexpr double share_of_best_look = 0.45;
constexpr double doubtful_look = 0.8;

struct Candidate {
  Follower follower;
  std::vector<TrackSample> samples;
  Excursion excursion;
  double look_score = 0.0;
  double last_fit = 0.0;
  double last_seen_s = 0.0;
  double sigma_sum_px = 0.0;
  int sigma_count = 0;
  int seen = 0;  // samples that saw it
  bool strayed = false;
  int skipped = 0;  // frames in a row in which it was not fitted, since nothing around it changed
};

Candidate candidate_from(const Fit& fit, const clip::Frame& frame) {
  Candidate c{Follower(fit, frame.time_s), {}, {}, spot_score(fit), fit.explained, frame.time_s, 0, 0, 0, false, 0};
  return c;
}

TrackSample follow(Candidate& c, const clip::Frame& frame, bool skip_still) {
  TrackSample sample;
  const bool never_moved = c.excursion.rise_px() < moved_px;
  if (skip_still && never_moved && c.skipped < most_skipped && c.follower.unchanged(frame)) {
    ++c.skipped;
    sample = {frame.number, frame.time_s, c.follower.place_px(), true, false, c.last_fit};
  } else {
    c.skipped = 0;
    const Point before = c.follower.place_px();
    const bool was_lost = c.follower.frames_lost() > 0;
    sample = c.follower.follow(frame);
    // A spot that never moved, was lost and is found elsewhere is another spot.
    c.strayed = skip_still && never_moved && was_lost && sample.seen &&
                std::hypot(sample.px.x - before.x, sample.px.y - before.y) > c.follower.look().outer_radius_px;
    if (sample.seen) {
      c.last_fit = sample.fit;
      c.sigma_sum_px += c.follower.last_sigma_px();
      ++c.sigma_count;
    }
  }
  if (sample.seen) {
    if (frame.time_s - c.last_seen_s > long_gap_s) c.excursion.break_off();
    c.last_seen_s = frame.time_s;
    c.excursion.push(sample.px);
    ++c.seen;
  }
  c.samples.push_back(sample);
  return sample;
}

bool is_heel_like(const Candidate& c, double travel_px) {
  return c.seen >= least_seen_share * static_cast<double>(c.samples.size()) && c.look_score >= least_look_score &&
         c.follower.look().roundness() >= least_roundness_now &&
         travel_px >= std::max(least_cycle_px, least_cycle_radii * c.follower.look().outer_radius_px);
}

std::string at(Point px) {
  return "(" + std::to_string(std::lround(px.x)) + ", " + std::to_string(std::lround(px.y)) + ")";
}

}  // namespace

struct StickerTracker::Inside {
  explicit Inside(const TrackOptions& asked) : options(asked) {}

  TrackOptions options;
  std::vector<Candidate> candidates;
  std::optional<std::size_t> chosen;
  std::optional<double> last_search_s;
  std::optional<double> first_cycle_s;
  bool any_spot = false;
  Notes notes;

  Outcome start_by_hand(const clip::Frame& frame);
  void search(const clip::Frame& frame);
  void drop_lost(double time_s);
  void choose();
  void consider(double time_s);
};

Outcome StickerTracker::Inside::start_by_hand(const clip::Frame& frame) {
  const Point heel = *options.heel_px;
  if (heel.x < 0 || heel.y < 0 || heel.x > frame.width_px - 1 || heel.y > frame.height_px - 1) {
    return Error{Fault::option_wrong,
                 "--heel " + at(heel) + " lies outside the picture of " + std::to_string(frame.width_px) + " x " +
                     std::to_string(frame.height_px) + " pixels",
                 "give the sticker's place in the first frame, x right and y down from the top left"};
  }
  BlobOptions loose;
  loose.least_contrast = 10;
  loose.least_explained = 0.6;
  std::optional<Fit> best;
  for (const double radius : {3.0, 5.0, 8.0, 12.0, 18.0, 26.0, 36.0}) {
    Look look;
    look.outer_radius_px = 2 * radius;
    const std::optional<Fit> fit =
        fit_unknown_spot(clip::upright_patch(frame, fit_box(heel, look)), heel, radius, loose);
    if (!fit) continue;
    const double off = std::hypot(fit->centre_px.x - heel.x, fit->centre_px.y - heel.y);
    if (off > fit->look.outer_radius_px + 4) continue;
    if (!best || spot_score(*fit) > spot_score(*best)) best = fit;
  }
  if (!best) {
    return Error{Fault::sticker_not_found, "nothing round stands out at " + at(heel) + " in the first frame",
                 "point --heel at the middle of the sticker"};
  }
  candidates.push_back(candidate_from(*best, frame));
  any_spot = true;
  chosen = 0;
  return Done{};
}

void StickerTracker::Inside::search(const clip::Frame& frame) {
  last_search_s = frame.time_s;
  for (const Fit& fit : find_blobs(clip::upright_picture(frame), {})) {
    const bool known = std::any_of(candidates.begin(), candidates.end(), [&](const Candidate& c) {
      const Point p = c.follower.place_px();
      return std::hypot(p.x - fit.centre_px.x, p.y - fit.centre_px.y) < fit.look.outer_radius_px;
    });
    if (!known) candidates.push_back(candidate_from(fit, frame));
    any_spot = true;
  }
}

void StickerTracker::Inside::drop_lost(double time_s) {
  std::erase_if(candidates, [&](const Candidate& c) { return c.strayed || time_s - c.last_seen_s > give_up_s; });
}

// Of the spots that travelled about as far as the one that travelled farthest, and that look about as good as the best
// of them, the heel is the lowest: ankle, knee and hip rise with it but sit above it.
void StickerTracker::Inside::choose() {
  double farthest = 0;
  for (const Candidate& c : candidates) {
    const double t = c.excursion.cycle_px();
    if (is_heel_like(c, t)) farthest = std::max(farthest, t);
  }
  if (farthest == 0) return;
  std::vector<std::size_t> moving;
  double best_look = 0;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    const double t = candidates[i].excursion.cycle_px();
    if (!is_heel_like(candidates[i], t) || t < share_of_greatest * farthest) continue;
    moving.push_back(i);
    best_look = std::max(best_look, candidates[i].look_score);
  }
  for (const std::size_t i : moving) {
    if (candidates[i].look_score < share_of_best_look * best_look) continue;
    if (!chosen || candidates[i].excursion.rest_y_px() > candidates[*chosen].excursion.rest_y_px()) chosen = i;
  }
  if (candidates[*chosen].look_score < doubtful_look * best_look) {
    notes.push_back({"sticker-choice-doubtful",
                     "more than one spot rises and falls with the heel; the one followed began at " +
                         at(candidates[*chosen].samples.front().px) +
                         " and is not the clearest of them: look at the overlay, or give --heel X,Y",
                     std::nullopt});
  }
}

void StickerTracker::Inside::consider(double time_s) {
  if (!first_cycle_s) {
    for (const Candidate& c : candidates) {
      if (is_heel_like(c, c.excursion.cycle_px())) first_cycle_s = time_s;
    }
    return;
  }
  if (time_s - *first_cycle_s >= wait_for_others_s) choose();
}

StickerTracker::StickerTracker(const TrackOptions& options) : inside_(std::make_unique<Inside>(options)) {}
StickerTracker::StickerTracker(StickerTracker&&) noexcept = default;
StickerTracker& StickerTracker::operator=(StickerTracker&&) noexcept = default;
StickerTracker::~StickerTracker() = default;

Result<std::vector<TrackSample>> StickerTracker::push(const clip::Frame& frame) {
  Inside& in = *inside_;
  if (in.options.heel_px && !in.chosen) {
    if (const Outcome started = in.start_by_hand(frame); !started) return started.error();
  }
  if (in.chosen) return std::vector<TrackSample>{follow(in.candidates[*in.chosen], frame, false)};
  if (!in.last_search_s || frame.time_s - *in.last_search_s >= look_again_s) in.search(frame);
  for (Candidate& c : in.candidates) follow(c, frame, true);
  in.drop_lost(frame.time_s);
  in.consider(frame.time_s);
  if (!in.chosen) return std::vector<TrackSample>{};
  std::vector<TrackSample> known = in.candidates[*in.chosen].samples;
  std::swap(in.candidates.front(), in.candidates[*in.chosen]);
  in.candidates.erase(in.candidates.begin() + 1, in.candidates.end());
  in.chosen = 0;
  return known;
}

Result<Track> StickerTracker::finish() {
  Inside& in = *inside_;
  if (!in.chosen) in.choose();
  if (!in.chosen) {
    if (in.any_spot) return Error{Fault::no_movement, "round spots were seen, but none rose and came down again", ""};
    return Error{Fault::sticker_not_found, "nothing round and high in contrast was seen in the picture", ""};
  }
  Candidate& heel = in.candidates[*in.chosen];
  Track track;
  track.found_by = in.options.heel_px ? FoundBy::hand : FoundBy::search;
  track.radius_px = heel.follower.look().outer_radius_px;
  track.noise_px = heel.sigma_count > 0 ? heel.sigma_sum_px / heel.sigma_count : 0;
  track.samples = std::move(heel.samples);
  track.notes = in.notes;
  const auto seen = [](const TrackSample& s) { return s.seen; };
  track.frames_seen = std::count_if(track.samples.begin(), track.samples.end(), seen);
  const auto last = std::find_if(track.samples.rbegin(), track.samples.rend(), seen).base();
  track.frames_bridged = std::count_if(track.samples.begin(), last, [](const TrackSample& s) { return !s.seen; });
  track.frames_repeated =
      std::count_if(track.samples.begin(), track.samples.end(), [](const TrackSample& s) { return s.repeated; });
  return track;
}

}  // namespace risetrace::sticker
