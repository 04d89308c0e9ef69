#include <algorithm>
#include <set>
#include <tuple>

#include "record/database.h"
#include "record/read_archive.h"
#include "record/record.h"
#include "record/rows.h"
#include "record/seal.h"
#include "record/store.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

using Mark = std::tuple<std::string, std::string, int, std::string>;  // kind, slot, revision, SHA-256

std::set<Mark> marks_of(const KeptSession& session) {
  std::set<Mark> marks;
  for (const auto& one : session.documents) marks.insert({key_of(one.kind), one.slot, one.revision, one.sha256});
  for (const auto& one : session.clips) marks.insert({"clip", one.slot, one.revision, one.sha256});
  return marks;
}

bool same(const Revision& a, const Revision& b) { return a.at == b.at && a.by == b.by && a.why == b.why; }

enum class Relation { there, grown, parted };

// Is what comes a beginning of what is kept, or the other way round?
Relation relate(const KeptSession& kept, const KeptSession& coming) {
  const std::size_t common = std::min(kept.revisions.size(), coming.revisions.size());
  for (std::size_t i = 0; i < common; ++i) {
    if (!same(kept.revisions[i], coming.revisions[i])) return Relation::parted;
  }
  const bool more = coming.revisions.size() > kept.revisions.size();
  auto longer = marks_of(more ? coming : kept);
  std::erase_if(longer, [&](const Mark& mark) { return std::get<2>(mark) >= static_cast<int>(common); });
  if (longer != marks_of(more ? kept : coming)) return Relation::parted;
  return more ? Relation::grown : Relation::there;
}

// Revisions from number `from` on.
Outcome insert_session(Store& store, Placing& placing, const KeptSession& coming, int from, Archive& archive) {
  const std::int64_t row = session_row(store.database, coming.code, coming.date);
  for (const Revision& revision : coming.revisions) {
    if (revision.number >= from) insert_revision(store.database, row, revision);
  }
  for (const KeptDocument& document : coming.documents) {
    if (document.revision >= from) insert_document(store.database, row, document, archive.texts.at(document.sha256));
  }
  for (const KeptClip& clip : coming.clips) {
    if (clip.revision < from) continue;
    StagedClip& staged = archive.clips.at(clip.sha256);
    if (!staged.aside.path().empty()) {  // else it is in place: one clip may stand in two rows
      if (auto placed = placing.place(staged); !placed) return placed;
    }
    insert_clip(store.database, row, clip);
  }
  return Done{};
}

Result<Imported> insert_all(Store& store, Archive& archive) {
  SQLite::Transaction transaction(store.database, SQLite::TransactionBehavior::IMMEDIATE);
  const std::string& code = archive.manifest.code;
  const auto kept = all_sessions(store.database, store.clips, code);
  Imported imported{code, 0, 0, 0};
  Placing placing(store);
  for (const KeptSession& coming : archive.manifest.sessions) {
    const auto there =
        std::find_if(kept.begin(), kept.end(), [&](const KeptSession& one) { return one.date == coming.date; });
    const Relation relation = there == kept.end() ? Relation::grown : relate(*there, coming);
    if (relation == Relation::parted) {
      return Error{Fault::already_in_record,
                   code + "'s visit of " + coming.date + " was saved here and in the file each in its own way",
                   "export both and compare them; nothing was changed"};
    }
    if (relation == Relation::there) {
      ++imported.sessions_there;
      continue;
    }
    const int from = there == kept.end() ? 0 : static_cast<int>(there->revisions.size());
    ++(from == 0 ? imported.sessions_new : imported.sessions_grown);
    if (auto inserted = insert_session(store, placing, coming, from, archive); !inserted) return inserted.error();
  }
  if (auto synced = store.clips.sync(); !synced) return synced.error();
  transaction.commit();
  placing.keep();
  return imported;
}

Result<Aside> opened(const ClipStore& clips, const fs::path& file, const std::optional<std::string>& passphrase) {
  if (!passphrase) return Error{Fault::passphrase_missing, file.string() + " is sealed", ""};
  auto plain = clips.aside();
  if (!plain) return plain.error();
  if (auto good = unseal(file, *plain, *passphrase); !good) return good.error();
  return plain;
}

}  // namespace

Result<Imported> Record::import(const fs::path& file, const std::optional<std::string>& passphrase) {
  return guarded(store_->file, [&]() -> Result<Imported> {
    const auto sealed = is_sealed(file);
    if (!sealed) return sealed.error();
    if (!*sealed) {
      auto archive = read_archive(file, store_->clips);
      return archive ? insert_all(*store_, *archive) : Result<Imported>(archive.error());
    }
    const auto plain = opened(store_->clips, file, passphrase);
    if (!plain) return plain.error();
    auto archive = read_archive(plain->path(), store_->clips);
    return archive ? insert_all(*store_, *archive) : Result<Imported>(archive.error());
  });
}

}  // namespace risetrace::record
