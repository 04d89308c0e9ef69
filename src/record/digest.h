// SHA-256 (FIPS 180-4), as 64 hexadecimal digits.
#pragma once

#include <sodium.h>

#include <cstdint>
#include <filesystem>
#include <string>

#include "base/result.h"
#include "record/posix_file.h"

namespace risetrace::record {

class Digest {
 public:
  Digest() { crypto_hash_sha256_init(&state_); }
  void add(const std::uint8_t* bytes, std::size_t count) { crypto_hash_sha256_update(&state_, bytes, count); }
  std::string finish();  // to be called once

 private:
  crypto_hash_sha256_state state_{};
};

std::string sha256_of(const std::string& text);
// Fault `missing` where it cannot be opened or read.
Result<std::string> sha256_of_file(const std::filesystem::path& file, Fault missing);
bool is_sha256(const std::string& text);  // 64 hexadecimal digits, small letters
std::string random_hex(std::size_t bytes);

}  // namespace risetrace::record
