// The open visits while the server runs: every change goes through here, is brought to the disk and told to the pages.
#pragma once

#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "serve/draft.h"
#include "serve/draft_store.h"
#include "serve/events.h"

namespace risetrace::serve {

// Safe to be called from many threads. Throws Refusal where there is no such visit, test or upload.
class Desk {
 public:
  // `quick` keeps visits that are not to stay.
  Desk(DraftStore lasting, DraftStore quick, Events& events);

  [[nodiscard]] std::vector<Draft> drafts() const;
  [[nodiscard]] Draft draft(const std::string& id) const;
  Draft add(Draft draft);  // given an ID and a folder
  // Its folder goes too.
  void remove(const std::string& id);
  // `change` may throw; then nothing is changed. Saved, told to the pages.
  Draft change(const std::string& id, const std::function<void(Draft&)>& change);
  // As above of one test of it.
  DraftTest change_test(const std::string& id, const std::string& slot, const std::function<void(DraftTest&)>& change);
  // How far measuring is: told to the pages, not to the disk.
  void set_progress(const std::string& id, const std::string& slot, const std::string& stage, double share);
  // 409 stale-revision where `revision` is not the current one.
  Draft replace_session(const std::string& id, int revision, const std::string& fields_json);

  struct UploadPlace {
    std::string id;
    std::string slot;
    UploadPlan plan;
    std::filesystem::path part;  // the file that grows
  };
  [[nodiscard]] UploadPlace upload(const std::string& token) const;

  void remove_quick(double older_than_s);

 private:
  Draft& find(const std::string& id);
  [[nodiscard]] const DraftStore& store_of(const Draft& draft) const { return draft.quick ? quick_ : lasting_; }
  void tell_changed(const std::string& id, const std::string& slot);

  mutable std::mutex mutex_;
  DraftStore lasting_;
  DraftStore quick_;
  Events& events_;
  std::map<std::string, Draft> drafts_;
  std::map<std::string, double> made_s_;  // of quick ones
};

// The name of the upload that grows in a slot's folder.
inline constexpr const char* part_file = "upload.part";
inline constexpr const char* corrections_file = "corrections.json";

}  // namespace risetrace::serve
