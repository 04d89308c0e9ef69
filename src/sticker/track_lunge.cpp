#include "sticker/track_lunge.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "sticker/choose_shank.h"
#include "sticker/find_blobs.h"
#include "sticker/fit_by_hand.h"

namespace risetrace::sticker {
namespace {

constexpr double plain_turn_deg = 15.0;    // after which the pair is told apart ...
constexpr double turn_stays_s = 1.0;       // ... if it is still the same so much later
constexpr double least_turn_deg = 5.0;     // at the clip's end
constexpr double knee_travel_radii = 4.0;  // that far a knee goes in any lunge

}  // namespace

struct LungeTracker::Inside {
  explicit Inside(const LungeTrackOptions& asked) : options(asked) {}

  LungeTrackOptions options;
  std::vector<SpotTrack> spots;
  std::optional<ShankChoice> chosen;
  std::optional<double> last_search_s;
  std::optional<double> turned_s;  // when a plain turn was first seen
  double next_judged_s = 0.0;
  bool any_spot = false;

  Outcome start_by_hand(const clip::Frame& frame);
  void search(const clip::Frame& frame);
  void keep(const ShankChoice& choice);
  void consider(double time_s);
  [[nodiscard]] Error trouble() const;
};

Outcome LungeTracker::Inside::start_by_hand(const clip::Frame& frame) {
  constexpr std::array names = {"--ankle", "--knee-at"};
  for (std::size_t i = 0; i < names.size(); ++i) {
    const Result<Fit> fit = fit_by_hand(frame, options.shank_px->at(i), names.at(i));
    if (!fit) {
      Error error = fit.error();
      if (error.fault == Fault::sticker_not_found) error.fault = Fault::leg_stickers_missing;
      return error;
    }
    spots.emplace_back(*fit, frame);
  }
  chosen = ShankChoice{0, 1};
  return Done{};
}

void LungeTracker::Inside::search(const clip::Frame& frame) {
  last_search_s = frame.time_s;
  for (const Fit& fit : find_blobs(clip::upright_picture(frame), {})) {
    if (spot_score(fit) < least_look_score) continue;
    any_spot = true;
    const bool known =
        std::any_of(spots.begin(), spots.end(), [&](const SpotTrack& one) { return one.spot().is_at(fit); });
    if (!known) spots.emplace_back(fit, frame);
  }
}

void LungeTracker::Inside::keep(const ShankChoice& choice) {
  std::vector<SpotTrack> kept;
  kept.push_back(std::move(spots[choice.ankle]));
  kept.push_back(std::move(spots[choice.knee]));
  spots = std::move(kept);
  chosen = ShankChoice{0, 1};
}

// Looked at a few times a second.
void LungeTracker::Inside::consider(double time_s) {
  constexpr double again_s = 0.25;
  if (time_s < next_judged_s) return;
  next_judged_s = time_s + again_s;
  const auto choice = choose_shank(spots, plain_turn_deg);
  if (choice && !turned_s) turned_s = time_s;
  if (choice && time_s - *turned_s >= turn_stays_s) keep(*choice);
}

// Why no pair was found, for a person who can do something about it.
Error LungeTracker::Inside::trouble() const {
  if (!any_spot) {
    return {Fault::leg_stickers_missing, "nothing round and high in contrast was seen in the picture", ""};
  }
  const auto far = std::find_if(spots.begin(), spots.end(), [](const SpotTrack& spot) {
    return spot.travel_px() > knee_travel_radii * spot.spot().radius_px();
  });
  if (far == spots.end()) return {Fault::no_lunge, "round spots were seen, but none moved as a knee does", ""};
  return {Fault::leg_stickers_missing,
          "the spot that was first at " + at_px(far->spot().samples().front().px) +
              " moved as a knee does, but no spot stayed at the ankle under it",
          ""};
}

LungeTracker::LungeTracker(const LungeTrackOptions& options) : inside_(std::make_unique<Inside>(options)) {}
LungeTracker::LungeTracker(LungeTracker&&) noexcept = default;
LungeTracker& LungeTracker::operator=(LungeTracker&&) noexcept = default;
LungeTracker::~LungeTracker() = default;

Outcome LungeTracker::push(const clip::Frame& frame, const camera::View& view) {
  Inside& in = *inside_;
  if (in.options.shank_px && !in.chosen) {
    if (const Outcome started = in.start_by_hand(frame); !started) return started;
  }
  const bool search = !in.last_search_s || frame.time_s - *in.last_search_s >= look_again_s;
  if (!in.chosen && search) in.search(frame);
  for (SpotTrack& spot : in.spots) spot.follow(frame, view);
  if (in.chosen) return Done{};
  std::erase_if(in.spots, [&](const SpotTrack& one) { return one.spot().to_be_dropped(frame.time_s); });
  in.consider(frame.time_s);
  return Done{};
}

Result<LegTracks> LungeTracker::finish() {
  Inside& in = *inside_;
  if (!in.chosen) {
    const auto choice = choose_shank(in.spots, least_turn_deg);
    if (!choice) return in.trouble();
    in.keep(*choice);
  }
  const FoundBy by = in.options.shank_px ? FoundBy::hand : FoundBy::search;
  return LegTracks{in.spots[in.chosen->ankle].spot().track(by), in.spots[in.chosen->knee].spot().track(by),
                   std::nullopt};
}

}  // namespace risetrace::sticker
