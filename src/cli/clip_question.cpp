#include "cli/clip_question.h"

#include "cli/commands.h"

namespace risetrace::cli {
namespace {

Outcome places_fit(const ClipQuestion& given) {
  if (given.test == "lunge") {
    return Error{Fault::option_wrong, "--test lunge is not measured by this version", "use heel-raise or hop"};
  }
  if (!given.forefoot_px.empty() && (given.test != "hop" || given.filming.heel_px.empty())) {
    return Error{Fault::option_wrong, "--forefoot is for hops and goes with --heel", "give both, with --test hop"};
  }
  return Done{};
}

}  // namespace

Result<measure::MeasureOptions> options_of(const ClipQuestion& given, const model::Models& models) {
  if (const Outcome fit = places_fit(given); !fit) return fit.error();
  measure::MeasureOptions options;
  options.read.capture_fps = given.filming.capture_fps;
  options.scale = given.filming.scale_options();
  options.track.heel_px = given.filming.heel();
  if (!given.forefoot_px.empty()) options.track.forefoot_px = Point{given.forefoot_px[0], given.forefoot_px[1]};
  options.hop_protocol = models.hop;
  measure::Asked& asked = options.asked;
  asked.test = test_from(given.test).value_or(Test::heel_raise);
  asked.side = side_from(given.side).value_or(Side::not_stated);
  asked.knee = knee_from(given.knee).value_or(Knee::not_stated);
  asked.mass_kg = given.mass_kg;
  asked.protocol = models.heel_raise;
  if (given.end_fraction) asked.protocol.end_fraction = *given.end_fraction;
  if (given.end_after) asked.protocol.end_after = *given.end_after;
  if (given.reference_reps) asked.protocol.reference_reps = *given.reference_reps;
  if (given.beat_bpm) asked.protocol.beat_bpm = *given.beat_bpm;
  asked.beat_bpm = given.beat_bpm;
  if (auto right = scale::check(options.scale); !right) return right.error();
  return options;
}

void add_clip_options(CLI::App& command, ClipQuestion& question) {
  ClipQuestion& g = question;
  command.add_option("CLIP", g.clip, "the video file")->required();
  command.add_option("--test", g.test, "what was done: heel-raise or hop; lunge is not built yet")
      ->check(CLI::IsMember({"heel-raise", "hop", "lunge"}))
      ->capture_default_str();
  command.add_option("--side", g.side, "the leg tested")->check(CLI::IsMember({"left", "right", "both"}));
  command.add_option("--knee", g.knee, "how the knee was held")->check(CLI::IsMember({"straight", "bent"}));
  command.add_option("--mass", g.mass_kg, "body mass in kg; without it no work and no stiffness is given")
      ->check(number_between(10, 400, "kg"));
  add_filming_options(command, g.filming);
  command.add_option("--forefoot", g.forefoot_px, "hops: X,Y of the forefoot sticker in the first frame; with --heel")
      ->delimiter(',')
      ->expected(2)
      ->check(number_between(0, 20000, "px"));
  command
      .add_option("--end-fraction", g.end_fraction,
                  "heel raises: a rep under this part of the reference height is low (0.75)")
      ->check(number_between(0.05, 1, ""));
  command.add_option("--end-after", g.end_after, "heel raises: so many low reps in a row end the set (2)")
      ->check(number_between(1, 100, "reps"));
  command
      .add_option("--reference-reps", g.reference_reps,
                  "heel raises: the reference height is the mean of the first so many reps (3)")
      ->check(number_between(1, 100, "reps"));
  command
      .add_option("--beat", g.beat_bpm,
                  "the beat asked for, per minute; heel raises: one up, one down (60); hops: as heard in the sound")
      ->check(number_between(10, 300, "/min"));
}

}  // namespace risetrace::cli
