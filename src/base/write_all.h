// Bytes to an open file, all of them.
#pragma once

#include <cstddef>

namespace risetrace {

// A write that was interrupted goes on. 0, or the errno of the write that failed: some of the bytes may be written
// then.
int write_all(int descriptor, const void* bytes, std::size_t count);

}  // namespace risetrace
