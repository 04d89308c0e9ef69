#include <algorithm>
#include <iomanip>
#include <iostream>
#include <map>
#include <memory>
#include <optional>

#include "cli/record_command.h"
#include "cli/record_place.h"
#include "record/kept_json.h"
#include "record/record.h"

namespace risetrace::cli {
namespace {

using record::KeptSession;
using record::Record;

struct Given {
  std::string record;
  std::string code;
  std::string date;
  std::string document;
  bool json = false;
  bool erased = false;
  bool mend = false;
};

Result<Record> opened(const Given& given) {
  const auto file = record_file(given.record);
  if (!file) return file.error();
  return Record::open(*file);
}

// Short enough for a table; the whole one is in --json.
std::string short_of(const std::string& sha256) { return sha256.substr(0, 12); }

std::string said_by(const std::optional<std::string>& by) { return by ? " by " + *by : ""; }

void say_people(const std::vector<record::Person>& people) {
  if (people.empty()) std::cout << "Nobody is in the record.\n";
  for (const auto& one : people) {
    std::cout << std::left << std::setw(20) << one.code << ' ' << std::setw(10) << counted(one.sessions, "visit")
              << "  " << one.first_date << (one.sessions > 1 ? " to " + one.last_date : "") << '\n';
  }
}

void say_receipts(const std::vector<record::Receipt>& receipts) {
  if (receipts.empty()) std::cout << "Nobody was erased.\n";
  for (const auto& one : receipts) {
    std::cout << one.number << "  " << one.at << "  " << counted(one.sessions, "visit") << ", "
              << counted(one.documents, "document") << ", " << counted(one.clips, "clip") << said_by(one.by) << '\n';
  }
}

void say_session(const KeptSession& session) {
  std::cout << session.code << ", visit of " << session.date << '\n';
  for (const auto& one : session.revisions) {
    std::cout << "  saving " << one.number << "  " << one.at << said_by(one.by) << (one.why ? ": corrected, " : "")
              << one.why.value_or("") << '\n';
  }
  const auto row = [](const std::string& name, const auto& part) {
    std::cout << "  " << std::left << std::setw(34) << name << " saving " << part.revision << "  " << std::right
              << std::setw(11) << part.bytes << " bytes  " << short_of(part.sha256)
              << (part.current ? "" : "  replaced") << '\n';
  };
  for (const auto& one : session.documents) row(key_of(one.kind) + (one.slot.empty() ? "" : "/" + one.slot), one);
  for (const auto& one : session.clips) row("clip/" + one.slot, one);
}

int say_sessions(const std::vector<KeptSession>& sessions) {
  for (const KeptSession& one : sessions) {
    const auto corrections =
        std::count_if(one.revisions.begin(), one.revisions.end(), [](const auto& revision) { return revision.why; });
    std::cout << one.date << "  " << std::left << std::setw(13)
              << counted(static_cast<long long>(one.documents.size()), "document") << "  "
              << counted(static_cast<long long>(one.clips.size()), "clip");
    if (corrections > 0) std::cout << "  " << counted(corrections, "correction");
    std::cout << '\n';
  }
  return 0;
}

int run_list(const Given& given) {
  const auto record = opened(given);
  if (!record) return fail(record.error());
  if (!given.code.empty()) {
    const auto sessions = record->sessions_of(given.code);
    if (!sessions) return fail(sessions.error());
    if (!given.json) return say_sessions(*sessions);
    std::cout << record::sessions_json(given.code, *sessions, {});
    return 0;
  }
  const auto people = record->people();
  if (!people) return fail(people.error());
  const auto receipts = record->receipts();
  if (!receipts) return fail(receipts.error());
  if (given.json) std::cout << record::people_json(*people, *receipts);
  if (!given.json && given.erased) say_receipts(*receipts);
  if (!given.json && !given.erased) say_people(*people);
  return 0;
}

// The text as it was saved, byte for byte.
int print_document(const Record& record, const KeptSession& session, const std::string& name) {
  for (const auto& one : session.documents) {
    if (!one.current || name != key_of(one.kind) + (one.slot.empty() ? "" : "/" + one.slot)) continue;
    const auto text = record.text_of(one);
    if (!text) return fail(text.error());
    std::cout << *text;
    return 0;
  }
  return fail({Fault::not_in_record, session.code + "'s visit of " + session.date + " has no '" + name + "'",
               "see risetrace record show " + session.code + " " + session.date});
}

int print_all(const Record& record, const KeptSession& session) {
  std::map<std::int64_t, std::string> texts;
  for (const auto& one : session.documents) {
    auto text = record.text_of(one);
    if (!text) return fail(text.error());
    texts[one.row] = std::move(*text);
  }
  std::cout << record::sessions_json(session.code, {session}, texts);
  return 0;
}

int run_show(const Given& given) {
  const auto record = opened(given);
  if (!record) return fail(record.error());
  const auto sessions = record->sessions_of(given.code);
  if (!sessions) return fail(sessions.error());
  const auto found = given.date.empty() ? sessions->end() - 1
                                        : std::find_if(sessions->begin(), sessions->end(),
                                                       [&](const KeptSession& one) { return one.date == given.date; });
  if (found == sessions->end()) {
    return fail({Fault::not_in_record, given.code + " has no visit of '" + given.date + "'",
                 "see risetrace record list " + given.code});
  }
  if (!given.document.empty()) return print_document(*record, *found, given.document);
  if (given.json) return print_all(*record, *found);
  say_session(*found);
  return 0;
}

int run_verify(const Given& given) {
  auto record = opened(given);
  if (!record) return fail(record.error());
  const auto problems = record->verify(given.mend);
  if (!problems) return fail(problems.error());
  if (given.json) std::cout << record::problems_json(*problems);
  if (!given.json && problems->empty()) std::cout << "Everything is as it was saved.\n";
  bool mendable = false;
  long long left = 0;
  for (const auto& one : *problems) {
    if (!given.json) std::cout << one.code << ": " << one.text << (one.mended ? " (mended)" : "") << '\n';
    if (!one.mended) ++left;
    mendable = mendable || (one.code != "document-damaged" && one.code != "clip-damaged" &&
                            one.code != "clip-missing" && one.code != "database-damaged");
  }
  if (left == 0) return 0;
  return fail({Fault::record_damaged, counted(left, "problem") + (left == 1 ? " was" : " were") + " found",
               mendable && !given.mend ? "risetrace record verify --mend clears what can be cleared"
                                       : "put back a copy of what is damaged or missing"});
}

}  // namespace

void add_record_reading(CLI::App& record, Run& run) {
  auto given = std::make_shared<Given>();
  CLI::App* list = record.add_subcommand("list", "who is in the record, or one person's visits");
  list->add_option("CODE", given->code, "the person");
  list->add_flag("--erased", given->erased, "the receipts of erasures instead");
  CLI::App* show = record.add_subcommand("show", "one visit: its documents, clips and corrections");
  show->add_option("CODE", given->code, "the person")->required();
  show->add_option("DATE", given->date, "YYYY-MM-DD (the newest)");
  show->add_option("--document", given->document,
                   "print one document as saved: session, result/heel-raise/left/straight");
  CLI::App* verify = record.add_subcommand("verify", "is everything there and as it was saved?");
  verify->add_flag("--mend", given->mend, "remove files that belong to nothing, set rights, finish erasures");
  for (CLI::App* command : {list, show, verify}) {
    command->add_flag("--json", given->json, "as JSON on standard output");
    add_record_option(*command, given->record);
  }
  list->callback([given, &run] { run = [given] { return run_list(*given); }; });
  show->callback([given, &run] { run = [given] { return run_show(*given); }; });
  verify->callback([given, &run] { run = [given] { return run_verify(*given); }; });
}

}  // namespace risetrace::cli
