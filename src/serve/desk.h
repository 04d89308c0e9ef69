// The open visits while the server runs: every change goes through here, is brought to the disk and told to the pages.
#pragma once

#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "serve/arrival.h"
#include "serve/claims.h"
#include "serve/draft.h"
#include "serve/draft_store.h"
#include "serve/events.h"

namespace risetrace::serve {

// What becomes of a change that cannot be written: it is not made; or it tells what is so all the same (a job ended),
// and is written later.
enum class Keep { or_not_at_all, or_later };

// Safe to be called from many threads. Throws Refusal where there is no such visit, test or upload.
class Desk {
 public:
  // `quick` keeps visits that are not to stay.
  Desk(DraftStore lasting, DraftStore quick, Events& events);

  [[nodiscard]] std::vector<Draft> drafts() const;
  // IDs of visits that could not be read when the server began.
  [[nodiscard]] const std::vector<std::string>& unreadable() const { return unreadable_; }
  [[nodiscard]] Draft draft(const std::string& id) const;
  // Given an ID and a folder; `fill` puts files into that before anybody sees the draft.
  Draft add(Draft draft, const std::function<void(Draft&)>& fill = {});
  // Its folder, put aside, which the caller removes when nobody works there any more.
  [[nodiscard]] std::filesystem::path remove(const std::string& id);
  // `change` may throw; then nothing is changed. Saved, told to the pages.
  Draft change(const std::string& id, const std::function<void(Draft&)>& change, Keep keep = Keep::or_not_at_all);
  // As above of one test of it.
  DraftTest change_test(const std::string& id, const std::string& slot, const std::function<void(DraftTest&)>& change,
                        Keep keep = Keep::or_not_at_all);
  // Once more what could not be written.
  void save_unsaved();
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

  [[nodiscard]] std::vector<std::string> quick_ones(double older_than_s) const;
  // While a person is erased no visit of that code begins, or becomes one.
  void bar(const std::string& code, bool barred);
  Claims& claims() { return claims_; }

 private:
  Draft apply(const std::string& id, const std::function<void(Draft&)>& change, Keep keep);
  void check_not_barred(const Draft& draft) const;
  Draft& find(const std::string& id);
  [[nodiscard]] const DraftStore& store_of(const Draft& draft) const { return draft.quick ? quick_ : lasting_; }
  void tell_changed(const std::string& id, const std::string& slot);

  mutable std::mutex mutex_;
  std::vector<std::string> unreadable_;
  DraftStore lasting_;
  DraftStore quick_;
  Events& events_;
  std::map<std::string, Draft> drafts_;
  std::map<std::string, double> made_s_;  // of quick ones
  std::set<std::string> unsaved_;
  std::multiset<std::string> barred_;
  Claims claims_;
};

}  // namespace risetrace::serve
