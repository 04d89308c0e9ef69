#include <algorithm>
#include <fstream>
#include <iostream>
#include <iterator>
#include <memory>

#include "cli/passphrase.h"
#include "cli/record_command.h"
#include "cli/record_place.h"
#include "record/kept_json.h"
#include "record/record.h"

namespace risetrace::cli {
namespace {

using record::Kind;
using record::Record;

struct GivenVisit {
  std::string record;
  std::string code;
  std::string date;
  std::string session;
  std::string screen;
  std::string log;
  std::vector<std::string> results;  // SLOT=FILE
  std::vector<std::string> clips;
  std::string by;
  std::string correct;
};

Result<std::pair<std::string, std::string>> slot_and_file(const std::string& given) {
  const auto at = given.find('=');
  if (at != std::string::npos && at > 0 && at + 1 < given.size())
    return std::pair(given.substr(0, at), given.substr(at + 1));
  return Error{Fault::option_wrong, "'" + given + "' is not SLOT=FILE", "write it as heel-raise/left/straight=FILE"};
}

Outcome add_document(record::Visit& visit, Kind kind, const std::string& slot, const std::string& file) {
  if (file.empty()) return Done{};
  std::ifstream in(file, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(in), {}};
  if (!in) return Error{Fault::option_wrong, file + ": it cannot be read", "give a file of this machine"};
  visit.documents.push_back({kind, slot, std::move(text)});
  return Done{};
}

Result<record::Visit> visit_of(const GivenVisit& given) {
  record::Visit visit{given.code, given.date, {}, {}};
  if (auto added = add_document(visit, Kind::session, "", given.session); !added) return added.error();
  if (auto added = add_document(visit, Kind::screen, "", given.screen); !added) return added.error();
  if (auto added = add_document(visit, Kind::log, "", given.log); !added) return added.error();
  for (const std::string& one : given.results) {
    const auto parts = slot_and_file(one);
    if (!parts) return parts.error();
    if (auto added = add_document(visit, Kind::result, parts->first, parts->second); !added) return added.error();
  }
  for (const std::string& one : given.clips) {
    const auto parts = slot_and_file(one);
    if (!parts) return parts.error();
    visit.clips.push_back({parts->first, parts->second});
  }
  return visit;
}

int run_add(const GivenVisit& given) {
  const auto visit = visit_of(given);
  if (!visit) return fail(visit.error());
  const auto file = record_file(given.record);
  if (!file) return fail(file.error());
  auto record = Record::open(*file, {.create = true});
  if (!record) return fail(record.error());
  const auto saved = record->save_session(*visit, {unless_empty(given.by), unless_empty(given.correct)});
  if (!saved) return fail(saved.error());
  std::cout << given.code << ", visit of " << given.date
            << (saved->already_there ? ": kept already, as saving " : ": kept, as saving ") << saved->revision << '\n';
  return 0;
}

struct GivenErasure {
  std::string record;
  std::string code;
  std::string again;
  std::string by;
  bool json = false;
};

std::string size_of(std::int64_t bytes) {
  return bytes < 1000000 ? counted(bytes, "byte") : std::to_string((bytes + 500000) / 1000000) + " MB";
}

std::string amount_of(const std::vector<record::KeptSession>& sessions) {
  std::size_t documents = 0;
  std::size_t clips = 0;
  for (const auto& one : sessions) {
    documents += one.documents.size();
    clips += one.clips.size();
  }
  return counted(static_cast<long long>(sessions.size()), "visit") + ", " +
         counted(static_cast<long long>(documents), "document") + " and " +
         counted(static_cast<long long>(clips), "clip");
}

// The code once more, given or typed.
Outcome agreed(const GivenErasure& given, const Record& record) {
  const auto sessions = record.sessions_of(given.code);
  if (!sessions) return sessions.error();
  std::string again = given.again;
  if (again.empty()) {
    const auto typed = ask_line("This erases " + amount_of(*sessions) + " of " + given.code +
                                " for good.\nType the code again to do so: ");
    if (!typed) {
      return Error{Fault::option_wrong, "nobody is there to be asked", "give --yes-erase " + given.code};
    }
    again = *typed;
  }
  if (again == given.code) return Done{};
  return Error{Fault::option_wrong, "'" + again + "' is not the code '" + given.code + "'", "nothing was erased"};
}

int run_erase(const GivenErasure& given) {
  const auto file = record_file(given.record);
  if (!file) return fail(file.error());
  auto record = Record::open(*file);
  if (!record) return fail(record.error());
  if (auto yes = agreed(given, *record); !yes) return fail(yes.error());
  const auto erased = record->erase(given.code, unless_empty(given.by));
  if (!erased) return fail(erased.error());
  const auto& receipt = erased->receipt;
  if (given.json) {
    std::cout << record::receipt_json(receipt, erased->swept);
  } else {
    std::cout << "Erased: " << counted(receipt.sessions, "visit") << ", " << counted(receipt.documents, "document")
              << ", " << counted(receipt.clips, "clip") << " (" << size_of(receipt.clip_bytes) << ").\nReceipt "
              << receipt.number << " of " << receipt.at << "; it is kept too, and holds nothing of the person.\n"
              << "Backups, exported files and what a disk keeps of removed files are not reached: docs/record.md\n";
  }
  if (erased->swept) return 0;
  return fail({Fault::record_busy,
               "the visits are erased, but traces stay: another program has the record open, or the disk is full",
               "see to that and run risetrace record verify --mend"});
}

}  // namespace

void add_record_writing(CLI::App& record, Run& run) {
  auto visit = std::make_shared<GivenVisit>();
  CLI::App* add = record.add_subcommand("add", "keep a visit's documents and clips");
  add->add_option("CODE", visit->code, "the person: letters, digits, . _ -; never a name")->required();
  add->add_option("--date", visit->date, "YYYY-MM-DD")->required();
  add->add_option("--session", visit->session, "what was asked and told, a JSON file");
  add->add_option("--result", visit->results, "SLOT=FILE, a result.json: heel-raise/left/straight=FILE");
  add->add_option("--screen", visit->screen, "the visit as judged, a JSON file");
  add->add_option("--log", visit->log, "training done, a JSON file");
  add->add_option("--clip", visit->clips, "SLOT=FILE, a clip to be copied");
  add->add_option("--by", visit->by, "who saves it");
  add->add_option("--correct", visit->correct, "why what is kept is replaced; the old one stays");
  add_record_option(*add, visit->record);
  add->callback([visit, &run] { run = [visit] { return run_add(*visit); }; });

  auto erasure = std::make_shared<GivenErasure>();
  CLI::App* erase = record.add_subcommand("erase", "remove all of a person for good; leaves a receipt");
  erase->add_option("CODE", erasure->code, "the person")->required();
  erase->add_option("--yes-erase", erasure->again, "the code again, where nobody can be asked");
  erase->add_option("--by", erasure->by, "who erases");
  erase->add_flag("--json", erasure->json, "the receipt as JSON on standard output");
  add_record_option(*erase, erasure->record);
  erase->callback([erasure, &run] { run = [erasure] { return run_erase(*erasure); }; });
}

}  // namespace risetrace::cli
