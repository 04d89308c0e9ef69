#include "measure/read_hops.h"

#include <algorithm>
#include <cmath>

#include "clip/read_ahead.h"
#include "measure/judge_camera.h"
#include "measure/measure_clip.h"
#include "measure/measurement.h"
#include "measure/read_through.h"
#include "sole/cycles.h"
#include "sole/facing.h"
#include "sole/follow_sole.h"

namespace risetrace::measure {
namespace {

constexpr int tops_to_know = 2;  // flights after which the foot is known well enough

const sticker::TrackSample* sample_of(std::span<const sticker::TrackSample> samples, std::int64_t frame) {
  if (samples.empty()) return nullptr;
  const std::int64_t at = frame - samples.front().frame;  // one sample a frame
  if (at < 0 || at >= static_cast<std::int64_t>(samples.size())) return nullptr;
  return &samples[static_cast<std::size_t>(at)];
}

std::optional<Point> seen_at(std::span<const sticker::TrackSample> samples, std::int64_t frame) {
  const sticker::TrackSample* const s = sample_of(samples, frame);
  return s != nullptr && s->seen ? std::optional(s->px) : std::nullopt;
}

// What is learnt while the clip is read up to the third hop.
class Scout {
 public:
  Scout(scale::ScaleFinder& card, sticker::StickerTracker& tracker) : card_(card), tracker_(tracker) {}

  // True once enough is known.
  bool look(const clip::Frame& frame) {
    const auto heel_px = seen_at(tracker_.heel(), frame.number);
    if (!heel_px) return false;
    if (!started_) start(frame);
    if (heel_px->y > lowest_px_.y) {
      lowest_px_ = *heel_px;
      standing_ = clip::upright_patch(frame, foot_box());
    }
    if (heel_px->y < highest_px_.y) {
      highest_px_ = *heel_px;
      flying_ = clip::upright_patch(frame, foot_box());
    }
    const bool topped = count_turn(frame.time_s, *heel_px);
    // A flight whose top was before the heel was told apart has shown nothing of the foot.
    const bool both_seen = lowest_px_.y - highest_px_.y >= sole::least_swing_cm * px_per_cm_;
    shown_ = shown_ || (topped && both_seen) || !tracker_.forefoot().empty();
    return shown_ && tops_ >= tops_to_know;
  }

  [[nodiscard]] std::optional<double> forward() const {
    const auto heel = tracker_.heel();
    const auto forefoot = tracker_.forefoot();
    if (!heel.empty() && !forefoot.empty()) return forefoot.back().px.x > heel.back().px.x ? 1.0 : -1.0;
    if (standing_.grey.empty() || flying_.grey.empty()) return std::nullopt;
    return sole::facing_of(standing_, flying_, lowest_px_.x);
  }
  [[nodiscard]] bool started() const { return started_; }
  [[nodiscard]] double px_per_cm() const { return px_per_cm_; }
  // Of the heel, in all that was seen.
  [[nodiscard]] Point lowest_px() const { return lowest_px_.y > floor_px_.y ? lowest_px_ : floor_px_; }

 private:
  void start(const clip::Frame& frame) {
    started_ = true;
    px_per_cm_ = px_per_cm_of_sticker(tracker_.heel_radius_px().value_or(10));
    if (const auto scale = card_.finish(); scale && scale->px_per_cm) px_per_cm_ = *scale->px_per_cm;
    cycles_.emplace(sole::least_swing_cm * px_per_cm_);
    for (const sticker::TrackSample& s : tracker_.heel()) {  // what it did before it was told apart counts too
      if (s.seen && s.frame < frame.number) count_turn(s.time_s, s.px);
    }
    // The rows under the heel's lowest place so far: there is nothing but the foot.
    Point low{0, 0};
    for (const sticker::TrackSample& s : tracker_.heel()) {
      if (s.seen && s.px.y > low.y) low = s.px;
    }
    floor_px_ = low;
    highest_px_ = {0, static_cast<double>(frame.height_px)};
  }
  // True where this sample makes the top of a flight certain.
  bool count_turn(double time_s, Point heel_px) {
    const auto turn = cycles_->push(time_s, -heel_px.y);
    if (!turn || !turn->high) return false;
    ++tops_;
    return true;
  }
  [[nodiscard]] Box foot_box() const {
    constexpr double reach_cm = 30;
    constexpr double depth_cm = 7;
    return {static_cast<int>(floor_px_.x - reach_cm * px_per_cm_), static_cast<int>(floor_px_.y),
            static_cast<int>(2 * reach_cm * px_per_cm_), static_cast<int>(depth_cm * px_per_cm_)};
  }

  scale::ScaleFinder& card_;
  sticker::StickerTracker& tracker_;
  std::optional<sole::CycleFinder> cycles_;
  clip::Patch standing_;
  clip::Patch flying_;
  Point floor_px_;
  Point lowest_px_;
  Point highest_px_;
  double px_per_cm_ = 10.0;
  int tops_ = 0;
  bool shown_ = false;  // the foot on the ground and in the air, or its forefoot's sticker: which way it points
  bool started_ = false;
};

class HopReader {
 public:
  HopReader(const std::string& path, const model::Cards& cards, const HopReadOptions& options, const Watcher& watcher)
      : path_(path),
        options_(options),
        watcher_(watcher),
        card_(cards, options.scale),
        tracker_(options.track),
        scout_(card_, tracker_) {}

  Result<HopReading> read() {
    const auto look = [&](const clip::Frame& frame, double /*share*/) { return scout_.look(frame); };
    if (auto done = each_frame(for_stickers(options_.read, options_.scale), look); !done) return done.error();
    if (tracker_.heel().empty()) {  // a clip of one or two hops: only its end tells which sticker is the heel's
      if (const auto heel = tracker_.finish(); !heel) return too_short().value_or(heel.error());
    }
    if (!scout_.started()) {
      if (auto done = each_frame(for_stickers(options_.read, options_.scale), look); !done) return done.error();
    }
    reading_.forward = scout_.forward();
    std::optional<sole::SoleFollower> sole;
    if (reading_.forward) {
      const Point low = scout_.lowest_px();
      sole.emplace(sole::SoleOptions{scout_.px_per_cm(), *reading_.forward, low.y, low.x});
    }
    const auto follow = [&](const clip::Frame& frame, double share) {
      if (sole) sole->push(frame, seen_at(tracker_.heel(), frame.number), seen_at(tracker_.forefoot(), frame.number));
      watcher_.tell("measuring", share);
      return false;
    };
    if (auto done = each_frame(options_.read, follow); !done) return done.error();
    if (const auto trouble = too_short()) return *trouble;
    if (sole) reading_.clearance = sole->finish();
    return whole();
  }

 private:
  // Each frame from the first on, through card and stickers where they have not seen it, until `look` says enough.
  template <typename Look>
  Outcome each_frame(const clip::ReadOptions& read, const Look& look) {
    Result<clip::ClipReader> opened = clip::ClipReader::open(path_, read);
    if (!opened) return opened.error();
    clip::ReadAhead reader(*std::move(opened));
    while (true) {
      if (watcher_.stop()) return Error{Fault::stopped, "interrupted from the keyboard", ""};
      Result<std::optional<clip::Frame>> next = reader.next();
      if (!next) return next.error();
      if (!*next) {
        reading_.clip = reader.facts();
        return Done{};
      }
      const clip::Frame& frame = **next;
      if (frame.number > known_to_) {
        known_to_ = frame.number;
        card_.push(frame);
        if (const auto samples = tracker_.push(frame); !samples) return samples.error();
      }
      if (look(frame, reader.share_read())) return Done{};
    }
  }

  [[nodiscard]] std::optional<Error> too_short() const {
    const Outcome enough = long_enough(reading_.clip.frames);
    return enough ? std::nullopt : std::optional(enough.error());
  }

  Result<HopReading> whole() {
    Result<scale::Scale> scale = card_.finish();
    if (scale) {
      reading_.scale = *std::move(scale);
    } else {
      reading_.card_trouble = scale.error();
    }
    Result<sticker::Track> heel = tracker_.finish();
    if (!heel) return turn_to_blame(reading_.scale).value_or(heel.error());
    reading_.heel = *std::move(heel);
    leave_out_repeated();
    reading_.forefoot = tracker_.forefoot_track();
    reading_.px_per_cm_about = scout_.px_per_cm();
    return std::move(reading_);
  }

  // A frame that shows the one before says nothing of its own time.
  void leave_out_repeated() {
    for (sole::ClearanceSample& sample : reading_.clearance.samples) {
      const sticker::TrackSample* const heel = sample_of(reading_.heel.samples, sample.frame);
      if (heel != nullptr && heel->repeated) sample.seen = false;
    }
  }

  const std::string& path_;
  const HopReadOptions& options_;
  const Watcher& watcher_;
  scale::ScaleFinder card_;
  sticker::StickerTracker tracker_;
  Scout scout_;
  std::int64_t known_to_ = -1;
  HopReading reading_;
};

}  // namespace

Result<HopReading> read_hops(const std::string& path, const model::Cards& cards, const HopReadOptions& options,
                             const Watcher& watcher) {
  return HopReader(path, cards, options, watcher).read();
}

}  // namespace risetrace::measure
