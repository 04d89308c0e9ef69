// What an open record holds; shared by the files that make up Record, seen by nobody else.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <filesystem>
#include <string>
#include <vector>

#include "record/clip_store.h"

namespace risetrace::record {

struct Store {
  std::filesystem::path file;
  SQLite::Database database;
  ClipStore clips;
};

// Puts clips in place within a transaction; takes those back that were not there before, unless keep() was called.
class Placing {
 public:
  explicit Placing(Store& store) : store_(store) {}
  Placing(const Placing&) = delete;
  Placing& operator=(const Placing&) = delete;
  ~Placing();  // before the transaction's own end: another program must not be using the same clip

  Outcome place(StagedClip& clip);
  void keep() { fresh_.clear(); }

 private:
  Store& store_;
  std::vector<std::string> fresh_;
};

// Finishes what erasures left to do: clip files removed, the database's file and log rewritten without what was
// deleted. False: another program has the record open; it stays to be done.
bool finish_erasures(Store& store);

}  // namespace risetrace::record
