// JSON that somebody else wrote: a client, a worker, a file on the disk.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string_view>

namespace risetrace::serve {

// Discarded (is_discarded(), so of none of the kinds) where it is none, or nested deeper than anything of ours: the
// library copies and writes by recursion.
nlohmann::json read_json(std::string_view text);

inline constexpr int deepest_json = 32;

}  // namespace risetrace::serve
