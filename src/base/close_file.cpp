#include "base/close_file.h"

#include <unistd.h>

namespace risetrace {

void close_file(int& file) {
  if (file >= 0) ::close(file);
  file = -1;
}

}  // namespace risetrace
