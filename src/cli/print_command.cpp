#include <iostream>

#include "cli/commands.h"
#include "cli/write_aside.h"
#include "model/read_models.h"
#include "report/print_card.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

struct Given {
  std::string what;
  std::string paper = "a4";
  std::string out;
};

Outcome write_page(const Given& given, const model::Models& models, const fs::path& file) {
  const report::Paper paper = given.paper == "a4" ? report::Paper::a4 : report::Paper::letter;
  if (given.what == "card") return report::write_card_pdf(file, models.cards, paper);
  return report::write_stickers_pdf(file, models.stickers, paper);
}

int run_print(const Given& given, const Program& program) {
  const auto folder = model::find_models_folder(program.path);
  if (!folder) return fail(folder.error());
  const auto models = model::read_models(*folder);
  if (!models) return fail(models.error());
  const fs::path out =
      given.out.empty() ? fs::path("risetrace-" + given.what + "-" + given.paper + ".pdf") : fs::path(given.out);
  const auto page = [&](const fs::path& file) { return write_page(given, *models, file); };
  if (auto written = write_aside(out, page); !written) return fail(written.error());
  const char* measure = given.what == "card" ? " and measure the ruler before use" : "";
  std::cout << out.string() << "\nPrint it at 100 % (\"actual size\")" << measure << ".\n";
  return 0;
}

}  // namespace

void add_print_command(CLI::App& app, const Program& program, Run& run) {
  CLI::App* command = app.add_subcommand("print", "the calibration card, or a sheet of stickers, as PDF at true size");
  auto given = std::make_shared<Given>();
  command->add_option("WHAT", given->what, "card or stickers")->required()->check(CLI::IsMember({"card", "stickers"}));
  command->add_option("--paper", given->paper, "a4 or letter")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->capture_default_str();
  command->add_option("--out", given->out, "the PDF file (risetrace-WHAT-PAPER.pdf)");
  command->callback([given, &program, &run] { run = [given, &program] { return run_print(*given, program); }; });
}

}  // namespace risetrace::cli
