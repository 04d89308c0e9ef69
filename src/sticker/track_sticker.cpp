#include "sticker/track_sticker.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "sticker/choose_leg.h"
#include "sticker/excursion.h"
#include "sticker/find_blobs.h"
#include "sticker/fit_by_hand.h"
#include "sticker/follow.h"
#include "sticker/scatter.h"

namespace risetrace::sticker {
namespace {

constexpr double look_again_s = 1.0;  // between searches of the whole picture
constexpr double long_gap_s = 0.5;    // what a spot did while unseen for longer is not known
constexpr double least_seen_share = 0.7;
constexpr double give_up_s = 1.5;          // a spot lost for so long is dropped while searching
constexpr double least_cycle_radii = 2.5;  // a raise lifts the sticker by more than its own width
constexpr double least_look_score = 28.0;  // below, it is a lace, a seam, a shadow: no sticker to a person's eye
constexpr double least_roundness_now = 0.45;
constexpr double least_cycle_px = 10.0;
constexpr int most_skipped = 4;            // a still spot is fitted in every fifth frame, for the standing level's sake
constexpr double wait_for_others_s = 0.4;  // the spots of one leg come down together, give or take
constexpr double share_of_greatest = 0.55;  // knee, ankle and heel rise together; the forefoot hardly does
constexpr double share_of_best_look = 0.45;
constexpr double doubtful_look = 0.8;
constexpr double raise_leap = 0.25;             // of the rise, between two frames
constexpr double hop_leap = 0.6;                // 2 m/s at 60 frames a second are 3 cm of some 8
constexpr double hop_share_of_greatest = 0.35;  // the forefoot leaves the ground by half of what the heel rises
constexpr double foot_in_rises = 1.5;           // so far above the lowest spot, in its rises, lies the foot
constexpr double as_high = 0.9;                 // of the greatest rise: as high, for all that can be told
constexpr double level_slope = 0.5;             // heel to forefoot, in the picture: less steep than this
constexpr double least_apart_radii = 6.0;       // heel to forefoot

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

Candidate candidate_from(const Fit& fit, const clip::Frame& frame, Movement movement) {
  return {.follower = Follower(fit, frame.time_s, movement == Movement::hop),
          .samples = {},
          .excursion = Excursion(movement == Movement::hop ? hop_leap : raise_leap),
          .look_score = spot_score(fit),
          .last_fit = fit.explained,
          .last_seen_s = frame.time_s};
}

TrackSample follow(Candidate& c, const clip::Frame& frame, const camera::View& view, bool skip_still) {
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
    if (view.known) c.excursion.push(view.ref_from_px.map(sample.px));
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

}  // namespace

struct StickerTracker::Inside {
  explicit Inside(const TrackOptions& asked) : options(asked) {}

  TrackOptions options;
  std::vector<Candidate> candidates;
  BlobMemory searched;
  std::optional<std::size_t> chosen;           // the heel
  std::optional<std::size_t> chosen_forefoot;  // only with `chosen`
  std::vector<Candidate> leg;                  // ankle, knee and hip, or none of them
  std::optional<double> last_search_s;
  std::optional<double> first_cycle_s;
  bool any_spot = false;
  Notes notes;

  Outcome start_by_hand(const clip::Frame& frame);
  [[nodiscard]] Result<Candidate> spot_by_hand(const clip::Frame& frame, Point place, const char* option) const;
  void search(const clip::Frame& frame);
  void drop_lost(double time_s);
  void choose();
  [[nodiscard]] std::vector<std::size_t> moving_spots() const;
  void choose_among(const std::vector<std::size_t>& moving);
  [[nodiscard]] std::size_t heel_of_foot(const std::vector<std::size_t>& lowest_first) const;
  Outcome start_leg_by_hand(const clip::Frame& frame);
  void keep_leg();
  void keep_chosen();
  void consider(double time_s);
};

Result<Candidate> StickerTracker::Inside::spot_by_hand(const clip::Frame& frame, Point place,
                                                       const char* option) const {
  const Result<Fit> fit = fit_by_hand(frame, place, option);
  return fit ? Result<Candidate>(candidate_from(*fit, frame, options.movement)) : fit.error();
}

Outcome StickerTracker::Inside::start_by_hand(const clip::Frame& frame) {
  Result<Candidate> heel = spot_by_hand(frame, *options.heel_px, "--heel");
  if (!heel) return heel.error();
  candidates.push_back(*std::move(heel));
  chosen = 0;
  any_spot = true;
  if (!options.forefoot_px) return Done{};
  Result<Candidate> forefoot = spot_by_hand(frame, *options.forefoot_px, "--forefoot");
  if (!forefoot) return forefoot.error();
  candidates.push_back(*std::move(forefoot));
  chosen_forefoot = 1;
  return Done{};
}

Outcome StickerTracker::Inside::start_leg_by_hand(const clip::Frame& frame) {
  constexpr std::array names = {"--ankle", "--knee-at", "--hip"};
  for (std::size_t i = 0; i < names.size(); ++i) {
    Result<Candidate> spot = spot_by_hand(frame, options.leg_px->at(i), names.at(i));
    if (!spot) return spot.error();
    leg.push_back(*std::move(spot));
  }
  return Done{};
}

void StickerTracker::Inside::search(const clip::Frame& frame) {
  last_search_s = frame.time_s;
  for (const Fit& fit : find_blobs(clip::upright_picture(frame), {}, searched)) {
    any_spot = true;
    if (spot_score(fit) < least_look_score) break;  // best first: none that follows could be chosen either
    const bool known = std::any_of(candidates.begin(), candidates.end(), [&](const Candidate& c) {
      const Point p = c.follower.place_px();
      return std::hypot(p.x - fit.centre_px.x, p.y - fit.centre_px.y) < fit.look.outer_radius_px;
    });
    if (!known) candidates.push_back(candidate_from(fit, frame, options.movement));
  }
}

void StickerTracker::Inside::drop_lost(double time_s) {
  std::erase_if(candidates, [&](const Candidate& c) { return c.strayed || time_s - c.last_seen_s > give_up_s; });
}

// Those that travelled about as far as the one that travelled farthest and that look about as good as the best of them.
std::vector<std::size_t> StickerTracker::Inside::moving_spots() const {
  const double share = options.movement == Movement::hop ? hop_share_of_greatest : share_of_greatest;
  double farthest = 0;
  for (const Candidate& c : candidates) {
    const double t = c.excursion.cycle_px();
    if (is_heel_like(c, t)) farthest = std::max(farthest, t);
  }
  std::vector<std::size_t> moving;
  double best_look = 0;
  for (std::size_t i = 0; farthest > 0 && i < candidates.size(); ++i) {
    const double t = candidates[i].excursion.cycle_px();
    if (!is_heel_like(candidates[i], t) || t < share * farthest) continue;
    moving.push_back(i);
    best_look = std::max(best_look, candidates[i].look_score);
  }
  std::erase_if(moving, [&](std::size_t i) { return candidates[i].look_score < share_of_best_look * best_look; });
  return moving;
}

// The foot turns about its ball: a logo ahead of the heel may be lower but rises less (half-way to the ball about half
// as far: derived here). What sits above the foot, as on the shorts of one who straightens the knee, may rise more.
std::size_t StickerTracker::Inside::heel_of_foot(const std::vector<std::size_t>& lowest_first) const {
  const auto at = [&](std::size_t i) -> const Excursion& { return candidates[i].excursion; };
  const Excursion& low = at(lowest_first.front());
  const auto foot_end = std::find_if(lowest_first.begin(), lowest_first.end(), [&](std::size_t i) {
    return low.rest_y_px() - at(i).rest_y_px() > foot_in_rises * low.cycle_px();
  });
  double greatest_px = 0;
  for (auto i = lowest_first.begin(); i != foot_end; ++i) greatest_px = std::max(greatest_px, at(*i).cycle_px());
  return *std::find_if(lowest_first.begin(), foot_end,
                       [&](std::size_t i) { return at(i).cycle_px() >= as_high * greatest_px; });
}

// In a hop the whole foot leaves the ground, so the heel is the lowest of what rises about as far, or, where the
// forefoot's sticker goes up too and lies about level with the heel's, that of these two which rises more.
void StickerTracker::Inside::choose_among(const std::vector<std::size_t>& moving) {
  std::vector<std::size_t> lowest_first = moving;
  std::stable_sort(lowest_first.begin(), lowest_first.end(), [&](std::size_t a, std::size_t b) {
    return candidates[a].excursion.rest_y_px() > candidates[b].excursion.rest_y_px();
  });
  chosen = options.movement == Movement::hop ? lowest_first.front() : heel_of_foot(lowest_first);
  if (options.movement != Movement::hop) return;
  const Candidate& low = candidates[lowest_first.front()];
  for (const std::size_t other : lowest_first) {
    const Candidate& c = candidates[other];
    const double dx = std::abs(c.follower.place_px().x - low.follower.place_px().x);
    const double dy = std::abs(c.excursion.rest_y_px() - low.excursion.rest_y_px());
    if (other == lowest_first.front() || dy > level_slope * dx ||
        dx < least_apart_radii * low.follower.look().outer_radius_px) {
      continue;
    }
    const bool low_is_heel = low.excursion.cycle_px() >= c.excursion.cycle_px();
    chosen = low_is_heel ? lowest_first.front() : other;
    chosen_forefoot = low_is_heel ? other : lowest_first.front();
    return;
  }
}

void StickerTracker::Inside::choose() {
  const std::vector<std::size_t> moving = moving_spots();
  if (moving.empty()) return;
  choose_among(moving);
  double best_look = 0;  // the forefoot has its own name: that it is clearer raises no doubt
  for (const std::size_t i : moving) {
    if (i != chosen_forefoot) best_look = std::max(best_look, candidates[i].look_score);
  }
  if (candidates[*chosen].look_score < doubtful_look * best_look) {
    notes.push_back({"sticker-choice-doubtful",
                     "More than one spot rises and falls with the heel; the one followed began at " +
                         at_px(candidates[*chosen].samples.front().px) +
                         " and is not the clearest of them: look at the overlay, or give --heel X,Y.",
                     std::nullopt});
  }
}

void StickerTracker::Inside::keep_leg() {
  if (!leg.empty() || options.movement != Movement::raise) return;
  const auto seen = [](const Candidate& c) {
    return LegCandidate{c.samples, c.follower.look().outer_radius_px, c.look_score, c.excursion.rise_px()};
  };
  std::vector<LegCandidate> others;
  std::transform(candidates.begin(), candidates.end(), std::back_inserter(others), seen);
  const auto choice = choose_leg(others[*chosen], others);
  if (!choice) return;
  if (choice->doubtful) notes.push_back(leg_doubtful());
  for (const std::size_t i : {choice->ankle, choice->knee, choice->hip}) leg.push_back(candidates[i]);
}

// Nothing else is followed from here on.
void StickerTracker::Inside::keep_chosen() {
  keep_leg();
  std::vector<Candidate> kept;
  kept.push_back(std::move(candidates[*chosen]));
  if (chosen_forefoot) kept.push_back(std::move(candidates[*chosen_forefoot]));
  candidates = std::move(kept);
  searched = {};
  chosen = 0;
  if (chosen_forefoot) chosen_forefoot = 1;
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

Result<std::vector<TrackSample>> StickerTracker::push(const clip::Frame& frame, const camera::View& view) {
  Inside& in = *inside_;
  if (in.options.heel_px && !in.chosen) {
    if (const Outcome started = in.start_by_hand(frame); !started) return started.error();
  }
  if (in.options.leg_px && in.leg.empty()) {
    if (const Outcome started = in.start_leg_by_hand(frame); !started) return started.error();
  }
  for (Candidate& c : in.leg) follow(c, frame, view, false);
  if (in.chosen) {
    if (in.chosen_forefoot) follow(in.candidates[*in.chosen_forefoot], frame, view, false);
    return std::vector<TrackSample>{follow(in.candidates[*in.chosen], frame, view, false)};
  }
  if (!in.last_search_s || frame.time_s - *in.last_search_s >= look_again_s) in.search(frame);
  for (Candidate& c : in.candidates) follow(c, frame, view, true);
  in.drop_lost(frame.time_s);
  in.consider(frame.time_s);
  if (!in.chosen) return std::vector<TrackSample>{};
  in.keep_chosen();
  return in.candidates.front().samples;
}

std::span<const TrackSample> StickerTracker::heel() const {
  if (!inside_->chosen) return {};
  return inside_->candidates[*inside_->chosen].samples;
}

std::optional<double> StickerTracker::heel_radius_px() const {
  if (!inside_->chosen) return std::nullopt;
  return inside_->candidates[*inside_->chosen].follower.look().outer_radius_px;
}

std::span<const TrackSample> StickerTracker::forefoot() const {
  if (!inside_->chosen_forefoot) return {};
  return inside_->candidates[*inside_->chosen_forefoot].samples;
}

namespace {

Spot spot_of(const Candidate& c, bool rose) {
  return {.px = c.samples.front().px,
          .look = c.follower.look(),
          .look_score = c.look_score,
          .sigma_px = c.sigma_count > 0 ? c.sigma_sum_px / c.sigma_count : 0,
          .scatter_px = scatter_px(c.samples),
          .rose = rose};
}

Track track_of(const Candidate& spot, FoundBy found_by) {
  Track track;
  track.found_by = found_by;
  track.radius_px = spot.follower.look().outer_radius_px;
  track.noise_px = spot.sigma_count > 0 ? spot.sigma_sum_px / spot.sigma_count : 0;
  track.samples = spot.samples;
  const auto seen = [](const TrackSample& s) { return s.seen; };
  track.frames_seen = std::count_if(track.samples.begin(), track.samples.end(), seen);
  const auto last = std::find_if(track.samples.rbegin(), track.samples.rend(), seen).base();
  track.frames_bridged = std::count_if(track.samples.begin(), last, [](const TrackSample& s) { return !s.seen; });
  track.frames_repeated =
      std::count_if(track.samples.begin(), track.samples.end(), [](const TrackSample& s) { return s.repeated; });
  return track;
}

}  // namespace

std::vector<Spot> StickerTracker::spots() const {
  const Inside& in = *inside_;
  std::vector<Spot> spots;
  if (in.chosen) {
    spots.push_back(spot_of(in.candidates[*in.chosen], !in.options.heel_px));
    if (in.chosen_forefoot) spots.push_back(spot_of(in.candidates[*in.chosen_forefoot], false));
    return spots;
  }
  for (const Candidate& c : in.candidates) {
    if (!c.samples.empty() && c.seen >= least_seen_share * static_cast<double>(c.samples.size()) &&
        c.look_score >= least_look_score && c.follower.look().roundness() >= least_roundness_now) {
      spots.push_back(spot_of(c, false));
    }
  }
  std::stable_sort(spots.begin(), spots.end(),
                   [](const Spot& a, const Spot& b) { return a.look_score > b.look_score; });
  return spots;
}

Result<Track> StickerTracker::finish() {
  Inside& in = *inside_;
  if (!in.chosen) {
    in.choose();
    if (in.chosen) in.keep_chosen();
  }
  if (!in.chosen) {
    if (in.any_spot) return Error{Fault::no_movement, "round spots were seen, but none rose and came down again", ""};
    return Error{Fault::sticker_not_found, "nothing round and high in contrast was seen in the picture", ""};
  }
  Track track = track_of(in.candidates[*in.chosen], in.options.heel_px ? FoundBy::hand : FoundBy::search);
  track.notes = in.notes;
  return track;
}

std::optional<Track> StickerTracker::forefoot_track() const {
  const Inside& in = *inside_;
  if (!in.chosen_forefoot) return std::nullopt;
  return track_of(in.candidates[*in.chosen_forefoot], in.options.forefoot_px ? FoundBy::hand : FoundBy::search);
}

LegTracks StickerTracker::leg_tracks() const {
  const Inside& in = *inside_;
  if (in.leg.size() != 3) return {};
  const FoundBy by = in.options.leg_px ? FoundBy::hand : FoundBy::search;
  return {track_of(in.leg[0], by), track_of(in.leg[1], by), track_of(in.leg[2], by)};
}

}  // namespace risetrace::sticker
