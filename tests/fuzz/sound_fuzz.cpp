// Any bytes at all as a clip with sound: opening and listening must end, in pieces or in a named fault, and the pieces
// must be finite and follow one another.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "clip/read_sound.h"
#include "fuzz/memory_file.h"

namespace {

void demand(bool holds) {
  if (!holds) std::abort();
}

void hear_some(const std::string& path) {
  auto reader = risetrace::clip::SoundReader::open(path, {});
  if (!reader) {
    demand(!reader.error().why.empty() && risetrace::exit_status(reader.error().fault) == 3);
    return;
  }
  double end_s = -1e300;
  for (int i = 0; i < 400; ++i) {
    const auto piece = reader->next();
    if (!piece || !*piece) break;
    const double rate_hz = (*piece)->rate_hz;
    demand(std::isfinite((*piece)->first_s) && std::isfinite(rate_hz) && rate_hz > 0.0);
    demand((*piece)->first_s >= end_s - 0.0011);
    end_s = (*piece)->first_s + static_cast<double>((*piece)->samples.size()) / rate_hz;
    for (const float sample : (*piece)->samples) demand(sample >= -8.0F && sample <= 8.0F);
  }
  demand(reader->facts().stretch > 0.0);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  risetrace::fuzz::as_file(data, size, [](const std::string& path) { hear_some(path); });
  return 0;
}
