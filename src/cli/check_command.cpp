#include <unistd.h>

#include <iostream>

#include "cli/commands.h"
#include "cli/filming_options.h"
#include "cli/write_aside.h"
#include "clip/read_clip.h"
#include "measure/check_clip.h"
#include "model/read_models.h"
#include "report/check_json.h"
#include "report/check_picture.h"
#include "report/check_text.h"

namespace risetrace::cli {
namespace {

struct Given {
  std::string clip;
  std::string test = "heel-raise";
  Filming filming;
  std::string picture;
  std::string first_frame;
  bool json = false;
};

// Nothing is looked for in it: for pointing things out where they were not found.
int write_first_frame(const Given& given) {
  clip::ReadOptions options;
  options.keep_chroma = true;
  auto reader = clip::ClipReader::open(given.clip, options);
  if (!reader) return fail(reader.error());
  const auto frame = reader->next();
  if (!frame) return fail(frame.error());
  if (!*frame) return fail({Fault::clip_no_frames, "not one can be decoded", ""});
  const auto written = write_aside(
      given.first_frame, [&](const auto& aside) { return report::write_plain_picture(aside.string(), **frame); });
  return written ? 0 : fail({written.error().fault, written.error().why, "choose another file with --first-frame"});
}

int run_check(const Given& given, const Program& program) {
  if (!given.first_frame.empty()) return write_first_frame(given);
  const auto folder = model::find_models_folder(program.path);
  if (!folder) return fail(folder.error());
  const auto models = model::read_models(*folder);
  if (!models) return fail(models.error());
  measure::CheckOptions options;
  options.read.capture_fps = given.filming.capture_fps;
  options.read.keep_chroma = !given.picture.empty();
  options.scale = given.filming.scale_options();
  options.heel_px = place(given.filming.heel_px);
  options.test = given.test == "hop" ? Test::hop : Test::heel_raise;
  options.smooth_cutoff_hz = models->heel_raise.smooth_cutoff_hz;
  options.limits = models->check;
  const auto check = measure::check_clip(given.clip, models->cards, options);
  if (!check) return fail(check.error());
  if (!given.picture.empty()) {
    const auto written = write_aside(
        given.picture, [&](const auto& aside) { return report::write_check_picture(aside.string(), *check); });
    if (!written) return fail({written.error().fault, written.error().why, "choose another file with --picture"});
  }
  std::cout << (given.json ? report::check_json(*check, program.version)
                           : report::check_text(*check, isatty(STDOUT_FILENO) != 0));
  std::cout.flush();
  if (!std::cout)
    return fail({Fault::cannot_write, "standard output cannot be written", "free space, or write elsewhere"});
  return check->stopped_by ? fail(*check->stopped_by) : 0;
}

}  // namespace

void add_check_command(CLI::App& app, const Program& program, Run& run) {
  CLI::App* command = app.add_subcommand(
      "check", "is this set-up good enough? Looks at the first 3 seconds: card, sticker, light, frame rate");
  auto given = std::make_shared<Given>();
  Given& g = *given;
  command->add_option("CLIP", g.clip, "two or three seconds of the runner standing, perhaps one trial raise")
      ->required();
  command->add_option("--test", g.test, "what is to be filmed: heel-raise or hop")
      ->check(CLI::IsMember({"heel-raise", "hop"}))
      ->capture_default_str();
  add_filming_options(*command, g.filming);
  command->add_option("--picture", g.picture, "write a still of the clip with what was found drawn on it, PNG");
  command->add_option("--first-frame", g.first_frame,
                      "write the clip's first frame upright and in full size, PNG, and check nothing");
  command->add_flag("--json", g.json, "the answer as JSON on standard output and nothing else there");
  command->footer("Exit status: 0 good enough, or usable with limits; 4 nothing could be measured like this");
  command->callback([given, &program, &run] { run = [given, &program] { return run_check(*given, program); }; });
}

}  // namespace risetrace::cli
