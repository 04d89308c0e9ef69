#include "serve/remove_where.h"

#include <vector>

namespace risetrace::serve {

namespace fs = std::filesystem;

void remove_where(const fs::path& folder, const std::function<bool(const std::string& name)>& wanted) {
  std::error_code wrong;
  std::vector<fs::path> found;
  for (fs::directory_iterator one(folder, wrong), end; !wrong && one != end; one.increment(wrong)) {
    if (wanted(one->path().filename().string())) found.push_back(one->path());
  }
  for (const fs::path& one : found) fs::remove_all(one, wrong);
}

}  // namespace risetrace::serve
