// A file sealed with a passphrase, by libsodium; docs/record.md says the form byte by byte.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "record/clip_store.h"
#include "record/seal_cost.h"

namespace risetrace::record {

constexpr std::size_t shortest_passphrase_bytes = 8;  // NIST SP 800-63B asks for 8 characters (from memory)

// Whether it begins as a sealed file does. archive_unreadable where it cannot be opened.
Result<bool> is_sealed(const std::filesystem::path& file);

// option_wrong for a passphrase too short, cannot_write; archive_unreadable where `from` cannot be read.
Outcome seal(const std::filesystem::path& from, const std::filesystem::path& to, const std::string& passphrase,
             const SealCost& cost = {});

// Into `to`, all of it checked before this says Done. passphrase_wrong where the first piece does not open;
// archive_unreadable where a later one does not, or the end is missing.
Outcome unseal(const std::filesystem::path& from, Aside& to, const std::string& passphrase);

}  // namespace risetrace::record
