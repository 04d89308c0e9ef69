// Any bytes at all through a pipe: reading must end, in frames or in a named fault, and every frame handed out must be
// readable from corner to corner. The corpus is that of clip_fuzz.
#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>

#include <cstddef>
#include <cstdint>
#include <memory>

#include "clip/byte_pipe.h"
#include "clip/read_clip.h"
#include "fuzz/look_through.h"

namespace {

// A plain file behind it is read as a pipe is: forwards, once. It needs no second thread.
void read_some(int descriptor) {
  risetrace::clip::ReadOptions options;
  options.threads = 1;
  auto reader =
      risetrace::clip::ClipReader::open_pipe(std::make_shared<risetrace::clip::BytePipe>(descriptor), "pipe", options);
  risetrace::fuzz::look_through(reader);
  if (reader) risetrace::fuzz::demand(reader->facts().stretch == 1.0);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const int descriptor = memfd_create("pipe", MFD_CLOEXEC);
  if (descriptor < 0) return 0;
  if (write(descriptor, data, size) == static_cast<ssize_t>(size) && lseek(descriptor, 0, SEEK_SET) == 0) {
    read_some(descriptor);  // which closes it
  } else {
    close(descriptor);
  }
  return 0;
}
