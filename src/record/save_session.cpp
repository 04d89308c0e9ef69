#include <algorithm>
#include <cctype>

#include "record/check_visit.h"
#include "record/database.h"
#include "record/digest.h"
#include "record/record.h"
#include "record/rows.h"
#include "record/store.h"

namespace risetrace::record {
namespace {

// A document or clip to be written, with its digest; what is there already is left out.
struct Change {
  std::vector<std::pair<const Document*, std::string>> documents;
  std::vector<std::pair<const ClipFile*, StagedClip*>> clips;
  std::string replaced;  // what would be replaced, for people; empty: nothing
};

void name_replaced(Change& change, const std::string& name) {
  change.replaced += (change.replaced.empty() ? "" : ", ") + name;
}

template <typename Kept, typename Same>
const Kept* current_of(const std::vector<Kept>& kept, const Same& same) {
  const auto found = std::find_if(kept.begin(), kept.end(), [&](const Kept& one) { return one.current && same(one); });
  return found == kept.end() ? nullptr : &*found;
}

Change compare(const KeptSession& kept, const Visit& visit, std::vector<StagedClip>& staged) {
  Change change;
  for (const Document& document : visit.documents) {
    const std::string sha256 = sha256_of(document.json);
    const auto* current = current_of(kept.documents, [&](const KeptDocument& one) {
      return one.kind == document.kind && one.slot == document.slot;
    });
    if (current != nullptr && current->sha256 == sha256) continue;
    if (current != nullptr) {
      name_replaced(change, key_of(document.kind) + (document.slot.empty() ? "" : " " + document.slot));
    }
    change.documents.emplace_back(&document, sha256);
  }
  for (std::size_t i = 0; i < visit.clips.size(); ++i) {
    const ClipFile& clip = visit.clips[i];
    const auto* current = current_of(kept.clips, [&](const KeptClip& one) { return one.slot == clip.slot; });
    if (current != nullptr && current->sha256 == staged[i].sha256) continue;
    if (current != nullptr) name_replaced(change, "the clip of " + clip.slot);
    change.clips.emplace_back(&clip, &staged[i]);
  }
  return change;
}

std::string extension_of(const std::filesystem::path& file) {
  std::string extension = file.extension().string();
  if (!extension.empty()) extension.erase(0, 1);
  std::transform(extension.begin(), extension.end(), extension.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return is_extension(extension) ? extension : "";
}

// Within a transaction.
Outcome write_change(Store& store, Placing& placing, std::int64_t session, const Change& change,
                     const Revision& revision) {
  insert_revision(store.database, session, revision);
  for (const auto& [document, sha256] : change.documents) {
    const KeptDocument row{document->kind, document->slot, revision.number, true, sha256, 0, 0};
    insert_document(store.database, session, row, document->json);
  }
  for (const auto& [clip, staged] : change.clips) {
    if (auto placed = placing.place(*staged); !placed) return placed;
    insert_clip(store.database, session,
                {clip->slot, revision.number, true, staged->sha256, staged->bytes, extension_of(clip->file), {}});
  }
  return store.clips.sync();
}

std::string day_of(const Visit& visit) { return visit.code + "'s visit of " + visit.date; }

Result<Saved> save_in(Store& store, const Visit& visit, const Saving& saving, std::vector<StagedClip>& staged) {
  SQLite::Transaction transaction(store.database, SQLite::TransactionBehavior::IMMEDIATE);
  KeptSession kept{visit.code, visit.date, {}, {}, {}};
  for (auto& session : all_sessions(store.database, store.clips, visit.code)) {
    if (session.date == visit.date) kept = std::move(session);
  }
  if (kept.revisions.empty() && saving.correction) {
    return Error{Fault::not_in_record, day_of(visit) + " is not there to be corrected", "save it without a correction"};
  }
  const Change change = compare(kept, visit, staged);
  if (change.documents.empty() && change.clips.empty()) return Saved{kept.revisions.back().number, true};
  if (!change.replaced.empty() && !saving.correction) {
    return Error{Fault::already_in_record, day_of(visit) + " is kept with another " + change.replaced,
                 "say why it is corrected, if it is (--correction WHY); nothing was changed"};
  }
  const int number = kept.revisions.empty() ? 0 : kept.revisions.back().number + 1;
  const auto why = change.replaced.empty() ? std::nullopt : saving.correction;
  const std::int64_t row = session_row(store.database, visit.code, visit.date);
  Placing placing(store);
  if (auto written = write_change(store, placing, row, change, {number, now_utc(), saving.by, why}); !written) {
    return written.error();
  }
  transaction.commit();
  placing.keep();
  return Saved{number, false};
}

}  // namespace

Result<Saved> Record::save_session(const Visit& visit, const Saving& saving) {
  if (auto good = check_visit(visit); !good) return good.error();
  if (auto good = check_remark("the word on who saves", saving.by); !good) return good.error();
  if (auto good = check_remark("the word on why", saving.correction); !good) return good.error();
  return guarded(store_->file, [&]() -> Result<Saved> {
    std::vector<StagedClip> staged;
    for (const ClipFile& clip : visit.clips) {
      auto copied = store_->clips.stage(clip.file);
      if (!copied) return copied.error();
      staged.push_back(std::move(*copied));
    }
    return save_in(*store_, visit, saving, staged);
  });
}

}  // namespace risetrace::record
