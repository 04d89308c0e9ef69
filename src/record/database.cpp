#include "record/database.h"

#include <fcntl.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <thread>

#include "record/posix_file.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

// Step N brings version N to N + 1. A step that was released is never changed: add another.
constexpr std::array<const char*, newest_version> steps = {
    R"(
CREATE TABLE person (
  id INTEGER PRIMARY KEY,
  code TEXT NOT NULL UNIQUE) STRICT;
CREATE TABLE session (
  id INTEGER PRIMARY KEY,
  person INTEGER NOT NULL REFERENCES person (id) ON DELETE CASCADE,
  date TEXT NOT NULL,
  UNIQUE (person, date)) STRICT;
CREATE TABLE revision (
  session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
  number INTEGER NOT NULL CHECK (number >= 0),
  at TEXT NOT NULL,
  by_whom TEXT,
  why TEXT,
  PRIMARY KEY (session, number)) STRICT;
CREATE TABLE document (
  id INTEGER PRIMARY KEY,
  session INTEGER NOT NULL,
  revision INTEGER NOT NULL,
  kind TEXT NOT NULL,
  slot TEXT NOT NULL,
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
  json TEXT NOT NULL,
  UNIQUE (session, kind, slot, revision),
  FOREIGN KEY (session, revision) REFERENCES revision (session, number) ON DELETE CASCADE) STRICT;
CREATE TABLE clip (
  id INTEGER PRIMARY KEY,
  session INTEGER NOT NULL,
  revision INTEGER NOT NULL,
  slot TEXT NOT NULL,
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
  bytes INTEGER NOT NULL CHECK (bytes >= 0),
  extension TEXT NOT NULL,
  UNIQUE (session, slot, revision),
  FOREIGN KEY (session, revision) REFERENCES revision (session, number) ON DELETE CASCADE) STRICT;
CREATE INDEX clip_by_sha256 ON clip (sha256);
)",
    // doomed: clips of an erasure whose files are still to go; an empty name stands for the sweep of this file.
    R"(
CREATE TABLE receipt (
  number TEXT PRIMARY KEY,
  at TEXT NOT NULL,
  by_whom TEXT,
  sessions INTEGER NOT NULL,
  documents INTEGER NOT NULL,
  clips INTEGER NOT NULL,
  clip_bytes INTEGER NOT NULL) STRICT;
CREATE TABLE doomed (sha256 TEXT PRIMARY KEY) STRICT;
)"};

int pragma(SQLite::Database& database, const char* name) {
  return database.execAndGet(std::string("PRAGMA ") + name).getInt();
}

Error not_ours(const fs::path& file) {
  return {Fault::record_unreadable, file.string() + ": it is another program's database",
          "name the record with --record FILE"};
}

// Two programs that make the same record at once: the change to WAL does not wait of itself.
void set_wal(SQLite::Database& database) {
  using namespace std::chrono_literals;
  for (int tries = 0;; ++tries) {
    try {
      database.exec("PRAGMA journal_mode = WAL");
      return;
    } catch (const SQLite::Exception& thrown) {
      if (thrown.getErrorCode() != SQLITE_BUSY || tries == 200) throw;
      std::this_thread::sleep_for(50ms);
    }
  }
}

void migrate(SQLite::Database& database) {
  SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
  // Another program may have done it while this one waited.
  for (int version = pragma(database, "user_version"); version < newest_version; ++version) {
    database.exec(steps.at(static_cast<std::size_t>(version)));
  }
  database.exec("PRAGMA user_version = " + std::to_string(newest_version));
  database.exec("PRAGMA application_id = " + std::to_string(application_id));
  transaction.commit();
}

Outcome make_folders(const fs::path& folder) {
  if (folder.empty() || fs::is_directory(folder)) return Done{};
  if (auto above = make_folders(folder.parent_path()); !above) return above;
  if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST) return write_error(folder, errno);
  return Done{};
}

// Gives the version found.
Result<int> look(SQLite::Database& database, const fs::path& file) {
  const SQLite::Transaction one_view(database);  // another program may be making the record just now
  const int version = pragma(database, "user_version");
  const int id = pragma(database, "application_id");
  const bool has_tables = database.execAndGet("SELECT count(*) FROM sqlite_schema").getInt() != 0;
  if (id != application_id && (id != 0 || version != 0 || has_tables)) return not_ours(file);
  if (version > newest_version) {
    return Error{Fault::record_newer,
                 file.string() + " is of version " + std::to_string(version) + ", this program knows up to " +
                     std::to_string(newest_version),
                 "use the newer program"};
  }
  return version;
}

}  // namespace

Outcome make_file(const fs::path& file, bool create) {
  std::error_code ignored;
  // SQLite's locks go with any descriptor of the file that this process closes: it is opened here only to be made.
  if (fs::is_regular_file(file, ignored)) return Done{};
  if (fs::exists(file, ignored)) {
    return Error{Fault::record_unreadable, file.string() + ": it is not a plain file",
                 "name the record with --record FILE"};
  }
  if (!create) {
    return Error{Fault::not_in_record, "there is no record at " + file.string(),
                 "name it with --record FILE; it is made when a visit is saved"};
  }
  if (auto made = make_folders(file.parent_path()); !made) return made;
  const int descriptor = ::open(file.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  if (descriptor < 0 && errno != EEXIST) return write_error(file, errno);
  if (descriptor >= 0) ::close(descriptor);
  return Done{};
}

std::optional<Error> prepare(SQLite::Database& database, const fs::path& file) {
  const auto version = look(database, file);
  if (!version) return version.error();
  // What is deleted is overwritten with zeros; nothing of a person goes to a temporary file elsewhere.
  database.exec("PRAGMA secure_delete = ON");
  database.exec("PRAGMA temp_store = MEMORY");
  database.exec("PRAGMA foreign_keys = ON");
  database.exec("PRAGMA trusted_schema = OFF");
  set_wal(database);
  database.exec("PRAGMA synchronous = FULL");
  if (*version < newest_version) migrate(database);
  return std::nullopt;
}

Error error_of(const SQLite::Exception& thrown, const fs::path& file) {
  const std::string why = file.string() + ": " + thrown.what();
  const int extended = thrown.getExtendedErrorCode();
  switch (thrown.getErrorCode() & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return {Fault::record_busy, why, ""};
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      return {Fault::record_unreadable, why, ""};
    case SQLITE_FULL:
      return {Fault::cannot_write, why, "free some space on that disk; nothing was changed"};
    case SQLITE_IOERR:
      if (extended == SQLITE_IOERR_READ || extended == SQLITE_IOERR_CORRUPTFS)
        return {Fault::record_unreadable, why, ""};
      return {Fault::cannot_write, why, "see whether the disk is full or failing; nothing was changed"};
    case SQLITE_READONLY:
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
      return {Fault::cannot_write, why, "see to the rights of file and folder, or name another with --record FILE"};
    default:
      return {Fault::defect, why, ""};
  }
}

}  // namespace risetrace::record
