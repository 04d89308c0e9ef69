// A plain local file, opened once: what kind of container it is and whether its end is there.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/result.h"

namespace risetrace::clip {

// Owns a file descriptor.
class LocalFile {
 public:
  // Fault clip_missing where there is no such file, it may not be read, or it is a folder, a pipe or a device.
  static Result<LocalFile> open(const std::string& path);

  LocalFile(const LocalFile&) = delete;
  LocalFile& operator=(const LocalFile&) = delete;
  LocalFile(LocalFile&& other) noexcept;
  LocalFile& operator=(LocalFile&& other) noexcept;
  ~LocalFile();

  [[nodiscard]] std::int64_t size_bytes() const { return size_bytes_; }
  // Bytes read, 0 at the end, nothing on a failure of the disk.
  std::optional<std::int64_t> read_at(std::int64_t offset, std::uint8_t* to, std::int64_t count) const;

 private:
  LocalFile(int descriptor, std::int64_t size_bytes) : descriptor_(descriptor), size_bytes_(size_bytes) {}
  int descriptor_ = -1;
  std::int64_t size_bytes_ = 0;
};

enum class ContainerKind { mp4, matroska, avi, transport_stream };  // the last only as it grows (see BytePipe)

struct ContainerLook {
  ContainerKind kind = ContainerKind::mp4;
  bool index_missing = false;  // MP4: no whole moov box, so nothing in it can be found
  bool cut_off = false;        // the outermost box says it is longer than the file
};

// From the first bytes and the outermost boxes alone; nothing inside is trusted. Fault clip_unreadable where it is none
// of the three.
Result<ContainerLook> look_at_container(const LocalFile& file);

// What to do about a pipe that cannot be read.
inline constexpr const char* growing_advice =
    "send a Matroska, WebM, fragmented MP4 or transport stream recording while it is made";

class BytePipe;
// The same of what comes through a pipe, from its first bytes, which stay unread: MP4, Matroska and WebM, or an MPEG
// transport stream, the containers that can be read before they are whole.
Result<ContainerLook> look_at_growing(BytePipe& pipe);

}  // namespace risetrace::clip
