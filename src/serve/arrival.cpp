#include "serve/arrival.h"

#include <cerrno>
#include <cstdio>

#include "serve/draft_store.h"
#include "serve/random_id.h"
#include "serve/remove_where.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace fs = std::filesystem;

fs::path part_file(const fs::path& slot_folder, const std::string& token) {
  return slot_folder / ("upload-" + token + ".part");
}

std::uint64_t came(const fs::path& file) {
  std::error_code wrong;
  const auto bytes = fs::file_size(file, wrong);
  return wrong ? 0 : bytes;
}

void mark_arrived(DraftTest& test, const std::string& token) {
  if (!test.upload || test.upload->token != token) throw no_such_upload();
  DraftTest next;
  next.options_json = test.options_json;
  next.upload = test.upload;
  next.upload->whole = true;
  next.clip_file = clip_file_for(test.upload->name);
  next.clip_name = shown_name(test.upload->name);
  next.state = TestState::waiting;
  test = next;
}

void move_arrived(const fs::path& slot_folder, const DraftTest& test) {
  const fs::path part = part_file(slot_folder, test.upload->token);
  std::error_code ignored;
  if (!fs::exists(part, ignored)) return;
  remove_where(slot_folder, [](const std::string& name) {
    return name.starts_with("clip.") || name == "result" || name == corrections_file || name == next_corrections_file;
  });
  if (std::rename(part.c_str(), (slot_folder / test.clip_file).c_str()) != 0) throw cannot_keep(errno);
}

void sweep_store(const fs::path& folder) {
  remove_where(folder, [&](const std::string& name) {
    return name.starts_with("gone-") || name.starts_with("export-") || name.find(".partial-") != std::string::npos ||
           name.starts_with(half_made);
  });
}

void sweep_visit(const Draft& draft) {
  remove_where(draft.folder, [&](const std::string& name) {
    return name.ends_with(".new") || (find_slot(name) != nullptr && !draft.tests.contains(name));
  });
  for (const auto& [slot, test] : draft.tests) {
    const std::string part = test.upload ? part_file("", test.upload->token).string() : "";
    remove_where(draft.folder_of(slot), [&, &one = test](const std::string& name) {
      return name.starts_with("recount-") || name.starts_with("first-frame-") || name.ends_with(".new") ||
             (name.starts_with("upload") && name.ends_with(".part") && name != part) ||
             (name == next_corrections_file && one.state != TestState::waiting);
    });
  }
}

}  // namespace risetrace::serve
