#include "report/name_uuid.h"

#include <openssl/evp.h>

#include <array>
#include <cstdint>

namespace risetrace::report {
namespace {

constexpr std::string_view digits = "0123456789abcdef";

// The bytes of a UUID's text, its dashes left out.
std::string bytes_of(const std::string& uuid) {
  std::string bytes;
  int high = -1;
  for (const char c : uuid) {
    const auto digit = digits.find(c);
    if (digit == std::string_view::npos) continue;
    if (high >= 0) bytes += static_cast<char>(high * 16 + static_cast<int>(digit));
    high = high >= 0 ? -1 : static_cast<int>(digit);
  }
  return bytes;
}

}  // namespace

std::string name_uuid(const std::string& space, const std::string& name) {
  const std::string whole = bytes_of(space) + name;
  std::array<std::uint8_t, EVP_MAX_MD_SIZE> hash{};
  EVP_Digest(whole.data(), whole.size(), hash.data(), nullptr, EVP_sha1(), nullptr);
  hash[6] = static_cast<std::uint8_t>((hash[6] & 0x0fU) | 0x50U);  // version 5
  hash[8] = static_cast<std::uint8_t>((hash[8] & 0x3fU) | 0x80U);  // the variant of RFC 9562
  std::string text;
  for (std::size_t i = 0; i < 16; ++i) {
    if (i == 4 || i == 6 || i == 8 || i == 10) text += '-';
    text += digits[hash.at(i) >> 4U];
    text += digits[hash.at(i) & 0x0fU];
  }
  return text;
}

}  // namespace risetrace::report
