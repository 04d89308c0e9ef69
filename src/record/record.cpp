#include "record/record.h"

#include <sodium.h>

#include "record/check_visit.h"
#include "record/database.h"
#include "record/digest.h"
#include "record/rows.h"
#include "record/store.h"

namespace risetrace::record {

Result<Record> Record::open(const std::filesystem::path& given, const Opening& opening) {
  if (sodium_init() < 0) return Error{Fault::defect, "libsodium cannot be used", ""};
  return guarded(given, [&]() -> Result<Record> {
    const std::filesystem::path file = std::filesystem::absolute(given);
    if (auto made = make_file(file, opening.create); !made) return made.error();
    auto store = std::make_unique<Store>(
        Store{file, SQLite::Database(file.string(), SQLite::OPEN_READWRITE, opening.longest_wait_ms),
              ClipStore(file.string() + "-clips")});
    if (auto refusal = prepare(store->database, file)) return *refusal;
    store->clips.sweep();
    finish_erasures(*store);
    return Record(std::move(store));
  });
}

Record::Record(std::unique_ptr<Store> store) : store_(std::move(store)) {}
Record::Record(Record&&) noexcept = default;
Record& Record::operator=(Record&&) noexcept = default;
Record::~Record() = default;

Result<std::vector<Person>> Record::people() const {
  return guarded(store_->file, [&]() -> Result<std::vector<Person>> { return all_people(store_->database); });
}

Result<std::vector<KeptSession>> Record::sessions_of(const std::string& code) const {
  return guarded(store_->file, [&]() -> Result<std::vector<KeptSession>> {
    const SQLite::Transaction one_view(store_->database);
    auto sessions = all_sessions(store_->database, store_->clips, code);
    if (sessions.empty()) return Error{Fault::not_in_record, "nobody has the code '" + code + "'", ""};
    return sessions;
  });
}

Result<std::string> Record::text_of(const KeptDocument& document) const {
  return guarded(store_->file, [&]() -> Result<std::string> {
    const auto text = text_of_row(store_->database, document.row);
    const std::string name = std::string(key_of(document.kind)) + " " + document.slot;
    if (!text) return Error{Fault::not_in_record, name + " is no longer there", ""};
    if (sha256_of(*text) != document.sha256) {
      return Error{Fault::record_damaged, name + " is not what was saved: its SHA-256 differs", ""};
    }
    return *text;
  });
}

Result<std::vector<Receipt>> Record::receipts() const {
  return guarded(store_->file, [&]() -> Result<std::vector<Receipt>> { return all_receipts(store_->database); });
}

}  // namespace risetrace::record
