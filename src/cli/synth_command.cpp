#include <unistd.h>

#include <iostream>
#include <memory>

#include "cli/commands.h"
#include "cli/synth_clip.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

struct Given {
  std::string scene;
  std::string out;
  bool quiet = false;
};

// One line that is written over; nothing where standard error is not a terminal.
void show_progress(double share) {
  std::cerr << "\rrendering " << static_cast<int>(share * 100) << " %" << (share >= 1.0 ? "\n" : "") << std::flush;
}

int run_synth(const Given& given, const Program& program) {
  const auto folder = model::find_models_folder(program.path);
  if (!folder) return fail(folder.error());
  const auto models = model::read_models(*folder);
  if (!models) return fail(models.error());
  const fs::path scene = given.scene;
  const fs::path clip = given.out.empty() ? fs::path(scene.filename()).replace_extension(".mp4") : fs::path(given.out);
  const bool shown = !given.quiet && isatty(STDERR_FILENO) != 0;
  const auto made = render_clip(scene, clip, *models, shown ? show_progress : std::function<void(double)>());
  if (!made) return fail(made.error());
  if (!given.quiet) std::cout << made->clip.string() << '\n' << made->truth.string() << '\n';
  return 0;
}

}  // namespace

void add_synth_command(CLI::App& app, const Program& program, Run& run) {
  CLI::App* command = app.add_subcommand("synth", "render a clip whose truth is known from a scene file");
  auto given = std::make_shared<Given>();
  command->add_option("SCENE", given->scene, "the scene as JSON (docs/scenes.md)")->required();
  command->add_option("--out", given->out, "the clip; its truth goes beside it (SCENE's name + .mp4)");
  command->add_flag("--quiet", given->quiet, "say nothing but errors");
  command->callback([given, &program, &run] { run = [given, &program] { return run_synth(*given, program); }; });
}

}  // namespace risetrace::cli
