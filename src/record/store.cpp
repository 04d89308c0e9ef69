#include "record/store.h"

#include <sqlite3.h>

namespace risetrace::record {

Placing::~Placing() {
  // SQLite may have ended the transaction by itself, and the lock with it: then verify finds what is left.
  if (sqlite3_get_autocommit(store_.database.getHandle()) != 0) return;
  for (const std::string& sha256 : fresh_) (void)store_.clips.remove(sha256);
}

Outcome Placing::place(StagedClip& clip) {
  std::error_code ignored;
  const bool fresh = !std::filesystem::exists(store_.clips.file_of(clip.sha256), ignored);
  if (auto placed = store_.clips.place(clip); !placed) return placed;
  if (fresh) fresh_.push_back(clip.sha256);
  return Done{};
}

}  // namespace risetrace::record
