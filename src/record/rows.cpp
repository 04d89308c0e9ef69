#include "record/rows.h"

#include <ctime>
#include <map>
#include <utility>

namespace risetrace::record {
namespace {

using SQLite::Statement;

std::optional<std::string> text_or_null(const SQLite::Column& column) {
  if (column.isNull()) return std::nullopt;
  return column.getString();
}

void bind_or_null(Statement& statement, int at, const std::optional<std::string>& text) {
  if (text) statement.bind(at, *text);
  if (!text) statement.bind(at);
}

std::vector<Revision> revisions_of(SQLite::Database& database, std::int64_t session) {
  std::vector<Revision> revisions;
  Statement row(database, "SELECT number, at, by_whom, why FROM revision WHERE session = ? ORDER BY number");
  row.bind(1, session);
  while (row.executeStep()) {
    revisions.push_back({row.getColumn(0).getInt(), row.getColumn(1).getString(), text_or_null(row.getColumn(2)),
                         text_or_null(row.getColumn(3))});
  }
  return revisions;
}

std::vector<KeptDocument> documents_of(SQLite::Database& database, std::int64_t session) {
  std::vector<KeptDocument> documents;
  Statement row(database,
                "SELECT kind, slot, revision, sha256, length(CAST(json AS BLOB)), id FROM document WHERE session = ? "
                "ORDER BY CASE kind WHEN 'session' THEN 0 WHEN 'result' THEN 1 WHEN 'screen' THEN 2 ELSE 3 END, "
                "slot, revision");
  row.bind(1, session);
  while (row.executeStep()) {
    const auto kind = kind_from(row.getColumn(0).getString());
    if (!kind) throw SQLite::Exception("a document is of an unknown kind", 11);  // SQLITE_CORRUPT
    documents.push_back({*kind, row.getColumn(1).getString(), row.getColumn(2).getInt(), true,
                         row.getColumn(3).getString(), row.getColumn(4).getInt64(), row.getColumn(5).getInt64()});
  }
  return documents;
}

std::vector<KeptClip> clips_of(SQLite::Database& database, const ClipStore& clips, std::int64_t session) {
  std::vector<KeptClip> found;
  Statement row(database,
                "SELECT slot, revision, sha256, bytes, extension FROM clip WHERE session = ? ORDER BY slot, revision");
  row.bind(1, session);
  while (row.executeStep()) {
    const std::string sha256 = row.getColumn(2).getString();
    found.push_back({row.getColumn(0).getString(), row.getColumn(1).getInt(), true, sha256, row.getColumn(3).getInt64(),
                     row.getColumn(4).getString(), clips.file_of(sha256)});
  }
  return found;
}

std::optional<std::int64_t> only_row(Statement& statement) {
  if (!statement.executeStep()) return std::nullopt;
  return statement.getColumn(0).getInt64();
}

}  // namespace

std::string now_utc() {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  gmtime_r(&now, &parts);
  std::string text(20, '\0');
  std::strftime(text.data(), text.size() + 1, "%Y-%m-%dT%H:%M:%SZ", &parts);
  return text;
}

void mark_current(KeptSession& session) {
  std::map<std::pair<std::string, std::string>, int> newest;
  for (const auto& document : session.documents) {
    int& last = newest[{key_of(document.kind), document.slot}];
    last = std::max(last, document.revision);
  }
  for (const auto& clip : session.clips) {
    int& last = newest[{"clip", clip.slot}];
    last = std::max(last, clip.revision);
  }
  for (auto& document : session.documents) {
    document.current = newest[{key_of(document.kind), document.slot}] == document.revision;
  }
  for (auto& clip : session.clips) clip.current = newest[{"clip", clip.slot}] == clip.revision;
}

std::optional<std::int64_t> find_person(SQLite::Database& database, const std::string& code) {
  Statement row(database, "SELECT id FROM person WHERE code = ?");
  row.bind(1, code);
  return only_row(row);
}

std::optional<std::int64_t> find_session(SQLite::Database& database, const std::string& code, const std::string& date) {
  Statement row(database,
                "SELECT session.id FROM session JOIN person ON person.id = person WHERE code = ? AND date = ?");
  row.bind(1, code);
  row.bind(2, date);
  return only_row(row);
}

std::int64_t session_row(SQLite::Database& database, const std::string& code, const std::string& date) {
  Statement person(database, "INSERT INTO person (code) VALUES (?) ON CONFLICT DO NOTHING");
  person.bind(1, code);
  person.exec();
  Statement session(
      database, "INSERT INTO session (person, date) SELECT id, ? FROM person WHERE code = ? ON CONFLICT DO NOTHING");
  session.bind(1, date);
  session.bind(2, code);
  session.exec();
  return find_session(database, code, date).value();
}

std::vector<Person> all_people(SQLite::Database& database) {
  std::vector<Person> people;
  Statement row(database,
                "SELECT code, count(*), min(date), max(date) FROM person JOIN session ON person = person.id "
                "GROUP BY person.id ORDER BY code");
  while (row.executeStep()) {
    people.push_back({row.getColumn(0).getString(), row.getColumn(1).getInt(), row.getColumn(2).getString(),
                      row.getColumn(3).getString()});
  }
  return people;
}

std::vector<KeptSession> all_sessions(SQLite::Database& database, const ClipStore& clips, const std::string& code) {
  std::vector<KeptSession> sessions;
  Statement row(database,
                "SELECT session.id, date FROM session JOIN person ON person.id = person WHERE code = ? ORDER BY date");
  row.bind(1, code);
  while (row.executeStep()) {
    const std::int64_t id = row.getColumn(0).getInt64();
    KeptSession session{code, row.getColumn(1).getString(), revisions_of(database, id), documents_of(database, id),
                        clips_of(database, clips, id)};
    mark_current(session);
    sessions.push_back(std::move(session));
  }
  return sessions;
}

std::vector<Receipt> all_receipts(SQLite::Database& database) {
  std::vector<Receipt> receipts;
  Statement row(database,
                "SELECT number, at, by_whom, sessions, documents, clips, clip_bytes FROM receipt ORDER BY at, number");
  while (row.executeStep()) {
    receipts.push_back({row.getColumn(0).getString(), row.getColumn(1).getString(), text_or_null(row.getColumn(2)),
                        row.getColumn(3).getInt(), row.getColumn(4).getInt(), row.getColumn(5).getInt(),
                        row.getColumn(6).getInt64()});
  }
  return receipts;
}

std::optional<std::string> text_of_row(SQLite::Database& database, std::int64_t row) {
  Statement found(database, "SELECT json FROM document WHERE id = ?");
  found.bind(1, row);
  if (!found.executeStep()) return std::nullopt;
  return found.getColumn(0).getString();
}

void insert_revision(SQLite::Database& database, std::int64_t session, const Revision& revision) {
  Statement insert(database, "INSERT INTO revision (session, number, at, by_whom, why) VALUES (?, ?, ?, ?, ?)");
  insert.bind(1, session);
  insert.bind(2, revision.number);
  insert.bind(3, revision.at);
  bind_or_null(insert, 4, revision.by);
  bind_or_null(insert, 5, revision.why);
  insert.exec();
}

void insert_document(SQLite::Database& database, std::int64_t session, const KeptDocument& document,
                     const std::string& text) {
  Statement insert(database,
                   "INSERT INTO document (session, revision, kind, slot, sha256, json) VALUES (?, ?, ?, ?, ?, ?)");
  insert.bind(1, session);
  insert.bind(2, document.revision);
  insert.bind(3, key_of(document.kind));
  insert.bind(4, document.slot);
  insert.bind(5, document.sha256);
  insert.bind(6, text);
  insert.exec();
}

void insert_clip(SQLite::Database& database, std::int64_t session, const KeptClip& clip) {
  Statement insert(database,
                   "INSERT INTO clip (session, revision, slot, sha256, bytes, extension) VALUES (?, ?, ?, ?, ?, ?)");
  insert.bind(1, session);
  insert.bind(2, clip.revision);
  insert.bind(3, clip.slot);
  insert.bind(4, clip.sha256);
  insert.bind(5, clip.bytes);
  insert.bind(6, clip.extension);
  insert.exec();
}

void insert_receipt(SQLite::Database& database, const Receipt& receipt) {
  Statement insert(database,
                   "INSERT INTO receipt (number, at, by_whom, sessions, documents, clips, clip_bytes) "
                   "VALUES (?, ?, ?, ?, ?, ?, ?)");
  insert.bind(1, receipt.number);
  insert.bind(2, receipt.at);
  bind_or_null(insert, 3, receipt.by);
  insert.bind(4, receipt.sessions);
  insert.bind(5, receipt.documents);
  insert.bind(6, receipt.clips);
  insert.bind(7, receipt.clip_bytes);
  insert.exec();
}

bool has_clip(SQLite::Database& database, const std::string& sha256) {
  Statement row(database, "SELECT 1 FROM clip WHERE sha256 = ?");
  row.bind(1, sha256);
  return row.executeStep();
}

}  // namespace risetrace::record
