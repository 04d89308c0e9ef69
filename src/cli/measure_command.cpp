#include <unistd.h>

#include <atomic>
#include <csignal>
#include <ctime>
#include <iostream>
#include <optional>

#include "cli/commands.h"
#include "cli/filming_options.h"
#include "measure/lunge_still.h"
#include "measure/measure_clip.h"
#include "measure/measure_hops.h"
#include "model/read_models.h"
#include "report/overlay.h"
#include "report/report_pdf.h"
#include "report/result_folder.h"
#include "report/result_json.h"
#include "report/summary.h"
#include "report/trace_csv.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

struct Given {
  std::string clip;
  std::string test = "heel-raise";
  std::string side;
  std::string knee;
  std::optional<double> mass_kg;
  Filming filming;
  std::vector<double> forefoot_px;
  std::vector<double> ankle_px;
  std::vector<double> knee_px;
  std::vector<double> hip_px;
  std::vector<double> toe_px;
  std::optional<double> wall_px;
  std::optional<double> end_fraction;
  std::optional<int> end_after;
  std::optional<int> reference_reps;
  std::optional<double> beat_bpm;
  std::string out;
  bool overlay = false;
  bool report = false;
  bool json = false;
  bool quiet = false;
  bool verbose = false;
};

std::atomic<bool> interrupted = false;

extern "C" void on_interrupt(int /*signal*/) { interrupted = true; }

// A bar on the terminal, redrawn in place; nothing where standard error is not one.
class ProgressBar {
 public:
  explicit ProgressBar(bool wanted) : wanted_(wanted && isatty(STDERR_FILENO) != 0) {}
  void show(const Progress& progress) {
    if (!wanted_) return;
    const int percent = static_cast<int>(100 * progress.share);
    if (percent == percent_ && progress.stage == stage_) return;
    percent_ = percent;
    stage_ = progress.stage;
    constexpr int width = 40;
    const int filled = percent * width / 100;
    std::cerr << "\r" << stage_ << " [" << std::string(static_cast<std::size_t>(filled), '#')
              << std::string(static_cast<std::size_t>(width - filled), '.') << "] " << percent << " %  " << std::flush;
  }
  void clear() {
    if (wanted_ && percent_ >= 0) std::cerr << "\r\033[K" << std::flush;
    percent_ = -1;
  }

 private:
  bool wanted_;
  int percent_ = -1;
  std::string stage_;
};

Result<measure::MeasureOptions> options_from(const Given& given, const model::Models& models) {
  measure::MeasureOptions options;
  options.read.capture_fps = given.filming.capture_fps;
  options.scale = given.filming.scale_options();
  options.track.heel_px = given.filming.heel();
  const auto point = [](const std::vector<double>& xy) { return Point{xy[0], xy[1]}; };
  if (!given.forefoot_px.empty()) options.track.forefoot_px = point(given.forefoot_px);
  if (!given.hip_px.empty()) options.track.leg_px = {point(given.ankle_px), point(given.knee_px), point(given.hip_px)};
  if (!given.knee_px.empty()) options.lunge_track.shank_px = {point(given.ankle_px), point(given.knee_px)};
  options.hop_protocol = models.hop;
  measure::Asked& asked = options.asked;
  asked.test = test_from(given.test).value_or(Test::heel_raise);
  asked.side = side_from(given.side).value_or(Side::not_stated);
  asked.knee = knee_from(given.knee).value_or(Knee::not_stated);
  asked.mass_kg = given.mass_kg;
  asked.protocol = models.heel_raise;
  asked.angles = models.angles;
  if (!given.toe_px.empty()) asked.toe_px = point(given.toe_px);
  asked.wall_x_px = given.wall_px;
  if (given.end_fraction) asked.protocol.end_fraction = *given.end_fraction;
  if (given.end_after) asked.protocol.end_after = *given.end_after;
  if (given.reference_reps) asked.protocol.reference_reps = *given.reference_reps;
  if (given.beat_bpm) asked.protocol.beat_bpm = *given.beat_bpm;
  asked.beat_bpm = given.beat_bpm;
  if (auto right = scale::check(options.scale); !right) return right.error();
  return options;
}

std::string today() {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  localtime_r(&now, &parts);
  char text[16];
  std::strftime(text, sizeof text, "%Y-%m-%d", &parts);
  return text;
}

// Decodes the clip once more, with its colours, for the overlay.
Outcome draw_overlay(const fs::path& file, const Given& given, const measure::Measurement& measurement,
                     const Watcher& watcher) {
  clip::ReadOptions options;
  options.capture_fps = given.filming.capture_fps;
  options.keep_chroma = true;
  Result<clip::ClipReader> reader = clip::ClipReader::open(given.clip, options);
  if (!reader) return reader.error();
  return report::write_overlay(
      file.string(), measurement, [&] { return reader->next(); }, watcher);
}

Outcome write_results(const Given& given, const Program& program, const measure::Measurement& measurement,
                      const std::string& json, const fs::path& out, const Watcher& watcher) {
  Result<report::ResultFolder> folder = report::ResultFolder::begin(out);
  if (!folder) return folder.error();
  if (auto done = report::write_text(folder->path("result.json"), json); !done) return done;
  if (auto done = report::write_text(folder->path("trace.csv"), report::trace_csv(measurement)); !done) return done;
  if (given.report) {
    if (auto done = report::write_report(folder->path("report.pdf").string(), measurement, program.version, today());
        !done) {
      return done;
    }
  }
  if (given.overlay) {
    if (auto done = draw_overlay(folder->path("overlay.mp4"), given, measurement, watcher); !done) return done;
  }
  return folder->commit();
}

void say_where(const Given& given, const fs::path& out) {
  std::cout << "result   " << (out / "result.json").string() << "\n";
  std::cout << "trace    " << (out / "trace.csv").string() << "\n";
  if (given.overlay) std::cout << "overlay  " << (out / "overlay.mp4").string() << "\n";
  if (given.report) std::cout << "report   " << (out / "report.pdf").string() << "\n";
}

// Which places may be pointed out in which test, and which go together.
Outcome places_fit(const Given& given) {
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

int run_measure(const Given& given, const Program& program) {
  if (const Outcome fits = places_fit(given); !fits) return fail(fits.error());
  const auto folder = model::find_models_folder(program.path);
  if (!folder) return fail(folder.error());
  const auto models = model::read_models(*folder);
  if (!models) return fail(models.error());
  const auto options = options_from(given, *models);
  if (!options) return fail(options.error());

  std::signal(SIGINT, on_interrupt);
  std::signal(SIGTERM, on_interrupt);
  ProgressBar bar(!given.quiet);
  Watcher watcher;
  watcher.on_progress = [&](const Progress& progress) { bar.show(progress); };
  watcher.stop_asked = [] { return interrupted.load(); };
  // The place is tried before minutes of measuring, not after; nothing of it is left behind.
  const fs::path out = given.out.empty() ? fs::path(given.clip + ".risetrace") : fs::path(given.out);
  if (std::error_code ignored; fs::is_regular_file(given.clip, ignored)) {
    if (const auto place = report::ResultFolder::begin(out); !place) return fail(place.error());
  }
  auto measured = measure::measure_clip(given.clip, models->cards, *options, watcher);
  if (!measured) {
    bar.clear();
    return fail(measured.error());
  }
  if (given.report) {
    if (auto done = measure::add_event_strips(*measured, given.clip, options->read); !done) return fail(done.error());
    if (auto done = measure::add_lunge_still(*measured, given.clip, options->read); !done) return fail(done.error());
  }
  const std::string json = report::result_json(*measured, program.version);
  const Outcome written = write_results(given, program, *measured, json, out, watcher);
  bar.clear();
  if (!written) return fail(written.error());
  if (given.json) {
    std::cout << json;
  } else if (!given.quiet) {
    std::cout << report::summary(*measured, isatty(STDOUT_FILENO) != 0);
    say_where(given, out);
  }
  if (given.verbose) {
    for (const auto& stage : measured->stage_times) std::cerr << stage.stage << ": " << stage.seconds << " s\n";
  }
  std::cout.flush();
  if (!std::cout)
    return fail({Fault::cannot_write, "standard output cannot be written", "free space, or write elsewhere"});
  return 0;
}

}  // namespace

void add_measure_command(CLI::App& app, const Program& program, Run& run) {
  CLI::App* command = app.add_subcommand("measure", "measure the heel raises, the hops or the lunge of one clip");
  auto given = std::make_shared<Given>();
  Given& g = *given;
  command->add_option("CLIP", g.clip, "the video file")->required();
  command->add_option("--test", g.test, "what was done: heel-raise, hop or lunge (knee to wall)")
      ->check(CLI::IsMember({"heel-raise", "hop", "lunge"}))
      ->capture_default_str();
  command->add_option("--side", g.side, "the leg tested")->check(CLI::IsMember({"left", "right", "both"}));
  command->add_option("--knee", g.knee, "how the knee was held")->check(CLI::IsMember({"straight", "bent"}));
  command->add_option("--mass", g.mass_kg, "body mass in kg; without it no work and no stiffness is given")
      ->check(number_between(10, 400, "kg"));
  add_filming_options(*command, g.filming);
  const auto add_place = [&](const char* name, std::vector<double>& place, const char* help) {
    command->add_option(name, place, help)->delimiter(',')->expected(2)->check(number_between(0, 20000, "px"));
  };
  add_place("--forefoot", g.forefoot_px, "hops: X,Y of the forefoot sticker in the first frame; with --heel");
  add_place("--ankle", g.ankle_px, "X,Y of the ankle sticker in the first frame, if it is not found; with --knee-at");
  add_place("--knee-at", g.knee_px, "X,Y of the knee sticker; in heel raises with --ankle and --hip");
  add_place("--hip", g.hip_px, "heel raises: X,Y of the hip sticker");
  add_place("--toe", g.toe_px, "lunges: X,Y of the shoe's tip in the first frame, for the distance to the wall");
  command->add_option("--wall", g.wall_px, "lunges: X of the wall at the floor beside the toes; with --toe")
      ->check(number_between(0, 20000, "px"));
  command
      ->add_option("--end-fraction", g.end_fraction,
                   "heel raises: a rep under this part of the reference height is low (0.75)")
      ->check(number_between(0.05, 1, ""));
  command->add_option("--end-after", g.end_after, "heel raises: so many low reps in a row end the set (2)")
      ->check(number_between(1, 100, "reps"));
  command
      ->add_option("--reference-reps", g.reference_reps,
                   "heel raises: the reference height is the mean of the first so many reps (3)")
      ->check(number_between(1, 100, "reps"));
  command
      ->add_option("--beat", g.beat_bpm,
                   "the beat asked for, per minute; heel raises: one up, one down (60); hops: as heard in the sound")
      ->check(number_between(10, 300, "/min"));
  command->add_option("--out", g.out, "the result folder (CLIP's name + .risetrace)");
  command->add_flag("--overlay", g.overlay,
                    "draw overlay.mp4: the clip with what was measured; hops at a quarter of the speed");
  command->add_flag("--report", g.report, "make report.pdf, one page");
  command->add_flag("--json", g.json, "the result on standard output and nothing else there");
  command->add_flag("--quiet", g.quiet, "say nothing but errors");
  command->add_flag("--verbose", g.verbose, "say how long each stage took");
  command->callback([given, &program, &run] { run = [given, &program] { return run_measure(*given, program); }; });
}

}  // namespace risetrace::cli
