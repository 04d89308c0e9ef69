// Any bytes at all through a pipe: reading must end, in frames or in a named fault, and every frame handed out must be
// readable from corner to corner. The corpus is that of clip_fuzz.
#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "clip/byte_pipe.h"
#include "clip/read_clip.h"

namespace {

using risetrace::Fault;

void demand(bool holds) {
  if (!holds) std::abort();
}

// A plain file behind it is read as a pipe is: forwards, once. It needs no second thread.
void read_some(int descriptor) {
  risetrace::clip::ReadOptions options;
  options.threads = 1;
  auto reader =
      risetrace::clip::ClipReader::open_pipe(std::make_shared<risetrace::clip::BytePipe>(descriptor), "pipe", options);
  if (!reader) {
    const Fault fault = reader.error().fault;
    demand(fault == Fault::clip_unreadable || fault == Fault::clip_no_picture || fault == Fault::clip_too_large);
    return;
  }
  double last_s = -1.0;
  for (int i = 0; i < 20; ++i) {
    const auto frame = reader->next();
    if (!frame) {
      demand(frame.error().fault == Fault::clip_no_frames || frame.error().fault == Fault::clip_unreadable);
      break;
    }
    if (!*frame) break;
    demand(std::isfinite((*frame)->time_s) && (*frame)->time_s > last_s && (*frame)->number == i);
    last_s = (*frame)->time_s;
    const auto patch = upright_patch(**frame, {(*frame)->width_px - 8, (*frame)->height_px - 8, 8, 8});
    for (const float grey : patch.grey) demand(grey >= 0.0F && grey < 256.0F);
    demand(!upright_picture(**frame).grey.empty());
  }
  const double share = reader->share_read();
  demand(share >= 0.0 && share <= 1.0);
  const auto facts = reader->facts();
  demand(std::isfinite(facts.duration_s) && std::isfinite(facts.frame_rate_hz) && facts.stretch == 1.0);
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
