#include <fcntl.h>

#include "record/database.h"
#include "record/digest.h"
#include "record/manifest.h"
#include "record/record.h"
#include "record/rows.h"
#include "record/seal.h"
#include "record/store.h"
#include "record/zip_file.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

constexpr const char* readme =
    "What risetrace kept of one person, in open formats.\n"
    "\n"
    "DATE/session.json      what was asked and told that day\n"
    "DATE/result/...json    each clip as it was measured\n"
    "DATE/screen.json       the visit as it was judged\n"
    "DATE/log.json          training done\n"
    "DATE/clip/...          the clips that were to be kept\n"
    "DATE/replaced/N/...    what was corrected later, as saving number N wrote it\n"
    "sessions.csv           a row for each of these, with when, by whom and why (RFC 4180, UTF-8)\n"
    "manifest.json          the same for programs, with the SHA-256 of each file\n"
    "\n"
    "Not every kind is there for each day. Times are in UTC. The units end the fields' names.\n"
    "These are health data of a person: keep them as such. Not a medical device; it decides nothing.\n"
    "To read them into another record: risetrace record import FILE\n";

std::string csv_cell(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + '"';
}

template <typename Part>
std::string csv_row(const KeptSession& session, const char* kind, const Part& part) {
  const Revision& revision = session.revisions.at(static_cast<std::size_t>(part.revision));
  std::string row;
  for (const std::string& cell :
       {session.date, std::string(kind), part.slot, std::to_string(part.revision),
        std::string(part.current ? "yes" : "no"), revision.at, revision.by.value_or(""), revision.why.value_or(""),
        path_of(session, part), std::to_string(part.bytes), part.sha256}) {
    row += (row.empty() ? "" : ",") + csv_cell(cell);
  }
  return row + "\r\n";
}

std::string csv_text(const std::vector<KeptSession>& sessions) {
  std::string text = "date,kind,slot,revision,current,saved_at,saved_by,corrected_because,file,bytes,sha256\r\n";
  for (const KeptSession& session : sessions) {
    for (const auto& document : session.documents) text += csv_row(session, key_of(document.kind), document);
    for (const auto& clip : session.clips) text += csv_row(session, "clip", clip);
  }
  return text;
}

Outcome add_session(Store& store, const KeptSession& session, std::vector<ZipPart>& parts) {
  for (const KeptDocument& document : session.documents) {
    const auto text = text_of_row(store.database, document.row);
    if (!text || sha256_of(*text) != document.sha256) {
      return Error{Fault::record_damaged, path_of(session, document) + " is not what was saved", ""};
    }
    parts.push_back({path_of(session, document), *text, {}});
  }
  for (const KeptClip& clip : session.clips) {
    const auto sha256 = sha256_of_file(clip.file, Fault::record_damaged);
    if (!sha256) return sha256.error();
    if (*sha256 != clip.sha256) {
      return Error{Fault::record_damaged, path_of(session, clip) + " is not what was saved", ""};
    }
    parts.push_back({path_of(session, clip), "", clip.file});
  }
  return Done{};
}

// In the record's own folder, where the same lies in plain already.
Result<Aside> make_zip(Store& store, const std::string& code, const std::string& program_version) {
  const SQLite::Transaction one_view(store.database);
  const auto sessions = all_sessions(store.database, store.clips, code);
  if (sessions.empty()) return Error{Fault::not_in_record, "nobody has the code '" + code + "'", ""};
  std::vector<ZipPart> parts = {{"README.txt", readme, {}},
                                {"manifest.json", manifest_text({program_version, code, sessions}), {}},
                                {"sessions.csv", csv_text(sessions), {}}};
  for (const KeptSession& session : sessions) {
    if (auto added = add_session(store, session, parts); !added) return added.error();
  }
  auto zip = store.clips.aside();
  if (!zip) return zip.error();
  if (auto written = write_zip(*zip, parts); !written) return written.error();
  return zip;
}

Outcome copy_plain(const fs::path& from, const fs::path& to) {
  const auto in = PosixFile::open(from, Fault::record_unreadable);
  if (!in) return in.error();
  const auto out = PosixFile::make(to);
  if (!out) return out.error();
  std::vector<std::uint8_t> buffer(std::size_t{1} << 18);
  while (true) {
    const auto got = in->read(buffer.data(), buffer.size());
    if (!got) return Error{Fault::record_unreadable, from.string() + ": the disk could not be read", ""};
    if (auto put = out->write(buffer.data(), *got, to); !put) return put;
    if (*got < buffer.size()) return out->sync(to);
  }
}

}  // namespace

Outcome Record::export_person(const std::string& code, const fs::path& out, const Exporting& exporting) const {
  return guarded(store_->file, [&]() -> Outcome {
    const auto zip = make_zip(*store_, code, exporting.program_version);
    if (!zip) return zip.error();
    const fs::path partial = out.string() + ".partial-" + random_hex(4);
    Outcome written = exporting.passphrase ? seal(zip->path(), partial, *exporting.passphrase, exporting.cost)
                                           : copy_plain(zip->path(), partial);
    std::error_code failed;
    if (written) fs::rename(partial, out, failed);
    if (written && failed) written = write_error(out, failed.value());
    std::error_code ignored;
    if (!written) fs::remove(partial, ignored);
    return written;
  });
}

}  // namespace risetrace::record
