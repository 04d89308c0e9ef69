#include <openssl/evp.h>

#include <array>
#include <memory>
#include <vector>

#include "clip/local_file.h"
#include "clip/read_clip.h"

namespace risetrace::clip {

Result<std::string> sha256_of_file(const std::string& path) {
  const auto file = LocalFile::open(path);
  if (!file) return file.error();
  const std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> digest(EVP_MD_CTX_new(), &EVP_MD_CTX_free);
  bool good = digest && EVP_DigestInit_ex(digest.get(), EVP_sha256(), nullptr) == 1;
  std::vector<std::uint8_t> buffer(std::size_t{1} << 18);
  for (std::int64_t offset = 0; good;) {
    const auto got = file->read_at(offset, buffer.data(), static_cast<std::int64_t>(buffer.size()));
    if (!got) return Error{Fault::clip_missing, path + ": the disk could not be read", ""};
    if (*got == 0) break;
    good = EVP_DigestUpdate(digest.get(), buffer.data(), static_cast<std::size_t>(*got)) == 1;
    offset += *got;
  }
  std::array<std::uint8_t, EVP_MAX_MD_SIZE> bytes{};
  unsigned count = 0;
  if (!good || EVP_DigestFinal_ex(digest.get(), bytes.data(), &count) != 1) {
    return Error{Fault::defect, "libcrypto could not make a SHA-256 digest", ""};
  }
  std::string hex;
  for (unsigned i = 0; i < count; ++i) {
    hex += "0123456789abcdef"[bytes[i] >> 4];
    hex += "0123456789abcdef"[bytes[i] & 15];
  }
  return hex;
}

}  // namespace risetrace::clip
