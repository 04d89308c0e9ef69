// What it costs to make a key from a passphrase, and so to guess one.
#pragma once

#include <cstdint>

namespace risetrace::record {

// Argon2id (RFC 9106): passes over so many bytes of memory. libsodium's "moderate" cost: some 0.7 s and 256 MiB.
struct SealCost {
  std::uint64_t passes = 3;
  std::uint64_t memory_bytes = std::uint64_t{256} << 20;
};

}  // namespace risetrace::record
