// The result folder is filled aside and renamed into place: a failure never leaves a half-written result.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"

namespace risetrace::report {

// Writes the whole text and makes sure that it reached the disk. Fault cannot_write, with the file and the system's
// reason.
Outcome write_text(const std::filesystem::path& file, const std::string& text);

// What a folder of ours may hold, so that anything else is somebody's and is left alone.
struct FolderForm {
  std::vector<std::string> files;
  std::string main_file;  // which names its schema near its beginning
  std::string schema;     // as far as the slash before the number
  std::string subfolder;  // that holds folders of measured clips; empty: none
};
const FolderForm& clip_form();   // of one measured clip
const FolderForm& visit_form();  // of a whole visit

// Not copyable. Without commit() the destructor removes all that was written.
class ResultFolder {
 public:
  // Makes `NAME.partial-PID` beside `out_dir`, and the folders above it where they are missing. Fault cannot_write: a
  // file is in the way, the folder holds other things than an earlier result, nothing may be written there, the disk
  // is full.
  static Result<ResultFolder> begin(const std::filesystem::path& out_dir, const FolderForm& form = clip_form());

  ResultFolder(ResultFolder&& other) noexcept;
  ResultFolder& operator=(ResultFolder&& other) noexcept;
  ResultFolder(const ResultFolder&) = delete;
  ResultFolder& operator=(const ResultFolder&) = delete;
  ~ResultFolder();

  // Where to write the file of this name until commit().
  [[nodiscard]] std::filesystem::path path(const std::string& name) const { return aside_ / name; }

  // Everything to disk, then renamed to `out_dir`. An empty folder or an earlier result there is replaced; anything
  // else stays and is a fault cannot_write.
  Outcome commit();

 private:
  ResultFolder(std::filesystem::path target, std::filesystem::path aside, const FolderForm& form);
  void discard() noexcept;

  const FolderForm* form_;
  std::filesystem::path target_;
  std::filesystem::path aside_;                 // empty: nothing to remove
  std::vector<std::filesystem::path> parents_;  // made for it, the outermost first; removed with it while empty
};

}  // namespace risetrace::report
