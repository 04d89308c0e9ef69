// A fuzzer's bytes as a plain file that is never on a disk.
#pragma once

#include <sys/mman.h>
#include <unistd.h>

#include <cstdint>
#include <string>

namespace risetrace::fuzz {

// Calls `look(path)`; the file is gone afterwards.
template <typename Look>
void as_file(const std::uint8_t* data, std::size_t size, const Look& look) {
  const int descriptor = memfd_create("clip", MFD_CLOEXEC);
  if (descriptor < 0) return;
  if (write(descriptor, data, size) == static_cast<ssize_t>(size)) look("/proc/self/fd/" + std::to_string(descriptor));
  close(descriptor);
}

}  // namespace risetrace::fuzz
