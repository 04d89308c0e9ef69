#include "hop/keep_beat.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "base/rounded.h"
#include "hop/medians.h"
#include "math/circular.h"
#include "math/statistics.h"

namespace risetrace::hop {
namespace {

using std::numbers::pi;
constexpr double same_tempo_pct = 2.0;  // a beat heard so close to the one asked for is that one

// The landings that judge a step: steady, and the beat no longer new to the runner.
std::vector<const Hop*> judging(const std::vector<Hop>& hops, const beat::BeatStep& step,
                                const model::HopProtocol& protocol) {
  std::vector<const Hop*> out;
  const bool hopped_before = !hops.empty() && hops.front().touchdown_s < step.from_s;
  int settling = hopped_before ? protocol.settle_hops : 0;
  for (const Hop& hop : hops) {
    if (hop.touchdown_s < step.from_s || hop.touchdown_s >= step.to_s || hop.standing == Standing::no_hop) continue;
    if (settling-- > 0) continue;
    if (hop.standing == Standing::steady) out.push_back(&hop);
  }
  return out;
}

Step judge_step(const std::vector<Hop>& hops, const beat::BeatStep& beat, double common_u_s,
                const model::HopProtocol& protocol) {
  Step step;
  step.beat_bpm = beat.bpm;
  step.from_s = beat.from_s;
  step.to_s = beat.to_s;
  std::vector<double> touchdowns_s;
  std::vector<double> phases_rad;
  const std::vector<const Hop*> judges = judging(hops, beat, protocol);
  for (const Hop* hop : judges) {
    touchdowns_s.push_back(hop->touchdown_s);
    phases_rad.push_back(2 * pi * (hop->touchdown_s - beat.first_s) * beat.bpm / 60);
  }
  step.hops = static_cast<int>(touchdowns_s.size());
  step.hop_rate_hz = landing_rate_hz(touchdowns_s);
  if (step.hop_rate_hz) step.rate_error_pct = 100 * (*step.hop_rate_hz * 60 / beat.bpm - 1);
  if (step.hops >= 2) {
    step.phase_lock = math::mean_direction(phases_rad).length;
    step.phase_p = math::rayleigh_p(*step.phase_lock, step.hops);
  }
  tell_medians(medians_of(judges, common_u_s), step);
  step.kept = step.hops >= protocol.least_hops && step.rate_error_pct &&
              std::abs(*step.rate_error_pct) <= protocol.rate_within_pct && *step.phase_lock >= protocol.least_lock &&
              *step.phase_p <= protocol.greatest_phase_p;
  return step;
}

void note_step(const Step& step, const model::HopProtocol& protocol, Notes& notes) {
  const std::string at = "In the step at " + rounded(step.beat_bpm, 0) + " beats per minute ";
  if (step.hops < protocol.least_hops) {
    notes.push_back(
        {"step-few-hops",
         at + (step.hops == 0 ? "no hop" : "only " + std::to_string(step.hops) + (step.hops == 1 ? " hop" : " hops")) +
             " can be judged where " + std::to_string(protocol.least_hops) + " are needed; it is not called kept.",
         step.from_s});
    return;
  }
  const double of_beat = 1 + step.rate_error_pct.value_or(0) / 100;
  for (const auto& [ratio, words] : {std::pair{0.5, "half"}, {2.0, "twice"}}) {
    if (std::abs(of_beat / ratio - 1) * 100 > protocol.rate_within_pct) continue;
    notes.push_back({"step-other-rate",
                     at + "the hops came " + words + " as often as the beat; that is not called keeping it.",
                     step.from_s});
  }
}

// Steps in the order of the clip, the lowest kept among them.
void sum_up(KeptBeat& kept) {
  for (const Step& step : kept.steps) {
    if (step.kept) kept.lowest_kept_bpm = std::min(kept.lowest_kept_bpm.value_or(step.beat_bpm), step.beat_bpm);
  }
  if (!kept.lowest_kept_bpm) return;
  std::string which;
  std::optional<double> first_s;
  for (const Step& step : kept.steps) {
    if (step.kept || step.beat_bpm <= *kept.lowest_kept_bpm) continue;
    which += (which.empty() ? "" : ", ") + rounded(step.beat_bpm, 0);
    if (!first_s) first_s = step.from_s;
  }
  if (which.empty()) return;
  kept.notes.push_back({"higher-beat-not-kept",
                        "The lowest beat kept is " + rounded(*kept.lowest_kept_bpm, 0) +
                            " per minute, but a higher one was not kept: " + which + ".",
                        first_s});
}

void note_asked(const std::vector<beat::BeatStep>& heard, double asked_bpm, Notes& notes) {
  const bool among = std::any_of(heard.begin(), heard.end(), [&](const beat::BeatStep& step) {
    return std::abs(step.bpm / asked_bpm - 1) * 100 <= same_tempo_pct;
  });
  if (among) return;
  notes.push_back({"beat-heard-differs",
                   "A beat of " + rounded(asked_bpm, 0) + " per minute was asked for, but " +
                       rounded(heard.front().bpm, 0) + (heard.size() > 1 ? " and others were" : " was") +
                       " heard; the hops are judged against what was heard.",
                   heard.front().from_s});
}

// Why there is no beat to judge by, with the listener's own code for it.
std::pair<const char*, std::string> why_no_beat(const beat::Beats& beats) {
  const auto said = [&](const char* code) { return has_note(beats.notes, code); };
  if (said("sound-unreadable") || said("sound-not-opened")) return {"no-beat", "The clip's sound cannot be read"};
  if (said("beat-drifts")) return {"no-beat", "The beat in the sound is not steady"};
  if (said("sound-silent")) return {"sound-silent", "The clip's sound is silent"};
  if (!beats.sound_there) return {"no-sound", "The clip has no sound"};
  return {"no-beat", "No even beat was heard in the clip's sound"};
}

}  // namespace

std::optional<double> landing_rate_hz(const std::vector<double>& touchdowns_s) {
  if (touchdowns_s.size() < 2) return std::nullopt;
  std::vector<double> intervals_s;
  for (std::size_t i = 1; i < touchdowns_s.size(); ++i) intervals_s.push_back(touchdowns_s[i] - touchdowns_s[i - 1]);
  const double usual_s = math::median(intervals_s);
  if (!(usual_s > 0)) return std::nullopt;
  std::vector<double> numbers{0};
  for (const double interval_s : intervals_s) {
    numbers.push_back(numbers.back() + std::max(1.0, std::round(interval_s / usual_s)));
  }
  std::vector<double> slopes_s;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    for (std::size_t j = i + 1; j < numbers.size(); ++j) {
      slopes_s.push_back((touchdowns_s[j] - touchdowns_s[i]) / (numbers[j] - numbers[i]));
    }
  }
  return 1 / math::median(slopes_s);
}

KeptBeat keep_beat(const std::vector<Hop>& hops, const beat::Beats& beats, std::optional<double> asked_bpm,
                   double end_s, double common_u_s, const model::HopProtocol& protocol) {
  KeptBeat kept;
  std::vector<beat::BeatStep> steps = beats.steps;
  if (asked_bpm && !steps.empty()) note_asked(steps, *asked_bpm, kept.notes);
  if (steps.empty() && asked_bpm) {
    steps.push_back({*asked_bpm, 0, 0, end_s, 0, 0});
    kept.notes.push_back({"beat-not-heard",
                          why_no_beat(beats).second + ". The hops are judged against the " + rounded(*asked_bpm, 0) +
                              " per minute asked for; where in the beat they fell is not known.",
                          std::nullopt});
  }
  if (steps.empty()) {
    const auto [code, why] = why_no_beat(beats);
    kept.notes.push_back({code,
                          why + " and no beat was asked for, so whether one was kept is not known. If one was played, "
                                "give it with --beat.",
                          std::nullopt});
    return kept;
  }
  for (const beat::BeatStep& step : steps) {
    kept.steps.push_back(judge_step(hops, step, common_u_s, protocol));
    note_step(kept.steps.back(), protocol, kept.notes);
  }
  sum_up(kept);
  return kept;
}

}  // namespace risetrace::hop
