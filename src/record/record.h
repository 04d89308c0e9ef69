// The record: one SQLite file and a folder of clips beside it, for one machine. Several processes may have it open.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "record/kept.h"
#include "record/seal_cost.h"

namespace risetrace::record {

struct Store;

struct Opening {
  bool create = false;          // make the record where there is none
  int longest_wait_ms = 10000;  // for another process that writes
};

struct Saving {
  std::optional<std::string> by;          // who saves; unset: not stated
  std::optional<std::string> correction;  // why what is kept is to be replaced; unset: nothing may be
};

struct Saved {
  int revision = 0;
  bool already_there = false;  // each document and clip was kept already, byte for byte; nothing was written
};

struct Erased {
  Receipt receipt;
  bool swept =
      true;  // false: traces stay in the record's files until verify mends; another program has it open, or no room
};

struct Exporting {
  std::optional<std::string> passphrase;  // 8 bytes at least; unset: a plain ZIP file
  SealCost cost;
  std::string program_version;  // told in the manifest
};

struct Imported {
  std::string code;
  int sessions_new = 0;
  int sessions_grown = 0;  // were kept, the file had later revisions of them
  int sessions_there = 0;  // kept already, byte for byte
};

// How every function fails, beside what it says itself:
//   record_busy        another process wrote for longer than one waits. Nothing was changed; try again.
//   cannot_write       disk full, no right to write. Nothing was changed.
//   record_unreadable  the file is damaged.
class Record {
 public:
  // Makes folder (0700), file (0600) and tables where `create` and there are none; brings an older file up to date;
  // finishes an erasure that was cut short. Faults: not_in_record where there is no file and none is to be made,
  // record_newer, record_unreadable where the file is not a record.
  static Result<Record> open(const std::filesystem::path& file, const Opening& opening = {});

  Record(Record&&) noexcept;
  Record& operator=(Record&&) noexcept;
  Record(const Record&) = delete;
  Record& operator=(const Record&) = delete;
  ~Record();

  // All of it or nothing. A visit of that day that is kept already grows by what is new; where a document differs from
  // the current one of its kind and slot, already_in_record unless a correction is given, which then replaces it while
  // the old one stays. Faults: option_wrong for a code, date, slot, text or clip that cannot be kept; not_in_record for
  // a correction of what is not there.
  Result<Saved> save_session(const Visit& visit, const Saving& saving = {});

  Result<std::vector<Person>> people() const;
  // In order of their dates. not_in_record where the code is unknown.
  Result<std::vector<KeptSession>> sessions_of(const std::string& code) const;
  // The text of one document of sessions_of(). record_damaged where it is not what was saved.
  Result<std::string> text_of(const KeptDocument& document) const;

  // All of a person, for good; see docs/record.md for what that cannot promise. not_in_record.
  Result<Erased> erase(const std::string& code, const std::optional<std::string>& by = std::nullopt);
  Result<std::vector<Receipt>> receipts() const;

  // Everything of one person to `out` (docs/record.md: the exported file), written aside and renamed.
  Outcome export_person(const std::string& code, const std::filesystem::path& out, const Exporting& exporting) const;
  // All of the file or nothing. Faults: archive_unreadable, passphrase_wrong, passphrase_missing; already_in_record
  // where a session kept here and the file's have parted ways.
  Result<Imported> import(const std::filesystem::path& file, const std::optional<std::string>& passphrase);

  // Everything that is wrong; empty: nothing is. `mend` removes files that belong to nothing, sets the rights and
  // finishes an erasure; what is damaged or missing it cannot bring back.
  Result<std::vector<Problem>> verify(bool mend);

 private:
  explicit Record(std::unique_ptr<Store> store);
  std::unique_ptr<Store> store_;
};

}  // namespace risetrace::record
