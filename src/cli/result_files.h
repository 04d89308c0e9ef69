// The files of one measured clip.
#pragma once

#include <filesystem>
#include <string>

#include "base/progress.h"
#include "base/result.h"
#include "clip/read_clip.h"
#include "measure/measurement.h"

namespace risetrace::cli {

struct WantedFiles {
  bool report = false;
  bool overlay = false;
  bool frames = false;  // frames.mp4, foot.mp4, frames.json
};

// result.json and trace.csv, and what else is wanted, into `folder`, which must be there. `clip` is read once more for
// the overlay and the frames, both from the same reading. Faults: cannot_write, and those of reading the clip.
Outcome write_result_files(const std::filesystem::path& folder, const measure::Measurement& measurement,
                           const std::string& json, const WantedFiles& wanted, const std::string& clip,
                           const clip::ReadOptions& read, const std::string& version, const Watcher& watcher);

}  // namespace risetrace::cli
