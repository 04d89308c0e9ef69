// Which part of a file a client asks for (RFC 9110, section 14). The library's own reading of ranges past the end is
// not to be relied on.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace risetrace::serve {

struct ByteRange {
  std::uint64_t first = 0;
  std::uint64_t length = 0;
};

enum class RangeKind {
  whole,          // no range, or a header of another form, which is to be ignored
  part,           //
  unsatisfiable,  // begins past the end: 416
};

struct AskedRange {
  RangeKind kind = RangeKind::whole;
  ByteRange part;  // of kind part: within the file
};

// `header`: of "Range", empty where there was none. More than one range is answered with the whole, as one may.
AskedRange read_range(const std::string& header, std::uint64_t file_bytes);

}  // namespace risetrace::serve
