#include <algorithm>
#include <cmath>
#include <iostream>
#include <memory>
#include <optional>
#include <sstream>

#include "beat/make_click_track.h"
#include "cli/commands.h"
#include "cli/write_aside.h"
#include "report/wav_file.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

struct Given {
  std::optional<double> bpm;
  std::string ladder;
  std::optional<int> bars;
  std::optional<double> seconds;
  std::string out;
  bool list = false;
};

constexpr double steady_s = 120.0;  // a set of heel raises to 60 per minute seldom lasts longer; ours
constexpr int ladder_bars = 10;     // ours: 40 hops, more than the seven that a step wants

constexpr int judged_beats = 8;  // models/hop.json: settle_hops and least_hops

std::string shown(double value) {
  std::ostringstream text;
  text << value;
  return text.str();
}

Result<std::vector<double>> tempos(const Given& given) {
  if (given.bpm) return std::vector<double>{*given.bpm};
  return beat::ladder_bpm(given.ladder);
}

int beats_of_step(const Given& given, double bpm) {
  if (given.bars) return *given.bars * beat::beats_per_bar;
  if (!given.seconds && !given.bpm) return ladder_bars * beat::beats_per_bar;
  // The whole beats that fit; a hair is added because 120 s at 60 per minute must be 120 and not 119.
  return std::max(1, static_cast<int>(std::floor(given.seconds.value_or(steady_s) * bpm / 60.0 + 1e-9)));
}

Outcome options_fit(const Given& given) {
  const auto wrong = [](const std::string& why, const std::string& what_to_do) {
    return Error{Fault::option_wrong, why, what_to_do};
  };
  if (given.bpm && !given.ladder.empty()) return wrong("--bpm and --ladder exclude each other", "give one of them");
  if (!given.bpm && given.ladder.empty()) return wrong("no tempo is given", "give --bpm N or --ladder FROM:TO:STEPS");
  if (given.bars && given.seconds) return wrong("--bars and --seconds exclude each other", "give one of them");
  return Done{};
}

fs::path default_name(const std::vector<double>& bpm) {
  const std::string tempo = bpm.size() == 1 ? shown(bpm[0]) : shown(bpm.front()) + "-" + shown(bpm.back());
  return "risetrace-beat-" + tempo + ".wav";
}

void say(const fs::path& out, const beat::ClickTrack& track, const std::vector<beat::TempoStep>& steps) {
  std::cout << out.string() << '\n';
  std::cout << "Four low clicks run in, then";
  for (std::size_t i = 0; i < steps.size(); ++i) {
    std::cout << (i == 0 ? " " : ", ") << steps[i].beats << (steps[i].beats == 1 ? " beat at " : " beats at ")
              << shown(steps[i].bpm);
  }
  const double length_s = static_cast<double>(track.samples.size()) / track.rate_hz;
  std::cout << " per minute; " << shown(std::round(length_s)) << " s in all. A high click opens each tempo.\n";
  const bool short_steps =
      std::any_of(steps.begin(), steps.end(), [](const beat::TempoStep& step) { return step.beats < judged_beats; });
  if (steps.size() > 1 && short_steps) {
    std::cout << "A step of fewer than " << judged_beats
              << " beats leaves too few hops to judge whether it was kept.\n";
  }
}

int run_beat(const Given& given) {
  if (auto fit = options_fit(given); !fit) return fail(fit.error());
  const auto bpm = tempos(given);
  if (!bpm) return fail(bpm.error());
  beat::ClickTrackPlan plan;
  for (const double each : *bpm) plan.steps.push_back({each, beats_of_step(given, each)});
  const auto track = beat::make_click_track(plan);
  if (!track) return fail(track.error());
  const fs::path out = given.out.empty() ? default_name(*bpm) : fs::path(given.out);
  const fs::path list = fs::path(out).replace_extension(".csv");
  if (given.list && list == out) {
    return fail({Fault::option_wrong, "--list would write over the sound, " + out.string(), "end --out with .wav"});
  }
  if (out.has_extension() && out.extension() != ".wav" && out.extension() != ".WAV") {
    return fail({Fault::option_wrong,
                 "the sound is written as WAV, not as " + out.extension().string() + ": " + out.string(),
                 "end --out with .wav"});
  }
  const auto wav = [&](const fs::path& file) { return report::write_wav(file, *track); };
  const auto csv = [&](const fs::path& file) { return report::write_beat_list(file, *track); };
  if (auto done = write_aside(out, wav); !done) return fail(done.error());
  if (given.list) {
    if (auto done = write_aside(list, csv); !done) return fail(done.error());
  }
  say(out, *track, plan.steps);
  if (given.list) std::cout << list.string() << '\n';
  return 0;
}

}  // namespace

void add_beat_command(CLI::App& app, const Program& /*program*/, Run& run) {
  CLI::App* command = app.add_subcommand("beat", "a click track as WAV: steady, or a ladder of tempos going down");
  auto given = std::make_shared<Given>();
  command->add_option("--bpm", given->bpm, "a steady beat, per minute; heel raises: 60 (one beat up, one down)")
      ->check(number_between(beat::least_bpm, beat::greatest_bpm, "per minute"));
  command->add_option("--ladder", given->ladder,
                      "FROM:TO:STEPS, as 150:100:6 for 150, 140, 130, 120, 110 and 100 per minute");
  command->add_option("--bars", given->bars, "how long each tempo lasts, in bars of four beats (ladder: 10)")
      ->check(number_between(1, 1000, ""));
  command->add_option("--seconds", given->seconds, "the same in seconds, whole beats (steady: 120)")
      ->check(number_between(1, 1800, "s"));
  command->add_option("--out", given->out, "the WAV file (risetrace-beat-TEMPO.wav)");
  command->add_flag("--list", given->list, "also write each beat's time beside it, as CSV");
  command->footer(
      "Play it loud from a loudspeaker near the phone that films. A loudspeaker 1 m further away is heard 2.9 ms\n"
      "later. Four low clicks run in; a high click opens each tempo. docs/beat.md says more.");
  command->callback([given, &run] { run = [given] { return run_beat(*given); }; });
}

}  // namespace risetrace::cli
