// An exported file, all of it looked at before anything of it is kept.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>

#include "base/result.h"
#include "record/clip_store.h"
#include "record/manifest.h"

namespace risetrace::record {

struct Archive {
  Manifest manifest;
  std::map<std::string, std::string> texts;  // by SHA-256
  std::map<std::string, StagedClip> clips;   // by SHA-256
};

// `file` is a plain ZIP file. archive_unreadable where anything is missing, too much, or not as the manifest says;
// clips are staged in `clips`, and gone with the Archive.
Result<Archive> read_archive(const std::filesystem::path& file, const ClipStore& clips);

}  // namespace risetrace::record
