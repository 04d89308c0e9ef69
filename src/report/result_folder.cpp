#include "report/result_folder.h"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <fstream>
#include <optional>
#include <system_error>

#include "base/write_all.h"
#include "review/corrections_left.h"

namespace risetrace::report {
namespace {

namespace fs = std::filesystem;

Error cannot_write(const fs::path& where, const std::string& why, const std::string& what_to_do = "") {
  return {Fault::cannot_write, where.string() + ": " + why, what_to_do};
}

Error cannot_write(const fs::path& where, int system_error) {
  if (system_error == ENOSPC || system_error == EDQUOT) {
    return cannot_write(where, "the disk is full", "make room, or choose another folder with --out");
  }
  return cannot_write(where, std::generic_category().message(system_error));
}

// An open file or folder; close() tells whether closing worked, which is where some file systems report a full disk.
class Descriptor {
 public:
  Descriptor(const fs::path& path, int flags) : number_(::open(path.c_str(), flags | O_CLOEXEC, 0666)) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() { close(); }

  [[nodiscard]] int number() const { return number_; }
  int close() {
    const int closed = number_ < 0 ? 0 : ::close(number_);
    number_ = -1;
    return closed;
  }

 private:
  int number_;
};

// Some file systems cannot sync some things (EINVAL, ENOTSUP); that is no failure of writing.
bool synced(int number) { return ::fsync(number) == 0 || errno == EINVAL || errno == ENOTSUP; }

Outcome sync_path(const fs::path& path, int flags) {
  Descriptor opened(path, flags);
  if (opened.number() < 0 || !synced(opened.number()) || opened.close() != 0) return cannot_write(path, errno);
  return Done{};
}

bool holds_schema(const fs::path& file, const std::string& schema) {
  std::ifstream in(file);
  std::string head(200, '\0');
  in.read(head.data(), static_cast<std::streamsize>(head.size()));
  return head.find("\"" + schema) != std::string::npos;
}

std::optional<Error> in_the_way(const fs::path& target, const FolderForm& form);

// A subfolder of ours holds folders of measured clips and nothing else.
bool is_ours(const fs::path& entry, const FolderForm& form) {
  const std::string name = entry.filename().string();
  if (std::find(form.files.begin(), form.files.end(), name) != form.files.end()) return true;
  if (form.subfolder.empty() || name != form.subfolder) return false;
  std::error_code wrong;
  for (fs::directory_iterator one(entry, wrong), end; !wrong && one != end; one.increment(wrong)) {
    if (in_the_way(one->path(), clip_form())) return false;
  }
  return !wrong;
}

// Empty where `target` may be replaced: absent, an empty folder, or an earlier one of ours and nothing else.
std::optional<Error> in_the_way(const fs::path& target, const FolderForm& form) {
  std::error_code wrong;
  const fs::file_status status = fs::symlink_status(target, wrong);
  if (!fs::exists(status)) return std::nullopt;
  if (!fs::is_directory(status)) return cannot_write(target, "a file of that name is in the way");
  bool any = false;
  for (fs::directory_iterator entry(target, wrong), end; !wrong && entry != end; entry.increment(wrong)) {
    any = true;
    if (!is_ours(entry->path(), form)) {
      return cannot_write(target, "the folder holds other things (" + entry->path().filename().string() + ")");
    }
  }
  if (wrong) return cannot_write(target, wrong.value());
  if (any && !holds_schema(target / form.main_file, form.schema)) {
    return cannot_write(target, "the folder holds files that are no earlier result");
  }
  return std::nullopt;
}

// "out/", "out/." and "out" are one folder; a link is followed, so that what it points to is replaced and not the link.
fs::path plain_target(const fs::path& out_dir) {
  std::error_code wrong;
  fs::path target = fs::weakly_canonical(fs::absolute(out_dir, wrong), wrong);
  if (wrong) target = fs::absolute(out_dir).lexically_normal();
  return target.has_filename() ? target : target.parent_path();
}

// A name beside the target that nothing has yet.
Result<fs::path> make_aside(const fs::path& target, const std::string& kind) {
  const std::string name = target.filename().string() + "." + kind + "-" + std::to_string(::getpid());
  std::error_code wrong;
  for (int attempt = 0; attempt < 100; ++attempt) {
    fs::path aside = target.parent_path() / (attempt == 0 ? name : name + "-" + std::to_string(attempt));
    if (fs::create_directory(aside, wrong)) return aside;
    if (wrong) return cannot_write(target, wrong.value());
  }
  return cannot_write(target, "too many unfinished results lie beside it");
}

}  // namespace

Outcome write_text(const fs::path& file, const std::string& text) {
  Descriptor out(file, O_WRONLY | O_CREAT | O_TRUNC);
  if (out.number() < 0) return cannot_write(file, errno);
  if (const int wrong = write_all(out.number(), text.data(), text.size()); wrong != 0) return cannot_write(file, wrong);
  if (!synced(out.number()) || out.close() != 0) return cannot_write(file, errno);
  return Done{};
}

const FolderForm& clip_form() {
  static const FolderForm form{{"result.json", "trace.csv", "overlay.mp4", "report.pdf", "frames.mp4", "foot.mp4",
                                "frames.json", review::corrections_before},
                               "result.json",
                               "risetrace/result/",
                               ""};
  return form;
}

const FolderForm& visit_form() {
  static const FolderForm form{
      {"screen.json", "values.csv", "comparison.csv", "fhir.json", "clinician.pdf", "runner.pdf"},
      "screen.json",
      "risetrace/screen/",
      "tests"};
  return form;
}

Result<ResultFolder> ResultFolder::begin(const fs::path& out_dir, const FolderForm& form) {
  if (out_dir.empty()) return cannot_write("--out", "the name is empty");
  const fs::path target = plain_target(out_dir);
  if (!target.has_filename()) return cannot_write(target, "this is the root of the disk");
  ResultFolder folder(target, {}, form);
  std::error_code wrong;
  for (fs::path above = target.parent_path(); !above.empty() && !fs::exists(above, wrong);
       above = above.parent_path()) {
    folder.parents_.insert(folder.parents_.begin(), above);
  }
  fs::create_directories(target.parent_path(), wrong);
  if (wrong) return cannot_write(target.parent_path(), wrong.value());
  if (auto blocked = in_the_way(target, form)) return *blocked;
  auto aside = make_aside(target, "partial");
  if (!aside) return aside.error();
  folder.aside_ = *aside;
  return folder;
}

ResultFolder::ResultFolder(fs::path target, fs::path aside, const FolderForm& form)
    : form_(&form), target_(std::move(target)), aside_(std::move(aside)) {}

ResultFolder::ResultFolder(ResultFolder&& other) noexcept
    : form_(other.form_),
      target_(std::move(other.target_)),
      aside_(std::move(other.aside_)),
      parents_(std::move(other.parents_)) {
  other.aside_.clear();
  other.parents_.clear();
}

ResultFolder& ResultFolder::operator=(ResultFolder&& other) noexcept {
  if (this != &other) {
    discard();
    form_ = other.form_;
    target_ = std::move(other.target_);
    aside_ = std::move(other.aside_);
    parents_ = std::move(other.parents_);
    other.aside_.clear();
    other.parents_.clear();
  }
  return *this;
}

ResultFolder::~ResultFolder() { discard(); }

void ResultFolder::discard() noexcept {
  std::error_code ignored;
  if (!aside_.empty()) fs::remove_all(aside_, ignored);
  aside_.clear();
  for (auto above = parents_.rbegin(); above != parents_.rend(); ++above) fs::remove(*above, ignored);  // only if empty
  parents_.clear();
}

Outcome ResultFolder::commit() {
  std::error_code wrong;
  for (fs::recursive_directory_iterator entry(aside_, wrong), end; !wrong && entry != end; entry.increment(wrong)) {
    const int flags = entry->is_directory() ? O_RDONLY | O_DIRECTORY : O_RDONLY;
    if (auto done = sync_path(entry->path(), flags); !done) return done;
  }
  if (wrong) return cannot_write(target_, wrong.value());
  if (auto done = sync_path(aside_, O_RDONLY | O_DIRECTORY); !done) return done;
  if (auto blocked = in_the_way(target_, *form_)) return *blocked;  // something may have come there meanwhile

  fs::path old;
  if (fs::exists(target_, wrong)) {
    auto place = make_aside(target_, "old");
    if (!place) return place.error();
    old = *place;
    fs::rename(target_, old, wrong);  // onto the empty folder just made
    if (wrong) return cannot_write(target_, wrong.value());
  }
  fs::rename(aside_, target_, wrong);
  if (wrong) {
    std::error_code ignored;
    if (!old.empty()) fs::rename(old, target_, ignored);
    return cannot_write(target_, wrong.value());
  }
  aside_.clear();
  parents_.clear();
  if (!old.empty()) fs::remove_all(old, wrong);
  return sync_path(target_.parent_path(), O_RDONLY | O_DIRECTORY);
}

}  // namespace risetrace::report
