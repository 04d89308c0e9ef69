#include <iostream>

#include "cli/commands.h"
#include "model/read_models.h"
#include "report/recount_text.h"
#include "review/read_corrections.h"
#include "review/read_kept_result.h"
#include "review/recount.h"

namespace risetrace::cli {
namespace {

struct Given {
  std::string folder;
  std::string corrections;
  review::HandSettings settings;
  bool json = false;
};

int run_recount(const Given& given, const Program& program) {
  const auto models_folder = model::find_models_folder(program.path);
  if (!models_folder) return fail(models_folder.error());
  const auto models = model::read_models(*models_folder);
  if (!models) return fail(models.error());
  const auto kept = review::read_kept_result(given.folder, models->heel_raise);
  if (!kept) return fail(kept.error());
  review::Corrections corrections = kept->corrections;
  if (!given.corrections.empty()) {
    auto read = review::read_corrections(given.corrections);
    if (!read) return fail(read.error());
    corrections = *std::move(read);
  }
  const auto counted = review::recount(*kept, corrections, given.settings, models->hop);
  if (!counted) return fail(counted.error());
  std::cout << (given.json ? report::recount_json(*counted, program.version) : report::recount_text(*counted));
  std::cout.flush();
  if (!std::cout)
    return fail({Fault::cannot_write, "standard output cannot be written", "free space, or write elsewhere"});
  return 0;
}

}  // namespace

void add_recount_command(CLI::App& app, const Program& program, Run& run) {
  CLI::App* command = app.add_subcommand(
      "recount", "counts a result anew in no time, without its clip: other rules, a person's corrections");
  auto given = std::make_shared<Given>();
  Given& g = *given;
  command->add_option("RESULT_FOLDER", g.folder, "the folder that measure wrote")->required();
  command->add_option("--corrections", g.corrections,
                      "these instead of those that the result was made with (docs/corrections.md)");
  command->add_option("--end-fraction", g.settings.end_fraction, "heel raises: a rep under this part is low")
      ->check(number_between(0.05, 1, ""));
  command->add_option("--end-after", g.settings.end_after, "heel raises: so many low reps in a row end the set")
      ->check(number_between(1, 100, "reps"));
  command
      ->add_option("--reference-reps", g.settings.reference_reps,
                   "heel raises: the reference height is the mean of the first so many reps")
      ->check(number_between(1, 100, "reps"));
  command->add_option("--beat", g.settings.beat_bpm, "the beat asked for, per minute")
      ->check(number_between(10, 300, "/min"));
  command->add_flag("--json", g.json, "the count as JSON on standard output and nothing else there");
  command->callback([given, &program, &run] { run = [given, &program] { return run_recount(*given, program); }; });
}

}  // namespace risetrace::cli
