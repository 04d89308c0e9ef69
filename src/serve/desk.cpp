#include "serve/desk.h"

#include <nlohmann/json.hpp>

#include "serve/clock.h"
#include "serve/random_id.h"
#include "serve/session_fields.h"

namespace risetrace::serve {

using nlohmann::json;

Desk::Desk(DraftStore lasting, DraftStore quick, Events& events)
    : lasting_(std::move(lasting)), quick_(std::move(quick)), events_(events) {
  for (Draft& draft : quick_.load()) quick_.remove(draft);  // of a server that did not end in order
  for (Draft& draft : lasting_.load()) drafts_.emplace(draft.id, std::move(draft));
}

std::vector<Draft> Desk::drafts() const {
  const std::lock_guard lock(mutex_);
  std::vector<Draft> all;
  all.reserve(drafts_.size());
  for (const auto& [id, draft] : drafts_) all.push_back(draft);
  return all;
}

Draft Desk::draft(const std::string& id) const {
  const std::lock_guard lock(mutex_);
  const auto found = drafts_.find(id);
  if (found == drafts_.end()) throw no_such_visit();
  return found->second;
}

Draft& Desk::find(const std::string& id) {
  const auto found = drafts_.find(id);
  if (found == drafts_.end()) throw no_such_visit();
  return found->second;
}

Draft Desk::add(Draft draft) {
  draft.id = random_id();
  draft.made_at = utc_now();
  {
    const std::lock_guard lock(mutex_);
    constexpr std::size_t most_open = 1000;
    if (drafts_.size() >= most_open) {
      throw Refusal{409, "too-many-open", "too many visits are open", "1000 are open already", "close some of them"};
    }
    store_of(draft).save(draft);
    drafts_.emplace(draft.id, draft);
    if (draft.quick) made_s_[draft.id] = steady_s();
  }
  tell_changed(draft.id, "");
  return draft;
}

void Desk::remove(const std::string& id) {
  {
    const std::lock_guard lock(mutex_);
    const Draft draft = find(id);
    store_of(draft).remove(draft);
    drafts_.erase(id);
    made_s_.erase(id);
  }
  tell_changed(id, "");
}

Draft Desk::change(const std::string& id, const std::function<void(Draft&)>& change) {
  Draft changed;
  {
    const std::lock_guard lock(mutex_);
    Draft& draft = find(id);
    changed = draft;
    change(changed);
    store_of(changed).save(changed);
    draft = changed;
  }
  tell_changed(id, "");
  return changed;
}

DraftTest Desk::change_test(const std::string& id, const std::string& slot,
                            const std::function<void(DraftTest&)>& change) {
  DraftTest changed;
  {
    const std::lock_guard lock(mutex_);
    Draft& draft = find(id);
    Draft next = draft;
    change(next.tests[slot]);
    store_of(next).save(next);
    changed = next.tests[slot];
    draft = std::move(next);
  }
  tell_changed(id, slot);
  return changed;
}

void Desk::set_progress(const std::string& id, const std::string& slot, const std::string& stage, double share) {
  {
    const std::lock_guard lock(mutex_);
    const auto found = drafts_.find(id);
    if (found == drafts_.end()) return;
    if (!slot.empty()) {
      found->second.tests[slot].stage = stage;
      found->second.tests[slot].share = share;
    }
  }
  events_.tell(json{{"visit", id}, {"slot", slot}, {"what", "job"}, {"stage", stage}, {"share", share}}.dump(
      -1, ' ', false, json::error_handler_t::replace));
}

Draft Desk::replace_session(const std::string& id, int revision, const std::string& fields_json) {
  return change(id, [&](Draft& draft) {
    if (revision != draft.revision) {
      throw Refusal{409, "stale-revision", "the visit was changed elsewhere",
                    "it is at revision " + std::to_string(draft.revision) + ", and what came was made of revision " +
                        std::to_string(revision),
                    "look at it as it is now, then enter yours again"};
    }
    draft.session_json = with_fields(draft.session_json, fields_json);
    ++draft.revision;
  });
}

Desk::UploadPlace Desk::upload(const std::string& token) const {
  const std::lock_guard lock(mutex_);
  for (const auto& [id, draft] : drafts_) {
    for (const auto& [slot, test] : draft.tests) {
      if (test.upload && test.upload->token == token) {
        return {id, slot, *test.upload, draft.folder_of(slot) / part_file};
      }
    }
  }
  throw Refusal{404, "no-such-upload", "there is no such upload", "it is whole already, or was given up",
                "begin it again"};
}

void Desk::remove_quick(double older_than_s) {
  std::vector<std::string> old;
  {
    const std::lock_guard lock(mutex_);
    for (const auto& [id, made_s] : made_s_) {
      if (steady_s() - made_s >= older_than_s) old.push_back(id);
    }
  }
  for (const std::string& id : old) remove(id);
}

void Desk::tell_changed(const std::string& id, const std::string& slot) {
  events_.tell(json{{"visit", id}, {"slot", slot}, {"what", "changed"}}.dump());
}

}  // namespace risetrace::serve
