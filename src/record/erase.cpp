#include <sqlite3.h>

#include "record/check_visit.h"
#include "record/database.h"
#include "record/digest.h"
#include "record/record.h"
#include "record/rows.h"
#include "record/store.h"

namespace risetrace::record {
namespace {

constexpr const char* sweep_of_file = "";  // in `doomed`

Receipt make_receipt(const std::vector<KeptSession>& sessions, const std::optional<std::string>& by) {
  Receipt receipt{random_hex(8), now_utc(), by, static_cast<int>(sessions.size()), 0, 0, 0};
  for (const KeptSession& session : sessions) {
    receipt.documents += static_cast<int>(session.documents.size());
    receipt.clips += static_cast<int>(session.clips.size());
    for (const KeptClip& clip : session.clips) receipt.clip_bytes += clip.bytes;
  }
  return receipt;
}

void doom(SQLite::Database& database, const std::string& name) {
  SQLite::Statement insert(database, "INSERT INTO doomed (sha256) VALUES (?) ON CONFLICT DO NOTHING");
  insert.bind(1, name);
  insert.exec();
}

std::vector<std::string> doomed(SQLite::Database& database) {
  std::vector<std::string> names;
  SQLite::Statement row(database, "SELECT sha256 FROM doomed");
  while (row.executeStep()) names.push_back(row.getColumn(0).getString());
  return names;
}

// Clips that no row needs any more. The write lock keeps a clip of the same bytes from being put in place meanwhile.
void remove_doomed_clips(Store& store) {
  SQLite::Transaction transaction(store.database, SQLite::TransactionBehavior::IMMEDIATE);
  for (const std::string& name : doomed(store.database)) {
    if (name == sweep_of_file || has_clip(store.database, name)) continue;
    if (!store.clips.remove(name)) return;  // the next opening tries again
  }
  if (!store.clips.sync()) return;
  store.database.exec("DELETE FROM doomed WHERE sha256 <> ''");
  transaction.commit();
}

// The log emptied into the file and cut to nothing. False: another program reads from it.
bool empty_log(SQLite::Database& database) {
  return database.execAndGet("PRAGMA wal_checkpoint(TRUNCATE)").getInt() == 0;
}

}  // namespace

bool finish_erasures(Store& store) {
  if (doomed(store.database).empty()) return true;
  try {
    remove_doomed_clips(store);
    store.database.exec("VACUUM");
    if (!empty_log(store.database)) return false;
    store.database.exec("DELETE FROM doomed WHERE sha256 = ''");
    return doomed(store.database).empty();
  } catch (const SQLite::Exception& thrown) {
    const int code = thrown.getErrorCode() & 0xff;
    if (code == SQLITE_BUSY || code == SQLITE_LOCKED || code == SQLITE_FULL || code == SQLITE_IOERR) return false;
    throw;
  }
}

Result<Erased> Record::erase(const std::string& code, const std::optional<std::string>& by) {
  if (auto good = check_remark("the word on who erases", by); !good) return good.error();
  return guarded(store_->file, [&]() -> Result<Erased> {
    SQLite::Database& database = store_->database;
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    const auto sessions = all_sessions(database, store_->clips, code);
    if (sessions.empty()) return Error{Fault::not_in_record, "nobody has the code '" + code + "'", ""};
    for (const KeptSession& session : sessions) {
      for (const KeptClip& clip : session.clips) doom(database, clip.sha256);
    }
    doom(database, sweep_of_file);
    const Receipt receipt = make_receipt(sessions, by);
    insert_receipt(database, receipt);
    SQLite::Statement row(database, "DELETE FROM person WHERE code = ?");
    row.bind(1, code);
    row.exec();
    transaction.commit();
    return Erased{receipt, finish_erasures(*store_)};
  });
}

}  // namespace risetrace::record
