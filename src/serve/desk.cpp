#include "serve/desk.h"

#include <nlohmann/json.hpp>

#include "serve/clock.h"
#include "serve/random_id.h"
#include "serve/session_fields.h"

namespace risetrace::serve {

using nlohmann::json;

Desk::Desk(DraftStore lasting, DraftStore quick, Events& events)
    : lasting_(std::move(lasting)), quick_(std::move(quick)), events_(events) {
  for (Draft& draft : quick_.load().drafts) quick_.remove(draft);  // of a server that did not end in order
  sweep_store(lasting_.folder());
  DraftStore::Loaded loaded = lasting_.load();
  unreadable_ = std::move(loaded.unreadable);
  for (Draft& draft : loaded.drafts) {
    sweep_visit(draft);
    drafts_.emplace(draft.id, std::move(draft));
  }
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

void Desk::check_not_barred(const Draft& draft) const {
  if (draft.quick || !barred_.contains(code_of(draft))) return;
  throw Refusal{409, "being-erased", "this person is being erased", "it was asked for a moment ago",
                "wait until that is done"};
}

Draft Desk::add(Draft draft, const std::function<void(Draft&)>& fill) {
  draft.id = random_id();
  draft.made_at = utc_now();
  const DraftStore& store = store_of(draft);
  try {
    if (fill) {
      store.make_folder(draft);
      fill(draft);
    }
    const std::lock_guard lock(mutex_);
    constexpr std::size_t most_open = 1000;
    if (drafts_.size() >= most_open) {
      throw Refusal{409, "too-many-open", "too many visits are open", "1000 are open already", "close some of them"};
    }
    check_not_barred(draft);
    store.save(draft);
    drafts_.emplace(draft.id, draft);
    if (draft.quick) made_s_[draft.id] = steady_s();
  } catch (...) {
    std::error_code ignored;
    if (!draft.folder.empty()) std::filesystem::remove_all(draft.folder, ignored);
    throw;
  }
  tell_changed(draft.id, "");
  return draft;
}

std::filesystem::path Desk::remove(const std::string& id) {
  std::filesystem::path gone;
  {
    const std::lock_guard lock(mutex_);
    const Draft draft = find(id);
    gone = store_of(draft).put_aside(draft);
    drafts_.erase(id);
    made_s_.erase(id);
    unsaved_.erase(id);
  }
  tell_changed(id, "");
  return gone;
}

Draft Desk::apply(const std::string& id, const std::function<void(Draft&)>& change, Keep keep) {
  const std::lock_guard lock(mutex_);
  Draft& draft = find(id);
  Draft changed = draft;
  change(changed);
  try {
    store_of(changed).save(changed);
    unsaved_.erase(id);
  } catch (const Refusal&) {
    if (keep == Keep::or_not_at_all) throw;
    unsaved_.insert(id);
  }
  draft = changed;
  return changed;
}

Draft Desk::change(const std::string& id, const std::function<void(Draft&)>& change, Keep keep) {
  Draft changed = apply(id, change, keep);
  tell_changed(id, "");
  return changed;
}

DraftTest Desk::change_test(const std::string& id, const std::string& slot,
                            const std::function<void(DraftTest&)>& change, Keep keep) {
  const Draft changed = apply(
      id, [&](Draft& draft) { change(draft.tests[slot]); }, keep);
  tell_changed(id, slot);
  return changed.tests.at(slot);
}

void Desk::save_unsaved() {
  const std::lock_guard lock(mutex_);
  std::erase_if(unsaved_, [&](const std::string& id) {
    try {
      Draft& draft = find(id);
      store_of(draft).save(draft);
      return true;
    } catch (const Refusal&) {
      return false;
    }
  });
}

void Desk::bar(const std::string& code, bool barred) {
  const std::lock_guard lock(mutex_);
  if (barred) {
    barred_.insert(code);
  } else if (const auto found = barred_.find(code); found != barred_.end()) {
    barred_.erase(found);
  }
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
    check_not_barred(draft);
  });
}

Desk::UploadPlace Desk::upload(const std::string& token) const {
  const std::lock_guard lock(mutex_);
  for (const auto& [id, draft] : drafts_) {
    for (const auto& [slot, test] : draft.tests) {
      if (test.upload && test.upload->token == token) {
        return {id, slot, *test.upload, part_file(draft.folder_of(slot), token)};
      }
    }
  }
  throw no_such_upload();
}

std::vector<std::string> Desk::quick_ones(double older_than_s) const {
  const std::lock_guard lock(mutex_);
  std::vector<std::string> old;
  for (const auto& [id, made_s] : made_s_) {
    if (steady_s() - made_s >= older_than_s) old.push_back(id);
  }
  return old;
}

void Desk::tell_changed(const std::string& id, const std::string& slot) {
  events_.tell(json{{"visit", id}, {"slot", slot}, {"what", "changed"}}.dump());
}

}  // namespace risetrace::serve
