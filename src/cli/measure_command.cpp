#include <unistd.h>

#include <iostream>

#include "cli/clip_question.h"
#include "cli/commands.h"
#include "cli/result_files.h"
#include "cli/watch.h"
#include "measure/lunge_still.h"
#include "measure/measure_hops.h"
#include "report/result_folder.h"
#include "report/result_json.h"
#include "report/summary.h"
#include "review/corrections_left.h"
#include "review/read_corrections.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

struct Given {
  ClipQuestion clip;
  bool overlay = false;
  bool frames = false;
  std::string corrections;
  bool report = false;
  std::string out;
  bool json = false;
  bool quiet = false;
  bool verbose = false;
  bool progress_lines = false;
};

Outcome write_results(const Given& given, const measure::MeasureOptions& options, const Program& program,
                      const measure::Measurement& measurement, const std::string& json, const fs::path& out,
                      const std::optional<std::string>& corrected_before, const Watcher& watcher) {
  Result<report::ResultFolder> folder = report::ResultFolder::begin(out);
  if (!folder) return folder.error();
  Outcome done = write_result_files(folder->path(""), measurement, json, {given.report, given.overlay, given.frames},
                                    given.clip.clip, options.read, program.version, watcher);
  if (done && corrected_before) {
    done = report::write_text(folder->path(review::corrections_before), *corrected_before);
  }
  return done ? folder->commit() : done;
}

void say_where(const Given& given, const fs::path& out, bool corrected_before) {
  std::cout << "result   " << (out / "result.json").string() << "\n";
  std::cout << "trace    " << (out / "trace.csv").string() << "\n";
  if (given.overlay) std::cout << "overlay  " << (out / "overlay.mp4").string() << "\n";
  if (given.frames) std::cout << "frames   " << (out / "frames.mp4").string() << "\n";
  if (given.report) std::cout << "report   " << (out / "report.pdf").string() << "\n";
  if (!corrected_before) return;
  std::cout
      << "The result that was there had been corrected by hand, which this one is not. The corrections are kept:\n"
      << "         --corrections " << (out / review::corrections_before).string() << "\n";
}

int run_measure(const Given& given, const Program& program) {
  const auto failed = [&given](const Error& error) { return fail_telling(error, given.progress_lines); };
  const auto folder = model::find_models_folder(program.path);
  if (!folder) return failed(folder.error());
  const auto models = model::read_models(*folder);
  if (!models) return failed(models.error());
  auto options = options_of(given.clip, *models);
  if (!options) return failed(options.error());
  if (!given.corrections.empty()) {
    auto corrections = review::read_corrections(given.corrections);
    if (!corrections) return failed(corrections.error());
    options->corrections = *std::move(corrections);
  }

  listen_for_interrupts();
  ProgressBar bar(!given.quiet, given.progress_lines);
  Watcher watcher;
  watcher.on_progress = [&](const Progress& progress) { bar.show(progress); };
  watcher.stop_asked = interrupted;
  const std::string& clip = given.clip.clip;
  // The place is tried before minutes of measuring, not after; nothing of it is left behind.
  const fs::path out = given.out.empty() ? fs::path(clip + ".risetrace") : fs::path(given.out);
  if (std::error_code ignored; fs::is_regular_file(clip, ignored)) {
    if (const auto place = report::ResultFolder::begin(out); !place) return failed(place.error());
  }
  auto measured = measure::measure_clip(clip, models->cards, *options, watcher);
  if (!measured) {
    bar.clear();
    return failed(measured.error());
  }
  if (given.report) {
    if (auto done = measure::add_event_strips(*measured, clip, options->read); !done) return failed(done.error());
    if (auto done = measure::add_lunge_still(*measured, clip, options->read); !done) return failed(done.error());
  }
  const std::string json = report::result_json(*measured, program.version);
  // With corrections given, those before are replaced on purpose.
  const auto corrected_before =
      given.corrections.empty() ? review::corrections_left(out, measured->clip_sha256) : std::nullopt;
  const Outcome written = write_results(given, *options, program, *measured, json, out, corrected_before, watcher);
  bar.clear();
  if (!written) return failed(written.error());
  if (given.json) {
    std::cout << json;
  } else if (!given.quiet) {
    std::cout << report::summary(*measured, isatty(STDOUT_FILENO) != 0);
    say_where(given, out, corrected_before.has_value());
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
  add_clip_options(*command, g.clip);
  command->add_option("--out", g.out, "the result folder (CLIP's name + .risetrace)");
  command->add_flag("--overlay", g.overlay,
                    "draw overlay.mp4: the clip with what was measured; hops at a quarter of the speed");
  command->add_flag("--frames", g.frames,
                    "write frames.mp4 and foot.mp4, every frame a picture of its own, for going through it on a page");
  command->add_option("--corrections", g.corrections,
                      "what a person corrected in an earlier result of this clip (docs/corrections.md)");
  command->add_flag("--report", g.report, "make report.pdf, one page");
  command->add_flag("--json", g.json, "the result on standard output and nothing else there");
  command->add_flag("--quiet", g.quiet, "say nothing but errors");
  add_progress_option(*command, g.progress_lines);
  command->add_flag("--verbose", g.verbose, "say how long each stage took");
  command->callback([given, &program, &run] { run = [given, &program] { return run_measure(*given, program); }; });
}

}  // namespace risetrace::cli
