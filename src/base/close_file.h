// File descriptors given back once.
#pragma once

namespace risetrace {

// Closed where it is open, and -1 from then on.
void close_file(int& file);

}  // namespace risetrace
