#include <algorithm>
#include <iostream>

#include "cli/commands.h"
#include "cli/keep_visit.h"
#include "cli/measure_session.h"
#include "cli/record_place.h"
#include "cli/watch.h"
#include "report/fhir_bundle.h"
#include "report/result_folder.h"
#include "report/runner_sheet.h"
#include "report/screen_csv.h"
#include "report/screen_json.h"
#include "report/screen_report.h"
#include "report/screen_summary.h"
#include "visit/evaluate.h"
#include "visit/follow_ladder.h"
#include "visit/read_screen.h"
#include "visit/read_session.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

struct Given {
  std::string session;
  std::string out;
  std::string own_models;
  std::string language = "en";
  bool keep = false;
  std::string record;      // whose file; empty: the usual place
  std::string correction;  // why a kept visit is replaced
  bool json = false;
  bool quiet = false;
  bool progress_lines = false;
};

// All that is read before the first clip is.
struct Prepared {
  model::Models models;
  model::VisitModels visit_models;
  model::Wording clinician;
  model::Wording runner;
  visit::Visit visit;
  std::optional<record::Record> record;  // where the visit is to be kept
};

// A question of one's own in place of ours needs words in every paper; there are none but for our keys.
Outcome check_words(const model::Cautions& cautions, const model::Wording& words) {
  for (const model::CautionQuestion& question : cautions.questions) {
    if (words.has("caution." + question.key + ".question")) continue;
    return Error{Fault::option_wrong, "cautions.json asks '" + question.key + "', for which the papers have no words",
                 "use the keys of ours; what each means may be changed"};
  }
  return Done{};
}

Outcome read_earlier(const model::TrainingRules& rules, visit::Visit& visit) {
  for (const fs::path& file : visit.session.earlier) {
    auto earlier = visit::read_screen(file);
    if (!earlier) return earlier.error();
    visit.earlier.push_back(*std::move(earlier));
  }
  if (visit.session.training_log) {
    auto log = visit::read_training_log(*visit.session.training_log, visit.session.person.code, rules);
    if (!log) return log.error();
    visit.log = *std::move(log);
  }
  return Done{};
}

// With a record the earlier visits are those in it, beside those the session names.
Outcome open_record(const Given& given, Prepared& prepared) {
  if (!given.keep) return Done{};
  const auto file = record_file(given.record);
  if (!file) return file.error();
  auto record = record::Record::open(*file, {.create = true});
  if (!record) return record.error();
  visit::Visit& visit = prepared.visit;
  auto earlier = earlier_in_record(*record, visit.session.person.code, visit.session.date);
  if (!earlier) return earlier.error();
  for (visit::EarlierVisit& one : *earlier) {
    // The record has the corrections.
    std::erase_if(visit.earlier, [&](const visit::EarlierVisit& other) { return other.date == one.date; });
    visit.earlier.push_back(std::move(one));
  }
  prepared.record.emplace(*std::move(record));
  return Done{};
}

Result<Prepared> prepare(const Given& given, const Program& program) {
  const auto folder = model::find_models_folder(program.path);
  if (!folder) return folder.error();
  auto models = model::read_models(*folder);
  if (!models) return models.error();
  const auto own = given.own_models.empty() ? std::nullopt : std::optional(fs::path(given.own_models));
  auto visit_models = model::read_visit_models(*folder, own);
  if (!visit_models) return visit_models.error();
  auto clinician = model::read_wording(*folder, "clinician", given.language);
  if (!clinician) return clinician.error();
  auto runner = model::read_wording(*folder, "runner", given.language);
  if (!runner) return runner.error();
  if (const Outcome worded = check_words(visit_models->cautions, *clinician); !worded) return worded.error();
  auto session = visit::read_session(given.session, *visit_models);
  if (!session) return session.error();
  Prepared out{*std::move(models), *std::move(visit_models), *std::move(clinician), *std::move(runner), {}, {}};
  out.visit.session = *std::move(session);
  if (const Outcome earlier = read_earlier(out.visit_models.training, out.visit); !earlier) return earlier.error();
  if (const Outcome opened = open_record(given, out); !opened) return opened.error();
  return out;
}

Outcome write_papers(const report::ResultFolder& folder, const visit::Screen& screen, const Prepared& prepared,
                     const std::string& json, const std::string& version) {
  const std::string day = today();
  Outcome done = report::write_text(folder.path("screen.json"), json);
  if (done) done = report::write_text(folder.path("values.csv"), report::values_csv(screen));
  if (done) done = report::write_text(folder.path("comparison.csv"), report::comparison_csv(screen));
  if (done) {
    done = report::write_text(folder.path("fhir.json"), report::fhir_bundle(screen, prepared.clinician, version));
  }
  if (done) {
    done = report::write_screen_report(folder.path("clinician.pdf").string(), screen, prepared.clinician, version, day);
  }
  if (done)
    done = report::write_runner_sheet(folder.path("runner.pdf").string(), screen, prepared.runner, version, day);
  return done;
}

Outcome keep(const Given& given, const visit::Screen& screen, const std::string& json, const fs::path& tests,
             Prepared& prepared) {
  if (!prepared.record) return Done{};
  auto session = text_of_file(given.session);
  if (!session) return session.error();
  Keeping keeping{*std::move(session),           json, tests, {}, unless_empty(screen.session.tester),
                  unless_empty(given.correction)};
  if (screen.session.training_log) {
    auto log = text_of_file(*screen.session.training_log);
    if (!log) return log.error();
    keeping.log_json = *std::move(log);
  }
  const auto saved = keep_visit(*prepared.record, screen, keeping);
  if (!saved) return saved.error();
  return Done{};
}

void say_where(const fs::path& out) {
  for (const auto& [what, file] : {std::pair{"clinician  ", "clinician.pdf"},
                                   {"runner     ", "runner.pdf"},
                                   {"numbers    ", "screen.json"},
                                   {"tables     ", "values.csv"},
                                   {"FHIR R4    ", "fhir.json"}}) {
    std::cout << what << (out / file).string() << "\n";
  }
}

int run_screen(const Given& given, const Program& program) {
  const auto failed = [&given](const Error& error) { return fail_telling(error, given.progress_lines); };
  if (!given.keep && (!given.record.empty() || !given.correction.empty())) {
    return failed({Fault::option_wrong, "--record and --correction go with --keep", "add --keep"});
  }
  auto prepared = prepare(given, program);
  if (!prepared) return failed(prepared.error());
  const fs::path out = given.out.empty() ? fs::path(given.session + ".risetrace") : fs::path(given.out);
  auto folder = report::ResultFolder::begin(out, report::visit_form());
  if (!folder) return failed(folder.error());

  listen_for_interrupts();
  ProgressBar bar(!given.quiet, given.progress_lines);
  const auto watcher_of = [&](const std::string& slot) {
    Watcher watcher;
    watcher.on_progress = [&bar, slot](const Progress& progress) { bar.show(progress, slot); };
    watcher.stop_asked = interrupted;
    return watcher;
  };
  auto measured =
      measure_session(prepared->visit.session, prepared->models, folder->path("tests"), program.version, watcher_of);
  bar.clear();
  if (!measured) return failed(measured.error());
  prepared->visit.results = std::move(measured->results);
  const std::size_t earlier = prepared->visit.earlier.size();
  auto screen = visit::evaluate(std::move(prepared->visit), prepared->visit_models);
  if (!screen) return failed(screen.error());
  screen->notes.insert(screen->notes.end(), measured->notes.begin(), measured->notes.end());
  const std::string json = report::screen_json(*screen, program.version);
  Outcome done = write_papers(*folder, *screen, *prepared, json, program.version);
  // Kept before the folder gets its name: what could not be kept is not shown as done.
  if (done) done = keep(given, *screen, json, folder->path("tests"), *prepared);
  if (done) done = folder->commit();
  if (!done) return failed(done.error());
  if (given.json) {
    std::cout << json;
  } else if (!given.quiet) {
    std::cout << report::screen_summary(*screen, prepared->clinician) << "\n";
    say_where(out);
    if (given.keep)
      std::cout << "kept in the record, beside " << earlier << " earlier visit" << (earlier == 1 ? "" : "s") << "\n";
  }
  std::cout.flush();
  if (!std::cout) {
    return failed({Fault::cannot_write, "standard output cannot be written", "free space, or write elsewhere"});
  }
  return 0;
}

}  // namespace

void add_screen_command(CLI::App& app, const Program& program, Run& run) {
  CLI::App* command = app.add_subcommand(
      "screen", "one visit of one person: the clips measured, sides compared, findings, plan, papers");
  auto given = std::make_shared<Given>();
  Given& g = *given;
  command->add_option("SESSION", g.session, "the session file (docs/screen.md)")->required();
  command->add_option("--out", g.out, "the result folder (SESSION's name + .risetrace)");
  command->add_option("--models", g.own_models,
                      "a folder with your own references, cut-offs, cautions, ladders or rules in place of ours");
  command->add_option("--language", g.language, "of the papers: en, de")->capture_default_str();
  command->add_flag("--keep", g.keep, "keep the visit in the record; earlier visits of the person are taken from it");
  add_record_option(*command, g.record);
  command->add_option("--correction", g.correction,
                      "why a visit that is kept already is replaced; the old one stays too");
  command->add_flag("--json", g.json, "screen.json on standard output and nothing else there");
  add_progress_option(*command, g.progress_lines);
  command->add_flag("--quiet", g.quiet, "say nothing but errors");
  command->callback([given, &program, &run] { run = [given, &program] { return run_screen(*given, program); }; });
}

}  // namespace risetrace::cli
