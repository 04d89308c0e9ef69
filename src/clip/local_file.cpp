#include "clip/local_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

#include "clip/byte_pipe.h"

namespace risetrace::clip {
namespace {

std::string system_reason(int code) { return std::generic_category().message(code); }

std::uint64_t big_endian(const std::uint8_t* at, int count) {
  std::uint64_t value = 0;
  for (int i = 0; i < count; ++i) value = value << 8 | at[i];
  return value;
}

bool is_tag(const std::uint8_t* at, const char* tag) { return std::memcmp(at, tag, 4) == 0; }

constexpr std::uint64_t ebml_header = 0x1a45dfa3;

Error unreadable(const char* why) { return {Fault::clip_unreadable, why, ""}; }

bool starts_mp4(const std::uint8_t* head) {
  constexpr std::array tags = {"ftyp", "moov", "mdat", "wide", "free", "skip"};
  return std::any_of(tags.begin(), tags.end(), [head](const char* tag) { return is_tag(head + 4, tag); });
}

// ISO/IEC 14496-12 section 4.2: boxes follow one another, each beginning with its size and its name.
void walk_mp4(const LocalFile& file, ContainerLook& look) {
  bool index_whole = false;
  std::int64_t offset = 0;
  for (int boxes = 0; boxes < 100000; ++boxes) {  // a fragmented clip has two boxes a second or so
    std::array<std::uint8_t, 16> head{};
    const auto got = file.read_at(offset, head.data(), 16);
    if (!got || *got < 8) break;
    std::uint64_t size = big_endian(head.data(), 4);
    if (size == 1 && *got == 16) size = big_endian(head.data() + 8, 8);
    const std::uint8_t* name = head.data() + 4;
    const auto left = static_cast<std::uint64_t>(file.size_bytes() - offset);
    if (size == 0) size = left;
    if (size < 8) break;
    const bool whole = size <= left;
    if (is_tag(name, "moov") && whole) index_whole = true;
    const bool matters = is_tag(name, "moov") || is_tag(name, "mdat") || is_tag(name, "moof");
    if (!whole) {
      look.cut_off = matters;
      break;
    }
    offset += static_cast<std::int64_t>(size);
  }
  look.index_missing = !index_whole;
}

// Size of an EBML element (RFC 8794 section 4 and 5) at `at`: its identifier and its size, each of 1 to 8 bytes.
// Nothing where the size is unknown, as in a recording that was streamed.
struct EbmlElement {
  std::uint64_t identifier = 0;
  std::optional<std::uint64_t> size;
  std::int64_t head_bytes = 0;
};

std::optional<EbmlElement> ebml_element(const LocalFile& file, std::int64_t offset) {
  std::array<std::uint8_t, 12> head{};
  const auto got = file.read_at(offset, head.data(), 12);
  if (!got || *got < 12 || head[0] < 0x10) return std::nullopt;
  const int id_bytes = __builtin_clz(head[0]) - 23;
  const std::uint8_t* size_at = head.data() + id_bytes;
  if (*size_at == 0) return std::nullopt;
  const int size_bytes = __builtin_clz(*size_at) - 23;
  EbmlElement element;
  element.identifier = big_endian(head.data(), id_bytes);
  element.head_bytes = id_bytes + size_bytes;
  const std::uint64_t mask = (std::uint64_t{1} << (7 * size_bytes)) - 1;
  const std::uint64_t size = big_endian(size_at, size_bytes) & mask;
  if (size != mask) element.size = size;
  return element;
}

void walk_matroska(const LocalFile& file, ContainerLook& look) {
  constexpr std::uint64_t segment = 0x18538067;
  const auto header = ebml_element(file, 0);
  if (!header || !header->size || *header->size > 4096) return;
  const std::int64_t offset = header->head_bytes + static_cast<std::int64_t>(*header->size);
  const auto body = ebml_element(file, offset);
  if (!body || body->identifier != segment || !body->size) return;
  const std::int64_t left = file.size_bytes() - offset - body->head_bytes;
  look.cut_off = left < 0 || *body->size > static_cast<std::uint64_t>(left);
}

void walk_avi(const std::uint8_t* head, const LocalFile& file, ContainerLook& look) {
  const std::uint64_t size = head[4] | head[5] << 8 | head[6] << 16 | static_cast<std::uint64_t>(head[7]) << 24;
  look.cut_off = size + 8 > static_cast<std::uint64_t>(file.size_bytes());
}

}  // namespace

Result<LocalFile> LocalFile::open(const std::string& path) {
  const auto missing = [&path](const std::string& why) { return Error{Fault::clip_missing, path + ": " + why, ""}; };
  if (path.find('\0') != std::string::npos) return missing("a path holds no zero byte");
  // Without O_NONBLOCK, opening a pipe would wait for somebody to write to it.
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
  if (descriptor < 0) return missing(system_reason(errno));
  struct stat facts {};
  if (::fstat(descriptor, &facts) != 0) {
    const int code = errno;
    ::close(descriptor);
    return missing(system_reason(code));
  }
  if (!S_ISREG(facts.st_mode)) {
    ::close(descriptor);
    return missing(S_ISDIR(facts.st_mode) ? "it is a folder, not a file" : "it is a pipe or a device, not a file");
  }
  return LocalFile(descriptor, facts.st_size);
}

LocalFile::LocalFile(LocalFile&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)), size_bytes_(other.size_bytes_) {}

LocalFile& LocalFile::operator=(LocalFile&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  std::swap(size_bytes_, other.size_bytes_);
  return *this;
}

LocalFile::~LocalFile() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

std::optional<std::int64_t> LocalFile::read_at(std::int64_t offset, std::uint8_t* to, std::int64_t count) const {
  std::int64_t done = 0;
  while (done < count) {
    const ssize_t got = ::pread(descriptor_, to + done, static_cast<std::size_t>(count - done), offset + done);
    if (got == 0) break;
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return std::nullopt;
    done += got;
  }
  return done;
}

Result<ContainerLook> look_at_container(const LocalFile& file) {
  std::array<std::uint8_t, 12> head{};
  const auto got = file.read_at(0, head.data(), 12);
  if (!got) return unreadable("the disk could not be read");
  if (*got == 0) return unreadable("the file is empty");
  ContainerLook look;
  if (*got >= 8 && starts_mp4(head.data())) {
    look.kind = ContainerKind::mp4;
    walk_mp4(file, look);
  } else if (*got == 12 && big_endian(head.data(), 4) == ebml_header) {
    look.kind = ContainerKind::matroska;
    walk_matroska(file, look);
  } else if (*got == 12 && is_tag(head.data(), "RIFF") && is_tag(head.data() + 8, "AVI ")) {
    look.kind = ContainerKind::avi;
    walk_avi(head.data(), file, look);
  } else {
    return unreadable("it does not begin as an MP4, MOV, MKV, WebM or AVI file does");
  }
  return look;
}

Result<ContainerLook> look_at_growing(BytePipe& pipe) {
  const auto unsent = [](const char* why) { return Error{Fault::clip_unreadable, why, growing_advice}; };
  constexpr std::size_t transport_packet = 188;  // bytes, each packet beginning with 0x47 (ISO/IEC 13818-1, 2.4.3.2)
  constexpr std::uint8_t transport_sync = 0x47;
  std::array<std::uint8_t, transport_packet + 1> head{};
  const std::size_t got = pipe.peek(head.data(), 12);
  if (got == 0) return unsent("it ended before anything came");
  ContainerLook look;
  if (got == 12 && big_endian(head.data(), 4) == ebml_header) {
    look.kind = ContainerKind::matroska;
  } else if (got == 12 && starts_mp4(head.data())) {
    look.kind = ContainerKind::mp4;
  } else if (head[0] == transport_sync && pipe.peek(head.data(), head.size()) == head.size() &&
             head[transport_packet] == transport_sync) {
    look.kind = ContainerKind::transport_stream;
  } else {
    return unsent("it does not begin as an MKV, WebM, MP4 or transport stream does");
  }
  return look;
}

}  // namespace risetrace::clip
