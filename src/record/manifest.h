// What an exported file says of itself: models/schema/record-export.schema.json.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "record/kept.h"

namespace risetrace::record {

struct Manifest {
  std::string program_version;
  std::string code;
  std::vector<KeptSession> sessions;  // rows and files of them unset
};

// Where a part lies in the exported file: what is current as DATE/KIND/SLOT, what was replaced a folder deeper.
std::string path_of(const KeptSession& session, const KeptDocument& document);
std::string path_of(const KeptSession& session, const KeptClip& clip);

std::string manifest_text(const Manifest& manifest);
// archive_unreadable, with the field that is wrong: anything that the record could not have written itself.
Result<Manifest> read_manifest(const std::string& text);

}  // namespace risetrace::record
