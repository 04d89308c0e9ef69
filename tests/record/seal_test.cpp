// The sealed form as docs/record.md describes it, read here by another hand than seal.cpp's.
#include "record/seal.h"

#include <gtest/gtest.h>
#include <sodium.h>

#include "record/made_record.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;
using test::Desk;
using test::expect_fault;
using test::kept;

const SealCost quick{1, 8192};

const unsigned char* bytes_of(const std::string& text, std::size_t at) {
  return reinterpret_cast<const unsigned char*>(text.data()) + at;
}

unsigned long long number_at(const std::string& text, std::size_t at) {
  unsigned long long value = 0;
  for (int i = 7; i >= 0; --i) value = value * 256 + *bytes_of(text, at + static_cast<std::size_t>(i));
  return value;
}

// Empty where it cannot be read.
std::string read_as_documented(const std::string& sealed, const std::string& passphrase) {
  if (sealed.size() < 72 || sealed.substr(0, 16) != "RISETRACE SEAL 1") return "";
  std::string key(32, '\0');
  auto* key_at = reinterpret_cast<unsigned char*>(key.data());
  if (crypto_pwhash(key_at, 32, passphrase.data(), passphrase.size(), bytes_of(sealed, 32), number_at(sealed, 16),
                    number_at(sealed, 24), crypto_pwhash_ALG_ARGON2ID13) != 0) {
    return "";
  }
  crypto_secretstream_xchacha20poly1305_state state;
  if (crypto_secretstream_xchacha20poly1305_init_pull(&state, bytes_of(sealed, 48), key_at) != 0) return "";
  std::string all;
  unsigned char tag = 0;
  for (std::size_t at = 72; at < sealed.size(); at += 65553) {
    const std::size_t length = std::min<std::size_t>(65553, sealed.size() - at);
    std::string piece(length - 17, '\0');
    const bool first = at == 72;
    if (crypto_secretstream_xchacha20poly1305_pull(&state, reinterpret_cast<unsigned char*>(piece.data()), nullptr,
                                                   &tag, bytes_of(sealed, at), length,
                                                   first ? bytes_of(sealed, 0) : nullptr, first ? 72 : 0) != 0) {
      return "";
    }
    all += piece;
  }
  return tag == crypto_secretstream_xchacha20poly1305_TAG_FINAL ? all : "";
}

TEST(Seal, IsWhatTheDocumentationSays) {
  const Desk desk;
  ASSERT_GE(sodium_init(), 0);
  for (const std::size_t length : {1, 65535, 65536, 65537, 131072, 200000}) {
    const std::string plain = test::random_bytes(length, 3);
    test::write_bytes(desk / "plain", plain);
    fs::remove(desk / "sealed");
    kept(seal(desk / "plain", desk / "sealed", "a heron on one leg", quick));
    const std::string sealed = test::read_bytes(desk / "sealed");
    EXPECT_EQ(sealed.size(), 72 + length + 17 * ((length + 65535) / 65536));
    EXPECT_TRUE(read_as_documented(sealed, "a heron on one leg") == plain) << length;
    EXPECT_EQ(read_as_documented(sealed, "a heron on two legs"), "");
    auto aside = kept(Aside::make(desk / ""));
    kept(unseal(desk / "sealed", aside, "a heron on one leg"));
    EXPECT_TRUE(test::read_bytes(aside.path()) == plain) << length;
  }
}

TEST(Seal, ItsOwnCostIsTheStatedOne) {
  const Desk desk;
  test::write_bytes(desk / "plain", "x");
  kept(seal(desk / "plain", desk / "sealed", "a heron on one leg"));
  const std::string sealed = test::read_bytes(desk / "sealed");
  EXPECT_EQ(number_at(sealed, 16), 3U);
  EXPECT_EQ(number_at(sealed, 24), 256U << 20);
}

TEST(Seal, AFileThatAsksForTooMuchIsNotObeyed) {
  const Desk desk;
  test::write_bytes(desk / "plain", "x");
  kept(seal(desk / "plain", desk / "sealed", "a heron on one leg", quick));
  const std::string whole = test::read_bytes(desk / "sealed");
  for (const std::size_t at : {16 + 3, 24 + 4, 24 + 7}) {  // 2^24 passes, 4 GiB, some 10^16 bytes
    std::string greedy = whole;
    greedy[at] = 1;
    test::write_bytes(desk / "greedy", greedy);
    auto aside = kept(Aside::make(desk / ""));
    expect_fault(unseal(desk / "greedy", aside, "a heron on one leg"), Fault::archive_unreadable,
                 "more time or memory");
  }
}

}  // namespace
}  // namespace risetrace::record
