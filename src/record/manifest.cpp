#include "record/manifest.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <set>
#include <tuple>

#include "base/person_code.h"
#include "model/fields.h"
#include "record/check_visit.h"
#include "record/digest.h"
#include "record/json_parts.h"
#include "record/rows.h"

namespace risetrace::record {
namespace {

using json = nlohmann::ordered_json;
using model::Fields;

constexpr const char* schema_key = "risetrace/record-export/1";
constexpr double most_bytes = 1e15;  // a double still counts them one by one

std::string folder_of(const KeptSession& session, bool current, int revision) {
  return session.date + (current ? "/" : "/replaced/" + std::to_string(revision) + "/");
}

json session_json(const KeptSession& session) {
  json out = {{"date", session.date},
              {"revisions", revisions_json(session.revisions)},
              {"documents", json::array()},
              {"clips", json::array()}};
  for (const KeptDocument& one : session.documents) {
    out["documents"].push_back({{"kind", key_of(one.kind)},
                                {"slot", one.slot},
                                {"revision", one.revision},
                                {"current", one.current},
                                {"path", path_of(session, one)},
                                {"sha256", one.sha256},
                                {"bytes", one.bytes}});
  }
  for (const KeptClip& one : session.clips) {
    out["clips"].push_back({{"slot", one.slot},
                            {"revision", one.revision},
                            {"current", one.current},
                            {"path", path_of(session, one)},
                            {"sha256", one.sha256},
                            {"bytes", one.bytes},
                            {"extension", one.extension}});
  }
  return out;
}

// A text that must be there and of the form that `fits` knows.
template <typename Fits>
void word(Fields& fields, const char* name, std::string& value, const Fits& fits) {
  fields.need(name);
  fields.text(name, value);
  if (!fits(value)) fields.complain(name, "is '" + value + "', which it cannot be");
}

void remark(Fields& fields, const char* name, std::optional<std::string>& value) {
  fields.text(name, value);
  if (value && !is_remark(*value)) fields.complain(name, "is empty, too long or not plain text");
}

// What documents and clips have in common. `path` and `current` are worked out once all is read.
template <typename Part>
void read_part(Fields& fields, Part& part, std::string& path, std::size_t revisions) {
  fields.need("revision");
  fields.integer("revision", part.revision, 0, static_cast<int>(revisions) - 1);
  fields.need("current");
  fields.flag("current", part.current);
  fields.need("path");
  fields.text("path", path);
  word(fields, "sha256", part.sha256, is_sha256);
  double bytes = 0.0;
  fields.need("bytes");
  fields.number("bytes", bytes, 0.0, most_bytes);
  if (bytes != std::floor(bytes)) fields.complain("bytes", "must be a whole number");
  part.bytes = static_cast<std::int64_t>(bytes);
}

void read_document(Fields& fields, KeptDocument& document, std::string& path, std::size_t revisions) {
  fields.need("kind");
  fields.choice("kind", document.kind,
                {{"session", Kind::session}, {"result", Kind::result}, {"screen", Kind::screen}, {"log", Kind::log}});
  const auto fits = [&](const std::string& slot) {
    return slot.empty() ? document.kind != Kind::result : is_slot(slot);
  };
  word(fields, "slot", document.slot, fits);
  read_part(fields, document, path, revisions);
}

void read_clip(Fields& fields, KeptClip& clip, std::string& path, std::size_t revisions) {
  word(fields, "slot", clip.slot, is_slot);
  word(fields, "extension", clip.extension, is_extension);
  read_part(fields, clip, path, revisions);
}

void read_revision(Fields& fields, std::vector<Revision>& revisions) {
  Revision one;
  fields.need("number");
  const int number = static_cast<int>(revisions.size());
  one.number = number;
  fields.integer("number", one.number, number, number);
  word(fields, "at", one.at, is_instant);
  remark(fields, "by", one.by);
  remark(fields, "why", one.why);
  revisions.push_back(one);
}

// Each part once, and each path the one that the record itself would give.
template <typename Parts>
void check_paths(Fields& fields, const char* name, const KeptSession& session, const Parts& parts,
                 const std::vector<std::string>& paths, const std::vector<bool>& current) {
  std::set<std::string> seen;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts[i].current != current[i]) fields.complain(name, "say wrongly what is current");
    if (paths[i] != path_of(session, parts[i]))
      fields.complain(name, "hold the path '" + paths[i] + "', not their own");
    if (!seen.insert(paths[i]).second) fields.complain(name, "hold one part twice");
  }
}

template <typename Parts>
std::vector<bool> said_current(const Parts& parts) {
  std::vector<bool> said;
  for (const auto& part : parts) said.push_back(part.current);
  return said;
}

void read_session(Fields& fields, KeptSession& session) {
  word(fields, "date", session.date, is_date);
  fields.need("revisions");
  fields.list("revisions", [&](Fields& inner) { read_revision(inner, session.revisions); });
  if (session.revisions.empty()) fields.complain("revisions", "are none");
  std::vector<std::string> document_paths;
  std::vector<std::string> clip_paths;
  fields.need("documents");
  fields.list("documents", [&](Fields& inner) {
    read_document(inner, session.documents.emplace_back(), document_paths.emplace_back(), session.revisions.size());
  });
  fields.need("clips");
  fields.list("clips", [&](Fields& inner) {
    read_clip(inner, session.clips.emplace_back(), clip_paths.emplace_back(), session.revisions.size());
  });
  const auto documents_said = said_current(session.documents);
  const auto clips_said = said_current(session.clips);
  mark_current(session);
  check_paths(fields, "documents", session, session.documents, document_paths, documents_said);
  check_paths(fields, "clips", session, session.clips, clip_paths, clips_said);
}

void read_all(Fields& fields, Manifest& manifest) {
  std::string schema;
  word(fields, "schema", schema, [](const std::string& text) { return text == schema_key; });
  fields.need("program");
  fields.part("program", [&](Fields& inner) {
    std::string name;
    inner.text("name", name);
    inner.text("version", manifest.program_version);
  });
  word(fields, "code", manifest.code, is_person_code);
  fields.need("sessions");
  fields.list("sessions", [&](Fields& inner) { read_session(inner, manifest.sessions.emplace_back()); });
  if (manifest.sessions.empty()) fields.complain("sessions", "are none");
  std::set<std::string> dates;
  for (const KeptSession& session : manifest.sessions) {
    if (!dates.insert(session.date).second) fields.complain("sessions", "hold one day twice");
  }
}

}  // namespace

std::string path_of(const KeptSession& session, const KeptDocument& document) {
  const std::string slot = document.slot.empty() ? "" : "/" + document.slot;
  return folder_of(session, document.current, document.revision) + key_of(document.kind) + slot + ".json";
}

std::string path_of(const KeptSession& session, const KeptClip& clip) {
  const std::string end = clip.extension.empty() ? "" : "." + clip.extension;
  return folder_of(session, clip.current, clip.revision) + "clip/" + clip.slot + end;
}

std::string manifest_text(const Manifest& manifest) {
  json out = {{"schema", schema_key},
              {"program", {{"name", "risetrace"}, {"version", manifest.program_version}}},
              {"code", manifest.code},
              {"sessions", json::array()}};
  for (const KeptSession& session : manifest.sessions) out["sessions"].push_back(session_json(session));
  return out.dump(2) + "\n";
}

Result<Manifest> read_manifest(const std::string& text) {
  const nlohmann::json document = nlohmann::json::parse(text, nullptr, false);
  if (document.is_discarded()) return Error{Fault::archive_unreadable, "its manifest is not JSON", ""};
  Manifest manifest;
  model::Complaint complaint{"the manifest", ""};
  {
    Fields fields(document, "", complaint);
    read_all(fields, manifest);
  }
  if (!complaint.text.empty()) return Error{Fault::archive_unreadable, "its manifest: " + complaint.text, ""};
  for (KeptSession& session : manifest.sessions) session.code = manifest.code;
  return manifest;
}

}  // namespace risetrace::record
