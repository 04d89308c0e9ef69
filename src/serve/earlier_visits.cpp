#include "serve/earlier_visits.h"

#include <sys/stat.h>

#include "record/record.h"
#include "serve/draft_store.h"

namespace risetrace::serve {

namespace fs = std::filesystem;

std::vector<std::string> write_earlier(const fs::path& record_file, const std::string& code,
                                       const std::string& before_date, const fs::path& folder) {
  std::vector<std::string> names;
  std::error_code ignored;
  fs::remove_all(folder / "earlier", ignored);
  if (!fs::exists(record_file, ignored)) return names;
  const auto record = record::Record::open(record_file);
  if (!record) throw refusal_of(record.error());
  const auto sessions = record->sessions_of(code);
  if (!sessions && sessions.error().fault == Fault::not_in_record) return names;
  if (!sessions) throw refusal_of(sessions.error());
  ::mkdir((folder / "earlier").c_str(), 0700);
  for (const record::KeptSession& session : *sessions) {
    if (session.date >= before_date) continue;
    for (const record::KeptDocument& document : session.documents) {
      if (document.kind != record::Kind::screen || !document.current) continue;
      const auto text = record->text_of(document);
      if (!text) throw refusal_of(text.error());
      const std::string name = "earlier/" + session.date + ".json";
      write_whole(folder / name, *text);
      names.push_back(name);
    }
  }
  return names;
}

}  // namespace risetrace::serve
