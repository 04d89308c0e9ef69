// A file written whole or not at all.
#pragma once

#include <filesystem>
#include <functional>

#include "base/result.h"

namespace risetrace::cli {

// `write` fills a file beside `out`, which is then renamed to it: what could not be finished never stands under its
// name. Fault cannot_write, told of `out`; nothing is left behind then.
Outcome write_aside(const std::filesystem::path& out,
                    const std::function<Outcome(const std::filesystem::path&)>& write);

}  // namespace risetrace::cli
