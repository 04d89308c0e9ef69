#include "cli/clip_question.h"

#include "cli/commands.h"

namespace risetrace::cli {
namespace {

// Which places may be pointed out in which test, and which go together.
Outcome places_fit(const ClipQuestion& given) {
  const auto wrong = [](const char* why, const char* what_to_do) {
    return Error{Fault::option_wrong, why, what_to_do};
  };
  const bool lunge = given.test == "lunge";
  if (!given.forefoot_px.empty() && (given.test != "hop" || given.filming.heel_px.empty())) {
    return wrong("--forefoot is for hops and goes with --heel", "give both, with --test hop");
  }
  const bool any_of_leg = !given.ankle_px.empty() || !given.knee_px.empty() || !given.hip_px.empty();
  if (any_of_leg && given.test == "hop")
    return wrong("--ankle, --knee-at and --hip are not for hops", "leave them out");
  if (lunge && !given.hip_px.empty()) return wrong("--hip is for heel raises", "leave it out");
  if (lunge && given.ankle_px.empty() != given.knee_px.empty()) {
    return wrong("--ankle and --knee-at go together", "give both, or neither");
  }
  if (!lunge && any_of_leg && (given.ankle_px.empty() || given.knee_px.empty() || given.hip_px.empty())) {
    return wrong("--ankle, --knee-at and --hip go together", "give all three, or none");
  }
  if (!lunge && (!given.toe_px.empty() || given.wall_px)) {
    return wrong("--toe and --wall are for lunges", "give them with --test lunge");
  }
  if (given.toe_px.empty() != !given.wall_px) return wrong("--toe and --wall go together", "give both, or neither");
  if (lunge && !given.filming.heel_px.empty()) return wrong("--heel is not for lunges", "give --ankle and --knee-at");
  return Done{};
}

void add_place(CLI::App& command, const char* name, std::vector<double>& place, const char* help) {
  command.add_option(name, place, help)->delimiter(',')->expected(2)->check(number_between(0, 20000, "px"));
}

}  // namespace

Result<measure::MeasureOptions> options_of(const ClipQuestion& given, const model::Models& models) {
  if (const Outcome fit = places_fit(given); !fit) return fit.error();
  measure::MeasureOptions options;
  options.read.capture_fps = given.filming.capture_fps;
  options.scale = given.filming.scale_options();
  options.track.heel_px = place(given.filming.heel_px);
  options.track.forefoot_px = place(given.forefoot_px);
  if (!given.hip_px.empty())
    options.track.leg_px = {*place(given.ankle_px), *place(given.knee_px), *place(given.hip_px)};
  if (!given.knee_px.empty()) options.lunge_track.shank_px = {*place(given.ankle_px), *place(given.knee_px)};
  options.hop_protocol = models.hop;
  options.hand_marks = models.hand_marks;
  measure::Asked& asked = options.asked;
  asked.test = test_from(given.test).value_or(Test::heel_raise);
  asked.side = side_from(given.side).value_or(Side::not_stated);
  asked.knee = knee_from(given.knee).value_or(Knee::not_stated);
  asked.mass_kg = given.mass_kg;
  asked.protocol = models.heel_raise;
  asked.angles = models.angles;
  asked.toe_px = place(given.toe_px);
  asked.wall_x_px = given.wall_px;
  if (given.end_fraction) asked.protocol.end_fraction = *given.end_fraction;
  if (given.end_after) asked.protocol.end_after = *given.end_after;
  if (given.reference_reps) asked.protocol.reference_reps = *given.reference_reps;
  if (given.beat_bpm) asked.protocol.beat_bpm = *given.beat_bpm;
  asked.beat_bpm = given.beat_bpm;
  asked.told = {options.scale,         given.filming.capture_fps, options.track.heel_px, options.track.forefoot_px,
                place(given.ankle_px), place(given.knee_px),      place(given.hip_px)};
  if (auto right = scale::check(options.scale); !right) return right.error();
  return options;
}

void add_clip_options(CLI::App& command, ClipQuestion& question) {
  ClipQuestion& g = question;
  command.add_option("CLIP", g.clip, "the video file")->required();
  command.add_option("--test", g.test, "what was done: heel-raise, hop or lunge (knee to wall)")
      ->check(CLI::IsMember({"heel-raise", "hop", "lunge"}))
      ->capture_default_str();
  add_raise_options(command, g);
  add_place(command, "--forefoot", g.forefoot_px, "hops: X,Y of the forefoot sticker in the first frame; with --heel");
  add_place(command, "--toe", g.toe_px,
            "lunges: X,Y of the shoe's tip in the first frame, for the distance to the wall");
  command.add_option("--wall", g.wall_px, "lunges: X of the wall at the floor beside the toes; with --toe")
      ->check(number_between(0, 20000, "px"));
}

void add_raise_options(CLI::App& command, ClipQuestion& question) {
  ClipQuestion& g = question;
  command.add_option("--side", g.side, "the leg tested")->check(CLI::IsMember({"left", "right", "both"}));
  command.add_option("--knee", g.knee, "how the knee was held")->check(CLI::IsMember({"straight", "bent"}));
  command.add_option("--mass", g.mass_kg, "body mass in kg; without it no work and no stiffness is given")
      ->check(number_between(10, 400, "kg"));
  add_filming_options(command, g.filming);
  add_place(command, "--ankle", g.ankle_px,
            "X,Y of the ankle sticker in the first frame, if it is not found; with --knee-at");
  add_place(command, "--knee-at", g.knee_px, "X,Y of the knee sticker; in heel raises with --ankle and --hip");
  add_place(command, "--hip", g.hip_px, "heel raises: X,Y of the hip sticker");
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
