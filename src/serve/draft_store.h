// Open visits on the disk, one folder each (docs/serve.md says what lies where).
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"
#include "serve/draft.h"

namespace risetrace::serve {

// "desk.json" of a draft, and back. A text that is none: empty.
std::string desk_json(const Draft& draft);
std::optional<Draft> draft_from(const std::string& desk_json);

// Before a draft's ID in the name of its folder until it is saved the first time: what a server that was ended left of
// it is no visit yet.
inline constexpr const char* half_made = "half-";

class DraftStore {
 public:
  // Makes the folder (0700) and holds its lock: one server at a time. Fault cannot_write; record_busy.
  static Result<DraftStore> open(const std::filesystem::path& folder);

  DraftStore(DraftStore&& other) noexcept;
  DraftStore& operator=(DraftStore&&) = delete;
  DraftStore(const DraftStore&) = delete;
  DraftStore& operator=(const DraftStore&) = delete;
  ~DraftStore();

  struct Loaded {
    std::vector<Draft> drafts;
    std::vector<std::string> unreadable;  // IDs whose desk.json cannot be read; nothing in their folders is touched
  };
  // Folders that are no draft's are left alone.
  [[nodiscard]] Loaded load() const;
  // Makes the draft's folder where it is new; from the first save on it has the draft's ID for a name. Throws Refusal
  // cannot_keep.
  void save(Draft& draft) const;
  void make_folder(Draft& draft) const;
  // No draft any more; its folder, which is still to be removed: that can take a while.
  [[nodiscard]] std::filesystem::path put_aside(const Draft& draft) const;
  void remove(const Draft& draft) const;
  [[nodiscard]] const std::filesystem::path& folder() const { return folder_; }

 private:
  DraftStore(std::filesystem::path folder, int lock);
  std::filesystem::path folder_;
  int lock_;
};

// Written aside, brought to the disk, renamed (0600). Throws Refusal cannot_keep.
void write_whole(const std::filesystem::path& file, const std::string& text);

}  // namespace risetrace::serve
