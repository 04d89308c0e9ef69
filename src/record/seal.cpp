#include "record/seal.h"

#include <sodium.h>

#include <algorithm>
#include <array>
#include <optional>
#include <vector>

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

constexpr std::array<std::uint8_t, 16> magic = {'R', 'I', 'S', 'E', 'T', 'R', 'A', 'C',
                                                'E', ' ', 'S', 'E', 'A', 'L', ' ', '1'};
constexpr std::size_t salt_at = 32;
constexpr std::size_t stream_at = salt_at + crypto_pwhash_SALTBYTES;
constexpr std::size_t header_bytes = stream_at + crypto_secretstream_xchacha20poly1305_HEADERBYTES;
constexpr std::size_t piece_bytes = 65536;  // of what is sealed
constexpr std::size_t sealed_piece_bytes = piece_bytes + crypto_secretstream_xchacha20poly1305_ABYTES;
// A file from elsewhere must not ask for any amount of time and memory.
constexpr std::uint64_t most_passes = 16;
constexpr std::uint64_t most_memory_bytes = std::uint64_t{1} << 30;

using Header = std::array<std::uint8_t, header_bytes>;

void put_little_endian(std::uint8_t* at, std::uint64_t value) {
  for (int i = 0; i < 8; ++i) at[i] = static_cast<std::uint8_t>(value >> (8 * i));
}

std::uint64_t little_endian(const std::uint8_t* at) {
  std::uint64_t value = 0;
  for (int i = 7; i >= 0; --i) value = value << 8 | at[i];
  return value;
}

// Wiped when it goes.
struct Key {
  std::array<std::uint8_t, crypto_secretstream_xchacha20poly1305_KEYBYTES> bytes{};
  crypto_secretstream_xchacha20poly1305_state stream{};
  Key() = default;
  Key(const Key&) = delete;
  Key& operator=(const Key&) = delete;
  ~Key() {
    sodium_memzero(bytes.data(), bytes.size());
    sodium_memzero(&stream, sizeof stream);
  }
};

Outcome derive(Key& key, const Header& header, const std::string& passphrase) {
  const int failed =
      crypto_pwhash(key.bytes.data(), key.bytes.size(), passphrase.data(), passphrase.size(), header.data() + salt_at,
                    little_endian(header.data() + 16), little_endian(header.data() + 24), crypto_pwhash_ALG_ARGON2ID13);
  if (failed == 0) return Done{};
  return Error{Fault::cannot_write, "no memory for making the key from the passphrase", "close other programs"};
}

Error broken(const fs::path& file, const char* why) {
  return {Fault::archive_unreadable, file.string() + ": " + why, ""};
}

// Reads one piece ahead, so that the last is known as such.
class Pieces {
 public:
  Pieces(const PosixFile& from, std::size_t size) : from_(from), ahead_(size) {}
  // False: the disk could not be read.
  bool next(std::vector<std::uint8_t>& piece) {
    if (!begun_ && !fill()) return false;
    begun_ = true;
    piece.assign(ahead_.begin(), ahead_.begin() + static_cast<std::ptrdiff_t>(held_));
    return fill();
  }
  [[nodiscard]] bool at_end() const { return begun_ && held_ == 0; }

 private:
  bool fill() {
    const auto got = from_.read(ahead_.data(), ahead_.size());
    held_ = got.value_or(0);
    return got.has_value();
  }
  const PosixFile& from_;
  std::vector<std::uint8_t> ahead_;
  std::size_t held_ = 0;
  bool begun_ = false;
};

Header make_header(Key& key, const SealCost& cost, const std::string& passphrase, Outcome& derived) {
  Header header{};
  std::copy(magic.begin(), magic.end(), header.begin());
  put_little_endian(header.data() + 16, cost.passes);
  put_little_endian(header.data() + 24, cost.memory_bytes);
  randombytes_buf(header.data() + salt_at, crypto_pwhash_SALTBYTES);
  derived = derive(key, header, passphrase);
  crypto_secretstream_xchacha20poly1305_init_push(&key.stream, header.data() + stream_at, key.bytes.data());
  return header;
}

// `sealed`: one piece. False: it is not what was sealed, in this place, with this key.
bool open_piece(Key& key, const std::vector<std::uint8_t>& sealed, const Header* bound,
                std::vector<std::uint8_t>& plain, std::uint8_t& tag) {
  if (sealed.size() < crypto_secretstream_xchacha20poly1305_ABYTES) return false;
  plain.resize(sealed.size() - crypto_secretstream_xchacha20poly1305_ABYTES);
  return crypto_secretstream_xchacha20poly1305_pull(&key.stream, plain.data(), nullptr, &tag, sealed.data(),
                                                    sealed.size(), bound == nullptr ? nullptr : bound->data(),
                                                    bound == nullptr ? 0 : bound->size()) == 0;
}

Outcome check_header(const fs::path& file, const Header& header, std::size_t got) {
  if (got < header.size() || !std::equal(magic.begin(), magic.end(), header.begin())) {
    return broken(file, "it does not begin as a sealed file does");
  }
  const std::uint64_t passes = little_endian(header.data() + 16);
  const std::uint64_t memory = little_endian(header.data() + 24);
  if (passes < crypto_pwhash_OPSLIMIT_MIN || passes > most_passes || memory < crypto_pwhash_MEMLIMIT_MIN ||
      memory > most_memory_bytes) {
    return broken(file, "it asks for more time or memory than a passphrase should cost");
  }
  return Done{};
}

}  // namespace

Result<bool> is_sealed(const fs::path& file) {
  const auto from = PosixFile::open(file, Fault::archive_unreadable);
  if (!from) return from.error();
  std::array<std::uint8_t, magic.size()> head{};
  return from->read(head.data(), head.size()) == head.size() && head == magic;
}

Outcome seal(const fs::path& from, const fs::path& to, const std::string& passphrase, const SealCost& cost) {
  if (passphrase.size() < shortest_passphrase_bytes) {
    return Error{Fault::option_wrong, "the passphrase is shorter than 8 bytes", "choose a longer one"};
  }
  const auto plain = PosixFile::open(from, Fault::archive_unreadable);
  if (!plain) return plain.error();
  const auto out = PosixFile::make(to);
  if (!out) return out.error();
  Key key;
  Outcome derived = Done{};
  const Header header = make_header(key, cost, passphrase, derived);
  if (!derived) return derived;
  if (auto put = out->write(header.data(), header.size(), to); !put) return put;
  Pieces pieces(*plain, piece_bytes);
  std::vector<std::uint8_t> piece;
  std::vector<std::uint8_t> sealed(sealed_piece_bytes);
  for (bool first = true; !pieces.at_end(); first = false) {
    if (!pieces.next(piece)) return broken(from, "the disk could not be read");
    const std::uint8_t tag = pieces.at_end() ? crypto_secretstream_xchacha20poly1305_TAG_FINAL : 0;
    unsigned long long made = 0;
    crypto_secretstream_xchacha20poly1305_push(&key.stream, sealed.data(), &made, piece.data(), piece.size(),
                                               first ? header.data() : nullptr, first ? header.size() : 0, tag);
    if (auto put = out->write(sealed.data(), made, to); !put) return put;
  }
  return out->sync(to);
}

Outcome unseal(const fs::path& from, Aside& to, const std::string& passphrase) {
  const auto file = PosixFile::open(from, Fault::archive_unreadable);
  if (!file) return file.error();
  Header header{};
  const std::size_t got = file->read(header.data(), header.size()).value_or(0);
  if (auto good = check_header(from, header, got); !good) return good;
  Key key;
  if (auto derived = derive(key, header, passphrase); !derived) return derived;
  if (crypto_secretstream_xchacha20poly1305_init_pull(&key.stream, header.data() + stream_at, key.bytes.data()) != 0) {
    return broken(from, "it does not begin as a sealed file does");
  }
  Pieces pieces(*file, sealed_piece_bytes);
  std::vector<std::uint8_t> sealed;
  std::vector<std::uint8_t> plain;
  std::uint8_t tag = 0;
  for (bool first = true; !pieces.at_end(); first = false) {
    if (!pieces.next(sealed)) return broken(from, "the disk could not be read");
    if (!open_piece(key, sealed, first ? &header : nullptr, plain, tag)) {
      const bool has_piece = sealed.size() >= crypto_secretstream_xchacha20poly1305_ABYTES;
      if (first && has_piece) return Error{Fault::passphrase_wrong, from.string() + " does not open with it", ""};
      return broken(from, "it was changed, or cut off, after it was sealed");
    }
    const bool ends = tag == crypto_secretstream_xchacha20poly1305_TAG_FINAL;
    if (ends != pieces.at_end())
      return broken(from, ends ? "something was added behind its end" : "its end is missing");
    if (auto put = to.write(plain.data(), plain.size()); !put) return put;
  }
  return to.sync();
}

}  // namespace risetrace::record
