// The rows of the record's tables as the structs of kept.h, and back. All of it throws SQLite::Exception.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "record/clip_store.h"
#include "record/kept.h"

namespace risetrace::record {

std::string now_utc();

// `current` of each document and clip: is it the newest of its kind and slot?
void mark_current(KeptSession& session);

std::optional<std::int64_t> find_person(SQLite::Database& database, const std::string& code);
std::optional<std::int64_t> find_session(SQLite::Database& database, const std::string& code, const std::string& date);
// Makes person and session where they are not there.
std::int64_t session_row(SQLite::Database& database, const std::string& code, const std::string& date);

std::vector<Person> all_people(SQLite::Database& database);
std::vector<KeptSession> all_sessions(SQLite::Database& database, const ClipStore& clips, const std::string& code);
std::vector<Receipt> all_receipts(SQLite::Database& database);
std::optional<std::string> text_of_row(SQLite::Database& database, std::int64_t row);

void insert_revision(SQLite::Database& database, std::int64_t session, const Revision& revision);
// Of `document`: kind, slot, revision and sha256.
void insert_document(SQLite::Database& database, std::int64_t session, const KeptDocument& document,
                     const std::string& text);
void insert_clip(SQLite::Database& database, std::int64_t session, const KeptClip& clip);
void insert_receipt(SQLite::Database& database, const Receipt& receipt);
bool has_clip(SQLite::Database& database, const std::string& sha256);

}  // namespace risetrace::record
