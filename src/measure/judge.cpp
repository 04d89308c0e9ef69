#include "measure/judge.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "base/rounded.h"

namespace risetrace::measure {
namespace {

constexpr double foot_has_left_cm =
    8.0;  // the arc of a raise takes the heel some 4 cm forward; a step takes it farther
constexpr double small_sticker_px = 4.0;
constexpr double noted_tilt_deg = 8.0;
constexpr double shortest_rep_s = 0.65;  // 92 a minute, three times the beat's; hops come at 100 and more. Ours
constexpr double strange_pace = 2.5;     // so many times slower, or faster, than the beat

struct Gap {
  double from_s = 0.0;
  double to_s = 0.0;
  bool comes_back = false;
  std::size_t last_seen = 0;  // sample before the gap
};

std::vector<Gap> gaps_of(const sticker::Track& track) {
  std::vector<Gap> gaps;
  std::optional<std::size_t> last_seen;
  for (std::size_t i = 0; i < track.samples.size(); ++i) {
    if (!track.samples[i].seen) continue;
    if (last_seen && i > *last_seen + 1) {
      gaps.push_back({track.samples[*last_seen].time_s, track.samples[i].time_s, true, *last_seen});
    }
    last_seen = i;
  }
  if (last_seen && *last_seen + 1 < track.samples.size()) {
    gaps.push_back({track.samples[*last_seen].time_s, track.samples.back().time_s, false, *last_seen});
  }
  return gaps;
}

// Where the foot had already stepped away when the sticker went out of sight, the set was over.
bool foot_had_left(const path::Path& path, double at_s, double step_cm) {
  if (path.samples.empty()) return false;
  std::vector<double> across;
  double last = path.samples.front().across_cm;
  for (const path::PathSample& s : path.samples) {
    if (s.time_s > at_s) break;
    if (s.seen) across.push_back(last = s.across_cm);
  }
  if (across.empty()) return false;
  const auto middle = across.begin() + static_cast<std::ptrdiff_t>(across.size() / 2);
  std::nth_element(across.begin(), middle, across.end());
  return std::abs(last - *middle) > step_cm;
}

bool ended_by_rule(const raise::RepSet& set) {
  return set.set_end.why == raise::EndWhy::low_height || set.set_end.why == raise::EndWhy::pause;
}

}  // namespace

std::optional<Error> lost_too_long(const sticker::Track& track, const path::Path& path, const raise::RepSet& set,
                                   double step_cm) {
  for (const Gap& gap : gaps_of(track)) {
    if (gap.to_s - gap.from_s <= hideable_rep_s) continue;
    if (ended_by_rule(set) && gap.from_s >= set.set_end.t_s) continue;
    if (!gap.comes_back && foot_had_left(path, gap.from_s, step_cm)) continue;
    return Error{Fault::sticker_lost,
                 "it was out of sight from " + rounded(gap.from_s, 1) + " s " +
                     (gap.comes_back ? "to " + rounded(gap.to_s, 1) + " s" : std::string("to the clip's end")) +
                     ", so a rep may be missing from the count",
                 ""};
  }
  return std::nullopt;
}

std::optional<Error> pace_of_hops(const Measurement& m) {
  if (!m.raises->rep_period_s || *m.raises->rep_period_s >= shortest_rep_s) return std::nullopt;
  const bool stated = m.clip.frame_rate_from != clip::FrameRateFrom::container;
  return Error{Fault::no_movement,
               "the heel rose and fell every " + rounded(*m.raises->rep_period_s, 2) + " s, as in hops",
               stated ? "give --test hop, or the true filming rate with --capture-fps"
                      : "give --test hop, or, if the clip plays faster than it was filmed, the filming rate with "
                        "--capture-fps"};
}

void add_notes(Measurement& m) {
  const auto note = [&](const char* code, const std::string& text) { m.notes.push_back({code, text, std::nullopt}); };
  if (m.track.radius_px < small_sticker_px) {
    note("sticker-small", "The sticker is only " + rounded(2 * m.track.radius_px, 1) +
                              " pixels across: film closer, or use a larger one.");
  }
  if (m.scale.tilt_deg.value_or(0) > noted_tilt_deg) {
    note("card-faces-aside", "The card is tilted by " + rounded(*m.scale.tilt_deg, 0) +
                                 " degrees against the picture: heights are less sure; turn it to face the camera.");
  }
  if (m.track.frames_repeated > 0) {
    note("frames-repeated", std::to_string(m.track.frames_repeated) +
                                (m.track.frames_repeated == 1 ? " frame shows" : " frames show") +
                                " the picture before again while the heel moved; what is missing is bridged.");
  }
  const double bridged =
      static_cast<double>(m.track.frames_bridged) / std::max<double>(1, static_cast<double>(m.track.samples.size()));
  if (bridged > 0.05) {
    note("sticker-often-hidden", "The sticker was not seen in " + rounded(100 * bridged, 0) +
                                     " % of the frames; those are bridged between the frames before and after.");
  }
  if (!m.raises || !m.raises->rep_period_s) return;
  const double asked_s = 2 * 60 / m.asked.protocol.beat_bpm;
  const double slower = *m.raises->rep_period_s / asked_s;
  if (m.clip.frame_rate_from == clip::FrameRateFrom::container &&
      (slower > strange_pace || slower < 1 / strange_pace)) {
    note("pace-far-from-beat",
         "A rep took " + rounded(*m.raises->rep_period_s, 1) + " s where the beat asks for " + rounded(asked_s, 1) +
             " s: if the clip was filmed in slow motion, give the filming rate with --capture-fps.");
  }
}

}  // namespace risetrace::measure
