#include "measure/judge.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "base/rounded.h"
#include "measure/heel_path.h"

namespace risetrace::measure {
namespace {

constexpr double foot_has_left_cm =
    8.0;  // the arc of a raise takes the heel some 4 cm forward; a step takes it farther
constexpr double small_sticker_px = 4.0;
constexpr double noted_tilt_deg = 8.0;
constexpr double shortest_rep_s = 0.65;  // 92 a minute, three times the beat's; hops come at 100 and more. Ours
constexpr double strange_pace = 2.5;     // so many times slower, or faster, than the beat

// Nothing is known of the heel, between the last frame that placed it and the next.
struct Gap {
  double from_s = 0.0;
  double to_s = 0.0;
  bool comes_back = false;
  std::size_t frames = 0;          // in it
  std::size_t hidden = 0;          // of them, did not see the sticker
  std::size_t camera_unknown = 0;  // frames whose view is not known; a frame may be both
};

std::vector<Gap> gaps_of(const Measurement& m) {
  std::vector<Gap> gaps;
  std::optional<Gap> open;
  double last_s = m.track.samples.empty() ? 0.0 : m.track.samples.front().time_s;
  for (const sticker::TrackSample& s : m.track.samples) {
    if (placed(m, s)) {
      if (!open && s.time_s - last_s > hideable_rep_s) open = Gap{.from_s = last_s};  // no picture hides as much
      if (open) {
        open->to_s = s.time_s;
        open->comes_back = true;
        gaps.push_back(*open);
        open.reset();
      }
      last_s = s.time_s;
      continue;
    }
    if (!open) open = Gap{.from_s = last_s};
    open->to_s = s.time_s;
    ++open->frames;
    if (!s.seen) ++open->hidden;
    if (!camera::view_of(m.camera, s.frame).known) ++open->camera_unknown;
  }
  if (open) gaps.push_back(*open);
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
  return set.set_end.why == raise::EndWhy::low_height || set.set_end.why == raise::EndWhy::pause ||
         set.set_end.why == raise::EndWhy::by_hand;
}

// By the larger part of the gap; the other is said too.
Error error_of(const Gap& gap, double frame_rate_hz) {
  const std::string when = "from " + rounded(gap.from_s, 1) + " s " +
                           (gap.comes_back ? "to " + rounded(gap.to_s, 1) + " s" : std::string("to the clip's end"));
  const char* const so = ", so a rep may be missing from the count";
  if (static_cast<double>(2 * gap.frames) < (gap.to_s - gap.from_s) * frame_rate_hz) {
    return {Fault::sticker_lost, "the file has hardly a picture " + when + so,
            "copy the clip from the phone again, or film again: it is damaged, or something was cut out"};
  }
  if (gap.camera_unknown >= gap.hidden) {
    return {Fault::camera_lost,
            when + " it could not be told how" + (gap.hidden > 0 ? ", or the sticker was out of sight" : "") + so, ""};
  }
  return {Fault::sticker_lost,
          std::string("it was out of sight") +
              (gap.camera_unknown > 0 ? ", or the camera's movement not known, " : " ") + when + so,
          gap.comes_back ? ""
                         : "keep hands and the other foot from in front of it, cut off what is shown after the set, "
                           "or give --heel X,Y"};
}

struct Sunk {
  std::optional<double> from_s;
  double depth_cm = 0.0;  // at its deepest
};

// Where the heel seems to lie in the floor for longer than noise does.
Sunk sunk_in(const Measurement& m) {
  constexpr double least_s = 0.2;
  Sunk sunk;
  std::optional<double> down_s;
  double depth_cm = 0;
  for (const path::PathSample& s : m.path.samples) {
    const double under_cm = m.raises->standing_cm - s.up_cm;
    if (under_cm <= raise::sunk_cm) {
      down_s.reset();
      continue;
    }
    depth_cm = down_s ? std::max(depth_cm, under_cm) : under_cm;
    if (!down_s) down_s = s.time_s;
    if (s.time_s - *down_s < least_s) continue;
    if (!sunk.from_s) sunk.from_s = down_s;
    sunk.depth_cm = std::max(sunk.depth_cm, depth_cm);
  }
  return sunk;
}

void note_sunk(Measurement& m) {
  const Sunk sunk = sunk_in(m);
  if (!sunk.from_s) return;
  m.notes.push_back(
      {"heel-below-standing",
       "From " + rounded(*sunk.from_s, 1) + " s on the sticker lay up to " + rounded(sunk.depth_cm, 1) +
           " cm lower than where the heel first stood. A heel does not sink into the floor: the sticker "
           "slipped or fell, the foot was set down elsewhere, or card or camera moved. Heights from about "
           "then on may be too low by as much.",
       sunk.from_s});
}

// Nothing is known of the height of a rep whose top was hidden but what the bridge over it says.
void note_unseen_peaks(Measurement& m) {
  std::vector<const raise::Rep*> unseen;
  for (const raise::Rep& rep : m.raises->reps) {
    if (!rep.height_cm_u_own) unseen.push_back(&rep);
  }
  if (unseen.empty()) return;
  const bool one = unseen.size() == 1;
  m.notes.push_back({"peak-unseen",
                     (one ? "The top of rep " + std::to_string(unseen.front()->n) + " was"
                          : "The tops of " + std::to_string(unseen.size()) + " reps, the first of them rep " +
                                std::to_string(unseen.front()->n) + ", were") +
                         " not seen: the sticker was hidden or outside the picture, or that was dark, or frames are "
                         "missing. The height is "
                         "bridged between what was seen before and after, and how far it is off is not known.",
                     unseen.front()->peak_s});
}

// Later than the second search: it was not in sight, or was lost before it had risen.
void note_found_late(Measurement& m) {
  constexpr double late_s = 1.5;
  if (m.track.samples.empty() || m.track.samples.front().time_s <= late_s) return;
  const double from_s = m.track.samples.front().time_s;
  m.notes.push_back({"sticker-found-late",
                     "The sticker is followed from " + rounded(from_s, 1) +
                         " s on: before that it was out of sight, or lost again. Rises before that are not in the "
                         "count.",
                     from_s});
}

}  // namespace

std::optional<Error> lost_too_long(const Measurement& m) {
  for (const Gap& gap : gaps_of(m)) {
    if (gap.to_s - gap.from_s <= hideable_rep_s) continue;
    if (ended_by_rule(*m.raises) && gap.from_s >= m.raises->set_end.t_s) continue;
    if (!gap.comes_back && foot_had_left(m.path, gap.from_s, m.asked.protocol.step_across_cm)) continue;
    return error_of(gap, m.clip.frame_rate_hz);
  }
  return std::nullopt;
}

std::optional<Error> pace_of_hops(const Measurement& m) {
  if (!m.raises->rep_period_s || *m.raises->rep_period_s >= shortest_rep_s) return std::nullopt;
  const bool stated = m.clip.frame_rate_from != clip::FrameRateFrom::container;
  return Error{
      Fault::no_movement, "the heel rose and fell every " + rounded(*m.raises->rep_period_s, 2) + " s, as in hops",
      stated
          ? "measure the file with --test hop, or give the true filming rate with --capture-fps"
          : "measure the file with --test hop, or, if it plays faster than it was filmed, give the filming rate with "
            "--capture-fps"};
}

std::string repeated_in_words(const sticker::Track& track) {
  return std::to_string(track.frames_repeated) + (track.frames_repeated == 1 ? " frame shows" : " frames show") +
         " the picture before again";
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
    note("frames-repeated", repeated_in_words(m.track) + " while the heel moved; what is missing is bridged.");
  }
  const double bridged =
      static_cast<double>(m.track.frames_bridged) / std::max<double>(1, static_cast<double>(m.track.samples.size()));
  if (bridged > 0.05) {
    note("sticker-often-hidden", "The sticker was not seen in " + rounded(100 * bridged, 0) +
                                     " % of the frames; those are bridged between the frames before and after.");
  }
  if (m.raises) {
    note_sunk(m);
    note_found_late(m);
    note_unseen_peaks(m);
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
