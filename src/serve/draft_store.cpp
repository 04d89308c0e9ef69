#include "serve/draft_store.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <nlohmann/json.hpp>
#include <utility>

#include "base/read_file.h"
#include "base/write_all.h"
#include "serve/random_id.h"
#include "serve/read_json.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

constexpr std::array test_states = {
    std::pair{TestState::empty, "empty"},        std::pair{TestState::uploading, "uploading"},
    std::pair{TestState::waiting, "waiting"},    std::pair{TestState::measuring, "measuring"},
    std::pair{TestState::measured, "measured"},  std::pair{TestState::failed, "failed"},
    std::pair{TestState::cancelled, "cancelled"}};
constexpr std::array screen_states = {std::pair{ScreenState::none, "none"}, std::pair{ScreenState::running, "running"},
                                      std::pair{ScreenState::ready, "ready"}, std::pair{ScreenState::failed, "failed"}};

template <typename State, std::size_t count>
State state_from(const std::array<std::pair<State, const char*>, count>& names, const std::string& word) {
  for (const auto& [state, name] : names) {
    if (word == name) return state;
  }
  return names[0].first;
}

std::optional<Failure> failure_from(const json& stored) {
  if (!stored.is_object()) return std::nullopt;
  return Failure{stored.value("code", ""), stored.value("what", ""), stored.value("why", ""), stored.value("do", "")};
}

json test_json(const DraftTest& test) {
  json upload;
  if (test.upload) {
    upload = {{"token", test.upload->token},
              {"name", test.upload->name},
              {"bytes", test.upload->bytes},
              {"modified", test.upload->modified},
              {"whole", test.upload->whole}};
  }
  return {{"state", key_of(test.state)},
          {"failure", failure_json(test.failure)},
          {"upload", upload},
          {"clip_file", test.clip_file},
          {"clip_name", test.clip_name},
          {"options", read_json(test.options_json)},
          {"measured_at", test.measured_at},
          {"corrections", test.corrections},
          {"broken_off", test.broken_off}};
}

DraftTest test_from(const json& stored) {
  DraftTest test;
  test.state = state_from(test_states, stored.value("state", ""));
  test.failure = failure_from(stored.value("failure", json()));
  const std::string clip = stored.value("clip_file", "");
  if (!clip.empty()) test.clip_file = clip_file_for(clip);  // one of our own names, whatever the file says
  test.clip_name = stored.value("clip_name", "");
  test.options_json = stored.value("options", json::object()).dump();
  test.measured_at = stored.value("measured_at", "");
  test.corrections = stored.value("corrections", 0);
  test.broken_off = stored.value("broken_off", 0);
  if (const json upload = stored.value("upload", json()); upload.is_object() && is_id(upload.value("token", ""))) {
    test.upload =
        UploadPlan{upload.value("token", ""), upload.value("name", ""), upload.value("bytes", std::uint64_t{0}),
                   upload.value("modified", ""), upload.value("whole", false)};
  }
  return test;
}

Draft read_draft(const json& stored) {
  Draft draft;
  draft.id = stored.value("id", "");
  draft.revision = stored.value("revision", 1);
  draft.tests_revision = stored.value("tests_revision", 0);
  draft.quick = stored.value("quick", false);
  draft.made_at = stored.value("made_at", "");
  draft.session_json = stored.value("session", json::object()).dump();
  const json tests = stored.value("tests", json::object());
  for (const auto& [slot, test] : tests.get_ref<const json::object_t&>()) {  // throws where it is none
    if (find_slot(slot) != nullptr) draft.tests[slot] = test_from(test);
  }
  const json screen = stored.value("screen", json::object());
  draft.screen.state = state_from(screen_states, screen.value("state", ""));
  draft.screen.failure = failure_from(screen.value("failure", json()));
  draft.screen.made_at = screen.value("made_at", "");
  draft.screen.of_revision = screen.value("of_revision", 0);
  draft.screen.of_tests_revision = screen.value("of_tests_revision", 0);
  draft.screen.kept = screen.value("kept", false);
  return draft;
}

}  // namespace

const char* key_of(TestState state) { return test_states.at(static_cast<std::size_t>(state)).second; }
const char* key_of(ScreenState state) { return screen_states.at(static_cast<std::size_t>(state)).second; }

std::string desk_json(const Draft& draft) {
  json tests = json::object();
  for (const auto& [slot, test] : draft.tests) tests[slot] = test_json(test);
  const json all = {{"schema", "risetrace/desk/1"},
                    {"id", draft.id},
                    {"revision", draft.revision},
                    {"tests_revision", draft.tests_revision},
                    {"quick", draft.quick},
                    {"made_at", draft.made_at},
                    {"session", read_json(draft.session_json)},
                    {"tests", tests},
                    {"screen",
                     {{"state", key_of(draft.screen.state)},
                      {"failure", failure_json(draft.screen.failure)},
                      {"made_at", draft.screen.made_at},
                      {"of_revision", draft.screen.of_revision},
                      {"of_tests_revision", draft.screen.of_tests_revision},
                      {"kept", draft.screen.kept}}}};
  return all.dump(1, ' ', false, json::error_handler_t::replace) + "\n";
}

std::optional<Draft> draft_from(const std::string& desk_json) {
  const json stored = read_json(desk_json);
  if (!stored.is_object()) return std::nullopt;
  try {  // value() throws where a field is of another kind
    Draft draft = read_draft(stored);
    if (!is_id(draft.id)) return std::nullopt;
    return draft;
  } catch (const json::exception&) {
    return std::nullopt;
  }
}

void write_whole(const fs::path& file, const std::string& text) {
  const fs::path aside = file.string() + ".new";
  const int out = ::open(aside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (out < 0) throw cannot_keep(errno);
  int wrong = write_all(out, text.data(), text.size());
  if (wrong == 0 && ::fsync(out) != 0) wrong = errno;
  if (::close(out) != 0 && wrong == 0) wrong = errno;
  if (wrong != 0) {
    ::unlink(aside.c_str());
    throw cannot_keep(wrong);
  }
  if (::rename(aside.c_str(), file.c_str()) != 0) throw cannot_keep(errno);
}

DraftStore::DraftStore(fs::path folder, int lock) : folder_(std::move(folder)), lock_(lock) {}
DraftStore::DraftStore(DraftStore&& other) noexcept
    : folder_(std::move(other.folder_)), lock_(std::exchange(other.lock_, -1)) {}
DraftStore::~DraftStore() {
  if (lock_ >= 0) ::close(lock_);
}

Result<DraftStore> DraftStore::open(const fs::path& folder) {
  std::error_code wrong;
  fs::create_directories(folder.parent_path(), wrong);
  if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST) {
    return Error{Fault::cannot_write, folder.string() + ": " + std::generic_category().message(errno),
                 "name another record with --record FILE"};
  }
  ::chmod(folder.c_str(), 0700);
  const int lock = ::open((folder / "lock").c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (lock < 0) {
    return Error{Fault::cannot_write, folder.string() + ": " + std::generic_category().message(errno),
                 "name another record with --record FILE"};
  }
  if (::flock(lock, LOCK_EX | LOCK_NB) != 0) {
    ::close(lock);
    return Error{Fault::record_busy, "another risetrace serve has the open visits beside it",
                 "use that one, or end it first"};
  }
  return DraftStore(folder, lock);
}

DraftStore::Loaded DraftStore::load() const {
  Loaded loaded;
  std::error_code wrong;
  for (fs::directory_iterator one(folder_, wrong), end; !wrong && one != end; one.increment(wrong)) {
    const std::string name = one->path().filename().string();
    if (!is_id(name)) continue;
    const auto text = read_file(one->path() / "desk.json", most_document_bytes);
    auto draft = text ? draft_from(*text) : std::nullopt;
    if (!draft || draft->id != name) {
      loaded.unreadable.push_back(name);
      continue;
    }
    draft->folder = one->path();
    loaded.drafts.push_back(*std::move(draft));
  }
  return loaded;
}

void DraftStore::make_folder(Draft& draft) const {
  draft.folder = folder_ / (half_made + draft.id);
  if (::mkdir(draft.folder.c_str(), 0700) != 0) throw cannot_keep(errno);
}

void DraftStore::save(Draft& draft) const {
  if (draft.folder.empty()) make_folder(draft);
  write_whole(draft.folder / "desk.json", desk_json(draft));
  const fs::path whole = folder_ / draft.id;
  if (draft.folder.filename() == whole.filename()) return;
  if (::rename(draft.folder.c_str(), whole.c_str()) != 0) throw cannot_keep(errno);
  draft.folder = whole;
}

fs::path DraftStore::put_aside(const Draft& draft) const {
  fs::path gone = folder_ / ("gone-" + draft.id);
  std::error_code ignored;
  if (::rename(draft.folder.c_str(), gone.c_str()) != 0 && fs::exists(draft.folder, ignored)) throw cannot_keep(errno);
  return gone;
}

void DraftStore::remove(const Draft& draft) const {
  std::error_code ignored;
  fs::remove_all(put_aside(draft), ignored);
}

}  // namespace risetrace::serve
