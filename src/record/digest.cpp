#include "record/digest.h"

#include <algorithm>
#include <array>
#include <vector>

namespace risetrace::record {
namespace {

std::string hex_of(const std::uint8_t* bytes, std::size_t count) {
  std::string hex(count * 2 + 1, '\0');
  sodium_bin2hex(hex.data(), hex.size(), bytes, count);
  hex.pop_back();
  return hex;
}

}  // namespace

std::string Digest::finish() {
  std::array<std::uint8_t, crypto_hash_sha256_BYTES> bytes{};
  crypto_hash_sha256_final(&state_, bytes.data());
  return hex_of(bytes.data(), bytes.size());
}

std::string sha256_of(const std::string& text) {
  Digest digest;
  digest.add(reinterpret_cast<const std::uint8_t*>(text.data()), text.size());
  return digest.finish();
}

Result<std::string> sha256_of_file(const std::filesystem::path& file, Fault missing) {
  const auto from = PosixFile::open(file, missing);
  if (!from) return from.error();
  Digest digest;
  std::vector<std::uint8_t> buffer(std::size_t{1} << 18);
  while (true) {
    const auto got = from->read(buffer.data(), buffer.size());
    if (!got) return Error{missing, file.string() + ": the disk could not be read", ""};
    digest.add(buffer.data(), *got);
    if (*got < buffer.size()) return digest.finish();
  }
}

bool is_sha256(const std::string& text) {
  return text.size() == 64 &&
         std::all_of(text.begin(), text.end(), [](char c) { return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f'); });
}

std::string random_hex(std::size_t bytes) {
  std::vector<std::uint8_t> made(bytes);
  randombytes_buf(made.data(), made.size());
  return hex_of(made.data(), made.size());
}

}  // namespace risetrace::record
