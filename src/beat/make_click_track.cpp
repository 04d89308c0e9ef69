#include "beat/make_click_track.h"

#include <array>
#include <charconv>
#include <cmath>
#include <numbers>
#include <optional>
#include <sstream>

namespace risetrace::beat {
namespace {

constexpr double longest_s = 1800.0;

// A struck sound: a tone that starts at full slope and dies away. Ours; far above the thud of a landing and apart from
// each other by more than a fifth, so that an ear and the program tell them apart.
struct ClickSound {
  double tone_hz;
  double level;  // of full scale
};
constexpr double decay_s = 0.007;
constexpr double click_s = 0.060;  // by then it is under a bit

ClickSound sound_of(BeatKind kind) {
  switch (kind) {
    case BeatKind::run_in:
      return {1250.0, 0.4};
    case BeatKind::accent:
      return {3200.0, 0.9};
    case BeatKind::plain:
      break;
  }
  return {2000.0, 0.65};
}

std::string shown(double value) {
  std::ostringstream text;
  text << value;
  return text.str();
}

Error wrong(const std::string& why, const std::string& what_to_do) { return {Fault::option_wrong, why, what_to_do}; }

std::string bpm_range() { return "give " + shown(least_bpm) + " to " + shown(greatest_bpm) + " beats per minute"; }

bool bpm_fits(double bpm) { return bpm >= least_bpm && bpm <= greatest_bpm; }

Outcome plan_fits(const ClickTrackPlan& plan) {
  if (plan.steps.empty()) return wrong("a click track needs a tempo", "give --bpm or --ladder");
  if (!(plan.silence_s >= 0.0 && plan.silence_s <= 10.0)) {
    return wrong("the silence before the first click is " + shown(plan.silence_s) + " s", "give 0 to 10 s");
  }
  double length_s = 0.0;
  for (const TempoStep& step : plan.steps) {
    if (!bpm_fits(step.bpm)) return wrong("the tempo " + shown(step.bpm) + " is out of range", bpm_range());
    if (step.beats < 1) return wrong("a step of " + std::to_string(step.beats) + " beats is none", "give 1 or more");
    length_s += step.beats * 60.0 / step.bpm;
  }
  if (length_s > longest_s) {
    return wrong("the track would last " + shown(std::round(length_s)) + " s",
                 "give at most " + shown(longest_s) + " s in all");
  }
  return Done{};
}

// Ideal times. Each step starts where the one before ends: sums of whole steps, not of single beats.
std::vector<TrackBeat> place_beats(const ClickTrackPlan& plan, int rate_hz) {
  std::vector<TrackBeat> beats;
  const auto place = [&](double from_s, double bpm, int index, int step, BeatKind kind) {
    const double at_s = from_s + index * 60.0 / bpm;
    beats.push_back({std::llround(at_s * rate_hz), at_s, bpm, step, kind});
  };
  double from_s = plan.silence_s;
  const double first_bpm = plan.steps.front().bpm;
  for (int i = 0; i < run_in_beats; ++i) place(from_s, first_bpm, i, 0, BeatKind::run_in);
  from_s += run_in_beats * 60.0 / first_bpm;
  for (std::size_t s = 0; s < plan.steps.size(); ++s) {
    const auto& [bpm, count] = plan.steps[s];
    for (int i = 0; i < count; ++i) {
      place(from_s, bpm, i, static_cast<int>(s) + 1, i == 0 ? BeatKind::accent : BeatKind::plain);
    }
    from_s += count * 60.0 / bpm;
  }
  return beats;
}

void add_click(ClickTrack& track, const TrackBeat& beat) {
  const ClickSound sound = sound_of(beat.kind);
  const auto count = static_cast<std::int64_t>(click_s * track.rate_hz);
  for (std::int64_t i = 0; i < count; ++i) {
    const double since_s = static_cast<double>(i) / track.rate_hz;
    const double value =
        sound.level * std::exp(-since_s / decay_s) * std::sin(2.0 * std::numbers::pi * sound.tone_hz * since_s);
    track.samples[static_cast<std::size_t>(beat.sample + i)] = static_cast<std::int16_t>(std::lround(32767.0 * value));
  }
}

// The whole of `text` as a number.
std::optional<double> number(const std::string& text) {
  double value = 0.0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (code != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

}  // namespace

Result<ClickTrack> make_click_track(const ClickTrackPlan& plan) {
  if (auto fits = plan_fits(plan); !fits) return fits.error();
  ClickTrack track;
  track.beats = place_beats(plan, track.rate_hz);
  const TrackBeat& last = track.beats.back();
  const double end_s = last.time_s + 60.0 / last.bpm;  // 250 ms at least: no click reaches the next or the end
  track.samples.assign(static_cast<std::size_t>(std::llround(end_s * track.rate_hz)), 0);
  for (const TrackBeat& each : track.beats) add_click(track, each);
  return track;
}

Result<std::vector<double>> ladder_bpm(const std::string& text) {
  const std::string form = "give FROM:TO:STEPS, as 150:100:6";
  std::array<std::string, 3> parts;
  std::istringstream in(text + ":");
  std::size_t count = 0;
  for (std::string part; std::getline(in, part, ':'); ++count) {
    if (count < parts.size()) parts.at(count) = part;
  }
  if (count != parts.size()) return wrong("the ladder '" + text + "' has not three parts", form);
  std::array<double, 3> values{};
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const auto value = number(parts.at(i));
    if (!value) return wrong("'" + parts.at(i) + "' in the ladder '" + text + "' is no number", form);
    values.at(i) = *value;
  }
  const auto [from, to, steps] = values;
  for (const double bpm : {from, to}) {
    if (!bpm_fits(bpm)) return wrong("the ladder's tempo " + shown(bpm) + " is out of range", bpm_range());
  }
  if (from <= to) {
    return wrong("the ladder from " + shown(from) + " to " + shown(to) + " does not go down",
                 "put the faster tempo first");
  }
  if (steps != std::floor(steps) || steps < 2.0 || steps > 60.0) {
    return wrong("a ladder of " + parts.at(2) + " steps", "give 2 to 60 steps, a whole number");
  }
  constexpr double least_step = 0.01;  // of a tempo: neither a runner nor the listener tells less for a step
  if ((from - to) / (steps - 1.0) < least_step * from) {
    return wrong("the ladder '" + text + "' has steps of less than one in a hundred, which cannot be told apart",
                 "give fewer steps, or tempos further apart");
  }
  std::vector<double> ladder;
  const int last = static_cast<int>(steps) - 1;
  for (int i = 0; i <= last; ++i) ladder.push_back(from + (to - from) * i / last);
  return ladder;
}

}  // namespace risetrace::beat
