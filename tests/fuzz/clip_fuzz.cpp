// Any bytes at all as a clip: opening and reading must end, in frames or in a named fault, and every frame handed out
// must be readable from corner to corner.
#include <cstddef>
#include <cstdint>
#include <string>

#include "clip/read_clip.h"
#include "fuzz/look_through.h"
#include "fuzz/memory_file.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  risetrace::fuzz::as_file(data, size, [](const std::string& path) {
    risetrace::clip::ReadOptions options;
    options.threads = 1;
    options.keep_chroma = true;
    auto reader = risetrace::clip::ClipReader::open(path, options);
    risetrace::fuzz::look_through(reader);
  });
  return 0;
}
