#include "measure/live_measure.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include "clip/steps.h"
#include "measure/conclude_raises.h"
#include "measure/live_guide.h"
#include "measure/live_reps.h"
#include "measure/look_at_setup.h"
#include "measure/read_through.h"
#include "path/build_path.h"

namespace risetrace::measure {
namespace {

constexpr double rate_known_s = 1.0;      // of frames, before their rate is said
constexpr std::size_t rate_frames = 240;  // the rate is that of the last so many
constexpr double card_settles_s = 1.0;    // four or five looks at the card
constexpr double look_again_s = 0.5;      // between looks at what takes time

void append(std::vector<LiveEvent>& to, std::vector<LiveEvent> more) {
  to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

}  // namespace

struct LiveMeasure::Inside {
  Inside(const model::Cards& known_cards, const LiveMeasureOptions& asked)
      : cards(known_cards),
        options(asked),
        steps{{}, scale::ScaleFinder(cards, asked.measure.scale), sticker::StickerTracker(asked.measure.track)},
        reps(asked.measure.asked.protocol) {}

  [[nodiscard]] double frame_rate_hz() const;
  void look_round(const clip::Frame& frame, std::vector<LiveEvent>& events);
  [[nodiscard]] bool sees_sticker(const std::optional<std::array<Point, 4>>& card_px) const;
  void guide(const clip::Frame& frame, const camera::View& view, const std::vector<sticker::TrackSample>& samples,
             std::vector<LiveEvent>& events);
  void begin_path();
  void follow(const std::vector<sticker::TrackSample>& samples, const camera::View& view,
              std::vector<LiveEvent>& events);

  model::Cards cards;
  LiveMeasureOptions options;
  Steps<sticker::StickerTracker> steps;
  LiveGuide guide_;
  LiveReps reps;
  std::optional<path::PathBuilder> path;
  std::vector<camera::View> views;  // of all frames, until the path begins
  std::vector<std::int64_t> recent_ms;
  std::optional<double> card_since_s;
  std::optional<std::string> card_trouble;
  bool scale_known = false;
  bool any_sticker = false;
  bool ready_told = false;
  double next_look_s = 0.0;
};

double LiveMeasure::Inside::frame_rate_hz() const {
  const double step_ms = clip::study_steps(recent_ms).step_ticks;
  return step_ms > 0 ? 1000 / step_ms : 0.0;
}

// What need not be looked at in every frame.
void LiveMeasure::Inside::look_round(const clip::Frame& frame, std::vector<LiveEvent>& events) {
  if (frame.time_s < next_look_s) return;
  next_look_s = frame.time_s + look_again_s;
  if (!ready_told && frame.time_s >= rate_known_s) {
    ready_told = true;
    events.emplace_back(LiveReady{frame.width_px, frame.height_px, frame_rate_hz()});
  }
  if (path) return;
  const bool by_hand = options.measure.scale.px_per_cm.has_value();
  if (!by_hand && card_since_s && frame.time_s - *card_since_s < card_settles_s) return;
  const Result<scale::Scale> scale = steps.card.finish();
  scale_known = scale.ok() && scale->cm_from_px;
  card_trouble = scale.ok() ? std::nullopt : std::optional(scale.error().why);
  if (steps.tracker.heel().empty()) any_sticker = sees_sticker(scale.ok() ? scale->card_outline_px : std::nullopt);
}

// A card's tags have round corners and spots of their own.
bool LiveMeasure::Inside::sees_sticker(const std::optional<std::array<Point, 4>>& card_px) const {
  const auto spots = steps.tracker.spots();
  return std::any_of(spots.begin(), spots.end(),
                     [&](const sticker::Spot& spot) { return !card_px || !inside(*card_px, spot.px); });
}

void LiveMeasure::Inside::guide(const clip::Frame& frame, const camera::View& view,
                                const std::vector<sticker::TrackSample>& samples, std::vector<LiveEvent>& events) {
  LiveSight sight;
  sight.t_s = frame.time_s;
  sight.card_wanted = !options.measure.scale.px_per_cm && options.measure.scale.card != scale::CardKind::none;
  sight.card_found = card_since_s.has_value();
  sight.card_trouble = card_trouble;
  sight.any_sticker = any_sticker;
  sight.heel_known = !steps.tracker.heel().empty();
  sight.heel_seen = !samples.empty() && samples.back().seen;
  sight.camera_known = view.known;
  for (Note& note : guide_.look(sight)) events.emplace_back(std::move(note));
}

void LiveMeasure::Inside::begin_path() {
  const Result<scale::Scale> scale = steps.card.finish();
  if (!scale || !scale->cm_from_px) return;
  path.emplace(*scale, path::PathOptions{.cutoff_hz = options.measure.asked.protocol.smooth_cutoff_hz,
                                         .frame_rate_hz = frame_rate_hz(),
                                         .lag_cycles = options.lag_cycles});
}

void LiveMeasure::Inside::follow(const std::vector<sticker::TrackSample>& samples, const camera::View& view,
                                 std::vector<LiveEvent>& events) {
  if (path) {
    for (const sticker::TrackSample& sample : samples) append(events, reps.push(path->push(sample, view), true));
    return;
  }
  views.push_back(view);
  const auto heel = steps.tracker.heel();
  if (!scale_known || heel.empty()) return;
  begin_path();
  if (!path) return;
  for (const sticker::TrackSample& sample : heel) {
    append(events, reps.push(path->push(sample, views[static_cast<std::size_t>(sample.frame)]), false));
  }
  views = {};
}

LiveMeasure::LiveMeasure(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
LiveMeasure::LiveMeasure(LiveMeasure&&) noexcept = default;
LiveMeasure& LiveMeasure::operator=(LiveMeasure&&) noexcept = default;
LiveMeasure::~LiveMeasure() = default;

Result<LiveMeasure> LiveMeasure::begin(const model::Cards& cards, const LiveMeasureOptions& options) {
  if (options.measure.asked.test != Test::heel_raise) {
    return Error{Fault::option_wrong, "only heel raises are measured while they are filmed",
                 "film the test and give the file to risetrace measure"};
  }
  if (options.measure.scale.card == scale::CardKind::none && !options.measure.scale.px_per_cm) {
    return Error{Fault::option_wrong, "--card none gives no heights, so nothing could be told of a set",
                 "stand the card in view, or give --px-per-cm"};
  }
  if (auto right = scale::check(options.measure.scale); !right) return right.error();
  return LiveMeasure(std::make_unique<Inside>(cards, options));
}

Result<std::vector<LiveEvent>> LiveMeasure::push(const clip::Frame& frame) {
  Inside& in = *inside_;
  std::vector<LiveEvent> events;
  if (in.recent_ms.size() == rate_frames) in.recent_ms.erase(in.recent_ms.begin());
  in.recent_ms.push_back(std::llround(1000 * frame.time_s));
  const camera::View view = see_frame(in.steps.camera, in.steps.card, frame);
  if (!in.card_since_s && in.steps.card.found()) in.card_since_s = frame.time_s;
  const auto samples = in.steps.tracker.push(frame, view);
  if (!samples) return samples.error();
  in.look_round(frame, events);
  in.guide(frame, view, *samples, events);
  in.follow(*samples, view, events);
  return events;
}

bool LiveMeasure::ended() const { return inside_->reps.ended(); }

double LiveMeasure::lag_s() const { return inside_->path ? inside_->path->lag_s() : 0.0; }

std::vector<LiveEvent> LiveMeasure::last_words(raise::EndWhy why) {
  Inside& in = *inside_;
  std::vector<LiveEvent> events;
  if (!in.path) return events;
  append(events, in.reps.push(in.path->finish(), true));
  append(events, in.reps.finish(why));
  return events;
}

Result<Measurement> LiveMeasure::finish(const clip::ClipFacts& clip) {
  Inside& in = *inside_;
  Measurement m;
  m.asked = in.options.measure.asked;
  m.clip = clip;
  if (const Outcome judged = conclude_raises(m, in.steps, in.cards); !judged) return judged.error();
  return m;
}

}  // namespace risetrace::measure
