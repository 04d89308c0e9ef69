#include <iostream>

#include "cli/commands.h"
#include "cli/record_place.h"
#include "cli/watch.h"
#include "model/read_models.h"
#include "serve/serve.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

struct Given {
  int port = 8737;
  bool lan = false;
  std::string record;
  int at_once = 1;
};

void say_open(const serve::Opened& opened) {
  for (const std::string& address : opened.addresses) std::cout << "open     " << address << "\n";
  if (!opened.fingerprint.empty()) std::cout << "certificate SHA-256 " << opened.fingerprint << "\n";
  std::cout << "Not a medical device: it decides nothing. Ctrl-C ends it." << std::endl;
}

int run_serve(const Given& given, const Program& program) {
  const auto models = model::find_models_folder(program.path);
  if (!models) return fail(models.error());
  const auto record = record_file(given.record);
  if (!record) return fail(record.error());
  std::error_code ignored;
  serve::ServeOptions options{program.path, *models,      fs::absolute(*record, ignored), program.version, given.port,
                              given.lan,    given.at_once};
  listen_for_interrupts();
  serve::ServeHooks hooks;
  hooks.on_open = say_open;
  hooks.on_code = [](const std::string& code) { std::cout << "code     " << code << std::endl; };
  hooks.stop_asked = interrupted;
  if (const Outcome served = serve::serve(options, hooks); !served) return fail(served.error());
  return 0;
}

}  // namespace

void add_serve_command(CLI::App& app, const Program& program, Run& run) {
  CLI::App* command = app.add_subcommand("serve", "the page: visits, clips and papers in the browser of this computer");
  auto given = std::make_shared<Given>();
  Given& g = *given;
  command->add_option("--port", g.port, "of this computer; 0: any that is free")
      ->check(number_between(0, 65535, ""))
      ->capture_default_str();
  command->add_flag("--lan", g.lan, "for others on the network too, phones among them: over TLS and with a code");
  command->add_option("--at-once", g.at_once, "clips measured at the same time")
      ->check(number_between(1, 16, ""))
      ->capture_default_str();
  add_record_option(*command, g.record);
  command->callback([given, &program, &run] { run = [given, &program] { return run_serve(*given, program); }; });
}

}  // namespace risetrace::cli
