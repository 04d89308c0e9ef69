#include <iostream>
#include <memory>

#include "cli/passphrase.h"
#include "cli/record_command.h"
#include "cli/record_place.h"
#include "record/record.h"
#include "record/seal.h"

namespace risetrace::cli {
namespace {

using record::Record;

struct Given {
  std::string record;
  std::string code;
  std::string file;
  std::string passphrase_file;
  bool seal = false;
};

// Unset: none is wanted.
Result<std::optional<std::string>> passphrase_for(const Given& given, bool wanted, bool twice) {
  if (!given.passphrase_file.empty()) {
    auto line = passphrase_from(given.passphrase_file);
    if (!line) return line.error();
    return std::optional(*line);
  }
  if (!wanted) return std::optional<std::string>();
  auto typed = ask_passphrase(twice);
  if (typed && !*typed) return Error{Fault::passphrase_missing, "there is no terminal to ask for it", ""};
  return typed;
}

int run_export(const Given& given, const Program& program) {
  const auto file = record_file(given.record);
  if (!file) return fail(file.error());
  const auto record = Record::open(*file);
  if (!record) return fail(record.error());
  if (const auto there = record->sessions_of(given.code); !there) return fail(there.error());
  if (std::error_code ignored; std::filesystem::exists(given.file, ignored)) {
    return fail({Fault::cannot_write, given.file + " is there already", "give another name with --out"});
  }
  auto passphrase = passphrase_for(given, given.seal, true);
  if (!passphrase) return fail(passphrase.error());
  const bool sealed = passphrase->has_value();
  const auto written = record->export_person(given.code, given.file, {std::move(*passphrase), {}, program.version});
  if (!written) return fail(written.error());
  std::cout << given.file << '\n';
  if (!sealed) std::cout << "Anyone who has this file can read it; --seal or --passphrase-file seals it.\n";
  return 0;
}

int run_import(const Given& given) {
  const auto sealed = record::is_sealed(given.file);
  if (!sealed) return fail(sealed.error());
  const auto passphrase = passphrase_for(given, *sealed, false);
  if (!passphrase) return fail(passphrase.error());
  const auto file = record_file(given.record);
  if (!file) return fail(file.error());
  auto record = Record::open(*file, {.create = true});
  if (!record) return fail(record.error());
  const auto imported = record->import(given.file, *passphrase);
  if (!imported) return fail(imported.error());
  std::cout << imported->code << ": " << counted(imported->sessions_new, "visit") << " taken in";
  if (imported->sessions_grown > 0) std::cout << ", " << imported->sessions_grown << " brought up to date";
  if (imported->sessions_there > 0) std::cout << ", " << imported->sessions_there << " there already";
  std::cout << '\n';
  return 0;
}

}  // namespace

void add_record_transfer(CLI::App& record, const Program& program, Run& run) {
  auto given = std::make_shared<Given>();
  CLI::App* out = record.add_subcommand("export", "everything of one person as a ZIP file in open formats");
  out->add_option("CODE", given->code, "the person")->required();
  out->add_option("--out", given->file, "the file to write")->required();
  out->add_flag("--seal", given->seal, "seal it with a passphrase, asked for in the terminal");
  CLI::App* in = record.add_subcommand("import", "take in an exported file, all of it or nothing");
  in->add_option("FILE", given->file, "as record export wrote it")->required();
  for (CLI::App* command : {out, in}) {
    command->add_option("--passphrase-file", given->passphrase_file, "the passphrase is this file's first line");
    add_record_option(*command, given->record);
  }
  out->callback([given, &program, &run] { run = [given, &program] { return run_export(*given, program); }; });
  in->callback([given, &run] { run = [given] { return run_import(*given); }; });
}

}  // namespace risetrace::cli
