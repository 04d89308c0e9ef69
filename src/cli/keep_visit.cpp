#include "cli/keep_visit.h"

#include "base/read_file.h"
#include "cli/measure_session.h"
#include "visit/read_screen.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;
using record::Kind;

// The result as it was measured or handed over; what was typed in stands in the session.
std::optional<fs::path> result_file(const visit::TestEntry& entry, const fs::path& tests) {
  std::error_code ignored;
  switch (entry.got_by) {
    case visit::GotBy::clip: {
      const fs::path measured = tests / folder_name(entry.slot) / "result.json";
      return fs::exists(measured, ignored) ? std::optional(measured) : std::nullopt;  // it may have shown nothing
    }
    case visit::GotBy::result:
      return fs::is_directory(entry.file, ignored) ? entry.file / "result.json" : entry.file;
    case visit::GotBy::hand:
      break;
  }
  return std::nullopt;
}

}  // namespace

Result<std::string> text_of_file(const fs::path& file) {
  auto text = read_file(file, most_document_bytes);
  if (!text) return Error{Fault::session_wrong, file.string() + " cannot be read", ""};
  return *std::move(text);
}

Result<std::vector<visit::EarlierVisit>> earlier_in_record(const record::Record& record, const std::string& code,
                                                           const std::string& date) {
  std::vector<visit::EarlierVisit> earlier;
  const auto sessions = record.sessions_of(code);
  if (!sessions && sessions.error().fault == Fault::not_in_record) return earlier;
  if (!sessions) return sessions.error();
  for (const record::KeptSession& session : *sessions) {
    if (session.date >= date) continue;
    for (const record::KeptDocument& document : session.documents) {
      if (document.kind != Kind::screen || !document.current) continue;
      const auto text = record.text_of(document);
      if (!text) return text.error();
      auto visit = visit::read_screen_text(*text, "the visit of " + session.date + " in the record");
      if (!visit) return visit.error();
      earlier.push_back(*std::move(visit));
    }
  }
  return earlier;
}

Result<record::Saved> keep_visit(record::Record& record, const visit::Screen& screen, const Keeping& keeping) {
  record::Visit visit;
  visit.code = screen.session.person.code;
  visit.date = screen.session.date;
  visit.documents.push_back({Kind::session, "", keeping.session_json});
  visit.documents.push_back({Kind::screen, "", keeping.screen_json});
  if (keeping.log_json) visit.documents.push_back({Kind::log, "", *keeping.log_json});
  for (const visit::TestEntry& entry : screen.session.tests) {
    if (const auto file = result_file(entry, keeping.tests)) {
      auto text = text_of_file(*file);
      if (!text) return text.error();
      visit.documents.push_back({Kind::result, key_of(entry.slot), *std::move(text)});
    }
    const fs::path& clip = entry.got_by == visit::GotBy::clip ? entry.file : entry.clip_of_result;
    if (entry.keep_clip) visit.clips.push_back({key_of(entry.slot), clip});
  }
  return record.save_session(visit, {keeping.by, keeping.correction});
}

}  // namespace risetrace::cli
