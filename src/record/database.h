// The record's SQLite file: opened, its tables made and brought up to date, and what its failures mean.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <filesystem>
#include <optional>

#include "base/result.h"

namespace risetrace::record {

// In the file's header at byte 68 (sqlite.org/fileformat2.html, 1.3.18): "RTRC".
constexpr int application_id = 0x52545243;
constexpr int newest_version = 2;

// Folder 0700 and file 0600 where `create` and there are none.
Outcome make_file(const std::filesystem::path& file, bool create);

// Opens it and brings it to newest_version, all steps in one transaction. Throws SQLite::Exception; a refusal of ours
// is the error.
std::optional<Error> prepare(SQLite::Database& database, const std::filesystem::path& file);

Error error_of(const SQLite::Exception& thrown, const std::filesystem::path& file);

// Calls work() and turns what SQLite throws into an Error. work() gives a Result.
template <typename Work>
auto guarded(const std::filesystem::path& file, const Work& work) -> decltype(work()) {
  try {
    return work();
  } catch (const SQLite::Exception& thrown) {
    return error_of(thrown, file);
  } catch (const std::filesystem::filesystem_error& thrown) {
    return Error{Fault::cannot_write, thrown.path1().string() + ": " + thrown.code().message(), "see to its rights"};
  }
}

}  // namespace risetrace::record
