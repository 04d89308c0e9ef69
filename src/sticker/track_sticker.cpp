#include "sticker/track_sticker.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "sticker/choose_leg.h"
#include "sticker/excursion.h"
#include "sticker/find_blobs.h"
#include "sticker/fit_by_hand.h"
#include "sticker/followed_spot.h"
#include "sticker/scatter.h"

namespace risetrace::sticker {
namespace {

constexpr double long_gap_s = 0.5;  // what a spot did while unseen for longer is not known
constexpr double least_seen_share = 0.7;
constexpr double least_cycle_radii = 2.5;  // a raise lifts the sticker by more than its own width
// Where the whole clip showed nothing that rose so far: a weak calf's rises, of little more than the least that counts.
constexpr double least_cycle_radii_at_last = 1.2;
constexpr double least_roundness_now = 0.45;
constexpr double least_cycle_px = 10.0;
constexpr double least_cycle_px_at_last = 6.0;
constexpr double wait_for_others_s = 0.4;   // the spots of one leg come down together, give or take
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
  FollowedSpot spot;
  Excursion excursion;
};

Candidate candidate_from(const Fit& fit, const clip::Frame& frame, Movement movement) {
  const bool hop = movement == Movement::hop;
  return {FollowedSpot(fit, frame, hop), Excursion(hop ? hop_leap : raise_leap)};
}

TrackSample follow(Candidate& c, const clip::Frame& frame, const camera::View& view, bool skip_still) {
  const double seen_before_s = c.spot.last_seen_s();
  const TrackSample sample = c.spot.follow(frame, skip_still && c.excursion.rise_px() < moved_px);
  if (!sample.seen) return sample;
  if (frame.time_s - seen_before_s > long_gap_s) c.excursion.break_off();
  if (view.known) c.excursion.push(view.ref_from_px.map(sample.px));
  return sample;
}

// To a person's eye a sticker, and in sight most of the time.
bool is_sticker_like(const FollowedSpot& spot) {
  return spot.times_seen() >= least_seen_share * static_cast<double>(spot.samples().size()) &&
         spot.look_score() >= least_look_score && spot.look().roundness() >= least_roundness_now;
}

// How far a heel goes at the least.
struct LeastTravel {
  double px = least_cycle_px;
  double radii = least_cycle_radii;
};

bool is_heel_like(const Candidate& c, double travel_px, const LeastTravel& least) {
  return is_sticker_like(c.spot) && travel_px >= std::max(least.px, least.radii * c.spot.radius_px());
}

}  // namespace

struct StickerTracker::Inside {
  explicit Inside(const TrackOptions& asked) : options(asked) {}

  TrackOptions options;
  std::vector<Candidate> candidates;
  LeastTravel least_travel;
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
  void choose_at_last();
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
    const bool known =
        std::any_of(candidates.begin(), candidates.end(), [&](const Candidate& c) { return c.spot.is_at(fit); });
    if (!known) candidates.push_back(candidate_from(fit, frame, options.movement));
  }
}

void StickerTracker::Inside::drop_lost(double time_s) {
  std::erase_if(candidates, [&](const Candidate& c) { return c.spot.to_be_dropped(time_s); });
}

// Those that travelled about as far as the one that travelled farthest and that look about as good as the best of them.
std::vector<std::size_t> StickerTracker::Inside::moving_spots() const {
  const double share = options.movement == Movement::hop ? hop_share_of_greatest : share_of_greatest;
  double farthest = 0;
  for (const Candidate& c : candidates) {
    const double t = c.excursion.cycle_px();
    if (is_heel_like(c, t, least_travel)) farthest = std::max(farthest, t);
  }
  std::vector<std::size_t> moving;
  double best_look = 0;
  for (std::size_t i = 0; farthest > 0 && i < candidates.size(); ++i) {
    const double t = candidates[i].excursion.cycle_px();
    if (!is_heel_like(candidates[i], t, least_travel) || t < share * farthest) continue;
    moving.push_back(i);
    best_look = std::max(best_look, candidates[i].spot.look_score());
  }
  std::erase_if(moving,
                [&](std::size_t i) { return candidates[i].spot.look_score() < share_of_best_look * best_look; });
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
    const double dx = std::abs(c.spot.place_px().x - low.spot.place_px().x);
    const double dy = std::abs(c.excursion.rest_y_px() - low.excursion.rest_y_px());
    if (other == lowest_first.front() || dy > level_slope * dx || dx < least_apart_radii * low.spot.radius_px()) {
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
    if (i != chosen_forefoot) best_look = std::max(best_look, candidates[i].spot.look_score());
  }
  if (candidates[*chosen].spot.look_score() < doubtful_look * best_look) {
    notes.push_back({"sticker-choice-doubtful",
                     "More than one spot rises and falls with the heel; the one followed began at " +
                         at_px(candidates[*chosen].spot.samples().front().px) +
                         " and is not the clearest of them: look at the overlay, or give --heel X,Y.",
                     std::nullopt});
  }
}

// When no more frames come.
void StickerTracker::Inside::choose_at_last() {
  choose();
  if (!chosen && options.movement == Movement::raise) {
    least_travel = {least_cycle_px_at_last, least_cycle_radii_at_last};
    choose();
  }
  if (chosen) keep_chosen();
}

void StickerTracker::Inside::keep_leg() {
  if (!leg.empty() || options.movement != Movement::raise) return;
  const auto seen = [](const Candidate& c) {
    return LegCandidate{c.spot.samples(), c.spot.radius_px(), c.spot.look_score(), c.excursion.rise_px()};
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
      if (is_heel_like(c, c.excursion.cycle_px(), least_travel)) first_cycle_s = time_s;
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
  return in.candidates.front().spot.samples();
}

std::span<const TrackSample> StickerTracker::heel() const {
  if (!inside_->chosen) return {};
  return inside_->candidates[*inside_->chosen].spot.samples();
}

std::optional<double> StickerTracker::heel_radius_px() const {
  if (!inside_->chosen) return std::nullopt;
  return inside_->candidates[*inside_->chosen].spot.radius_px();
}

std::span<const TrackSample> StickerTracker::forefoot() const {
  if (!inside_->chosen_forefoot) return {};
  return inside_->candidates[*inside_->chosen_forefoot].spot.samples();
}

namespace {

Spot spot_of(const FollowedSpot& spot, bool rose) {
  return {.px = spot.samples().front().px,
          .look = spot.look(),
          .look_score = spot.look_score(),
          .sigma_px = spot.sigma_px(),
          .scatter_px = scatter_px(spot.samples()),
          .rose = rose};
}

}  // namespace

std::vector<Spot> StickerTracker::spots() const {
  const Inside& in = *inside_;
  std::vector<Spot> spots;
  if (in.chosen) {
    spots.push_back(spot_of(in.candidates[*in.chosen].spot, !in.options.heel_px));
    if (in.chosen_forefoot) spots.push_back(spot_of(in.candidates[*in.chosen_forefoot].spot, false));
    return spots;
  }
  for (const Candidate& c : in.candidates) {
    if (!c.spot.samples().empty() && is_sticker_like(c.spot)) spots.push_back(spot_of(c.spot, false));
  }
  std::stable_sort(spots.begin(), spots.end(),
                   [](const Spot& a, const Spot& b) { return a.look_score > b.look_score; });
  return spots;
}

Result<Track> StickerTracker::finish() {
  Inside& in = *inside_;
  if (!in.chosen) in.choose_at_last();
  if (!in.chosen) {
    if (in.any_spot)
      return Error{
          Fault::no_movement, "round spots were seen, but none rose and came down again",
          "film the whole set from the side with the sticker in full view, no trouser leg or hand before it, or give "
          "--heel X,Y"};
    return Error{Fault::sticker_not_found, "nothing round and high in contrast was seen in the picture", ""};
  }
  Track track = in.candidates[*in.chosen].spot.track(in.options.heel_px ? FoundBy::hand : FoundBy::search);
  track.notes = in.notes;
  return track;
}

std::optional<Track> StickerTracker::forefoot_track() const {
  const Inside& in = *inside_;
  if (!in.chosen_forefoot) return std::nullopt;
  return in.candidates[*in.chosen_forefoot].spot.track(in.options.forefoot_px ? FoundBy::hand : FoundBy::search);
}

LegTracks StickerTracker::leg_tracks() const {
  const Inside& in = *inside_;
  if (in.leg.size() != 3) return {};
  const FoundBy by = in.options.leg_px ? FoundBy::hand : FoundBy::search;
  return {in.leg[0].spot.track(by), in.leg[1].spot.track(by), in.leg[2].spot.track(by)};
}

}  // namespace risetrace::sticker
