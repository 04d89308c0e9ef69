#include "record/read_archive.h"

#include <set>

#include "record/check_visit.h"
#include "record/digest.h"
#include "record/zip_file.h"

namespace risetrace::record {
namespace {

// Ours, against files made to fill memory or disk.
constexpr std::size_t most_manifest_bytes = std::size_t{16} << 20;
constexpr std::int64_t most_texts_bytes = std::int64_t{256} << 20;

Error broken(const std::string& why) { return {Fault::archive_unreadable, why, ""}; }

// The ZIP holds what the manifest lists and what the record writes for people, no more.
Outcome check_names(const ZipReader& zip, const Manifest& manifest) {
  std::set<std::string> known = {"README.txt", "manifest.json", "sessions.csv"};
  for (const KeptSession& session : manifest.sessions) {
    for (const auto& document : session.documents) known.insert(path_of(session, document));
    for (const auto& clip : session.clips) known.insert(path_of(session, clip));
  }
  for (const ZipEntry& entry : zip.entries()) {
    if (!known.contains(entry.name)) return broken("it holds '" + entry.name + "', which its manifest does not name");
  }
  return Done{};
}

Outcome read_text(const ZipReader& zip, const std::string& path, const KeptDocument& document, std::int64_t& left_bytes,
                  Archive& archive) {
  if (document.bytes > left_bytes) return broken("its documents are longer than 256 MiB together");
  left_bytes -= document.bytes;
  auto text = zip.text(path, static_cast<std::size_t>(document.bytes));
  if (!text) return text.error();
  if (sha256_of(*text) != document.sha256 || static_cast<std::int64_t>(text->size()) != document.bytes) {
    return broken(path + " is not what the manifest says: its SHA-256 differs");
  }
  if (!is_json(*text)) return broken(path + " is not JSON");
  archive.texts[document.sha256] = std::move(*text);
  return Done{};
}

Outcome read_clip(const ZipReader& zip, const std::string& path, const KeptClip& clip, const ClipStore& clips,
                  Archive& archive) {
  if (!zip.is_stored(path)) return broken(path + " is not in it as it stands: clips are not to be packed");
  auto to = clips.aside();
  if (!to) return to.error();
  Digest digest;
  std::int64_t bytes = 0;
  const auto take = [&](const std::uint8_t* from, std::size_t count) {
    digest.add(from, count);
    bytes += static_cast<std::int64_t>(count);
    return to->write(from, count);
  };
  if (auto good = zip.read(path, clip.bytes, take); !good) return good;
  if (digest.finish() != clip.sha256 || bytes != clip.bytes) {
    return broken(path + " is not what the manifest says: its SHA-256 differs");
  }
  if (auto synced = to->sync(); !synced) return synced;
  archive.clips.insert_or_assign(clip.sha256, StagedClip{std::move(*to), clip.sha256, bytes});
  return Done{};
}

}  // namespace

Result<Archive> read_archive(const std::filesystem::path& file, const ClipStore& clips) {
  const auto zip = ZipReader::open(file);
  if (!zip) return zip.error();
  const auto text = zip->text("manifest.json", most_manifest_bytes);
  if (!text) return text.error();
  auto manifest = read_manifest(*text);
  if (!manifest) return manifest.error();
  if (auto good = check_names(*zip, *manifest); !good) return good.error();
  Archive archive{std::move(*manifest), {}, {}};
  std::int64_t left_bytes = most_texts_bytes;
  for (const KeptSession& session : archive.manifest.sessions) {
    for (const auto& document : session.documents) {
      if (auto good = read_text(*zip, path_of(session, document), document, left_bytes, archive); !good)
        return good.error();
    }
    for (const auto& clip : session.clips) {
      if (auto good = read_clip(*zip, path_of(session, clip), clip, clips, archive); !good) return good.error();
    }
  }
  return archive;
}

}  // namespace risetrace::record
