// Any bytes at all as an earlier visit's screen.json: reading must end in a visit of finite numbers or in the one fault
// that is promised.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "visit/read_screen.h"

namespace {

using risetrace::visit::Values;

void demand(bool holds) {
  if (!holds) std::abort();
}

void demand_finite(const Values& values) {
  for (const auto& [quantity, value] : values) {
    demand(!quantity.ends_with("_u") && std::isfinite(value.value) && std::isfinite(value.shared_relative_u));
    demand(!value.u || (std::isfinite(*value.u) && *value.u >= 0));
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto read = risetrace::visit::read_screen_text({reinterpret_cast<const char*>(data), size}, "screen.json");
  if (!read) {
    demand(read.error().fault == risetrace::Fault::session_wrong && !read.error().why.empty());
    return 0;
  }
  demand(!read->date.empty() && !read->person_code.empty());
  for (const auto& result : read->results) {
    demand_finite(result.values);
    for (const auto& beat : result.beats) demand_finite(beat.values);
  }
  return 0;
}
