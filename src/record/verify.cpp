#include <sys/stat.h>

#include "record/database.h"
#include "record/digest.h"
#include "record/record.h"
#include "record/rows.h"
#include "record/store.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

class Found {
 public:
  void add(const char* code, const std::string& text, bool mended = false) {
    problems_.push_back({code, text, mended});
  }
  std::vector<Problem> take() { return std::move(problems_); }

 private:
  std::vector<Problem> problems_;
};

void check_database(SQLite::Database& database, Found& found) {
  SQLite::Statement whole(database, "PRAGMA integrity_check");
  while (whole.executeStep()) {
    const std::string said = whole.getColumn(0).getString();
    if (said != "ok") found.add("database-damaged", said);
  }
  SQLite::Statement keys(database, "PRAGMA foreign_key_check");
  while (keys.executeStep()) {
    found.add("row-without-owner", "a row of the table " + keys.getColumn(0).getString() + " belongs to nothing");
  }
}

void check_documents(SQLite::Database& database, Found& found) {
  SQLite::Statement row(database,
                        "SELECT code, date, kind, slot, revision, sha256, json FROM document JOIN session ON "
                        "session.id = session JOIN person ON person.id = person");
  while (row.executeStep()) {
    if (sha256_of(row.getColumn(6).getString()) == row.getColumn(5).getString()) continue;
    found.add("document-damaged", row.getColumn(0).getString() + " " + row.getColumn(1).getString() + ": " +
                                      row.getColumn(2).getString() + " " + row.getColumn(3).getString() +
                                      " of revision " + std::to_string(row.getColumn(4).getInt()) +
                                      " is not what was saved");
  }
}

struct ClipRow {
  std::string name;  // for people
  std::string sha256;
};

std::vector<ClipRow> clip_rows(SQLite::Database& database) {
  std::vector<ClipRow> rows;
  SQLite::Statement row(database,
                        "SELECT code, date, slot, sha256 FROM clip JOIN session ON session.id = session JOIN person ON "
                        "person.id = person ORDER BY code, date, slot");
  while (row.executeStep()) {
    rows.push_back({row.getColumn(0).getString() + " " + row.getColumn(1).getString() + ": the clip of " +
                        row.getColumn(2).getString(),
                    row.getColumn(3).getString()});
  }
  return rows;
}

void check_clips(Store& store, Found& found) {
  for (const auto& [name, sha256] : clip_rows(store.database)) {
    const auto got = sha256_of_file(store.clips.file_of(sha256), Fault::record_unreadable);
    if (got && *got == sha256) continue;
    std::error_code ignored;
    if (!has_clip(store.database, sha256)) continue;  // erased just now by another program
    const bool there = fs::exists(store.clips.file_of(sha256), ignored);
    if (!there) found.add("clip-missing", name + " is not in the folder");
    if (there && !got) found.add("clip-damaged", name + " cannot be read: " + got.error().why);
    if (there && got) found.add("clip-damaged", name + " is not what was saved");
  }
}

// Under the write lock: a clip that is being saved just now is in place before its row is seen.
void check_files(Store& store, bool mend, Found& found) {
  const SQLite::Transaction locked(store.database, SQLite::TransactionBehavior::IMMEDIATE);
  for (const std::string& name : store.clips.names()) {
    if (has_clip(store.database, name)) continue;
    const bool gone = mend && store.clips.remove(name);
    found.add("clip-of-nobody", "the file " + name + " belongs to no visit", gone);
  }
  for (const std::string& name : store.clips.leftovers()) {
    found.add("leftover", "the file " + name + " was left by a saving that was cut short", mend);
  }
  if (mend) store.clips.sweep();
  for (const std::string& name : store.clips.strangers()) {
    found.add("stranger", "the file " + name + " in the folder of clips is not the record's");
  }
}

void check_rights(const fs::path& path, mode_t wanted, bool mend, Found& found) {
  struct stat facts {};
  if (::stat(path.c_str(), &facts) != 0 || (facts.st_mode & 0777 & ~wanted) == 0) return;
  const bool set = mend && ::chmod(path.c_str(), wanted) == 0;
  found.add("rights", path.string() + " can be opened by others on this machine", set);
}

}  // namespace

Result<std::vector<Problem>> Record::verify(bool mend) {
  return guarded(store_->file, [&]() -> Result<std::vector<Problem>> {
    Found found;
    SQLite::Database& database = store_->database;
    if (database.execAndGet("SELECT count(*) FROM doomed").getInt() != 0) {
      const bool finished = mend && finish_erasures(*store_);
      found.add("erasure-unfinished",
                "traces of an erasure stay: another program has the record open, or the disk is full", finished);
    }
    check_database(database, found);
    check_documents(database, found);
    check_clips(*store_, found);
    check_files(*store_, mend, found);
    for (const char* end : {"", "-wal", "-shm"}) check_rights(store_->file.string() + end, 0600, mend, found);
    check_rights(store_->clips.folder(), 0700, mend, found);
    return found.take();
  });
}

}  // namespace risetrace::record
