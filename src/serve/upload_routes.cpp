// Clips as they come: appended to a file as the bytes arrive, so that memory stays small and nothing is sent twice.
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <nlohmann/json.hpp>

#include "base/write_all.h"
#include "serve/random_id.h"
#include "serve/site.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

constexpr std::uint64_t most_clip_bytes = std::uint64_t{8} << 30U;
constexpr std::uint64_t spare_bytes = std::uint64_t{64} << 20U;  // of the disk, for what is measured of it

class PartFile {
 public:
  explicit PartFile(const fs::path& file)
      : number_(::open(file.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC | O_NOFOLLOW, 0600)) {
    if (number_ < 0) throw cannot_keep(errno);
  }
  PartFile(const PartFile&) = delete;
  PartFile& operator=(const PartFile&) = delete;
  ~PartFile() { ::close(number_); }

  bool append(const char* bytes, std::size_t count) {
    wrong_ = write_all(number_, bytes, count);
    return wrong_ == 0;
  }
  void finish() {
    if (::fsync(number_) != 0) throw cannot_keep(errno);
  }
  [[nodiscard]] std::uint64_t bytes() const {
    struct stat facts {};
    return ::fstat(number_, &facts) == 0 ? static_cast<std::uint64_t>(facts.st_size) : 0;
  }
  [[nodiscard]] int wrong() const { return wrong_; }

 private:
  int number_;
  int wrong_ = 0;
};

UploadPlan plan_of(const json& body) {
  const json size = body.value("size", json());
  if (!size.is_number_unsigned() || size.get<std::uint64_t>() == 0) throw wrong_field("size must be a number of bytes");
  if (size.get<std::uint64_t>() > most_clip_bytes) {
    throw Refusal{413, "clip-too-large", "the clip is too large", "it has more than 8 GiB", "film a shorter clip"};
  }
  const std::string name = body.value("name", "");
  if (name.empty() || name.size() > 1000) throw wrong_field("name must be the file's name");
  const json modified = body.value("modified", json());
  return {random_id(), name, size.get<std::uint64_t>(), modified.is_null() ? "" : modified.dump()};
}

bool same_file(const UploadPlan& a, const UploadPlan& b) {
  return a.name == b.name && a.bytes == b.bytes && a.modified == b.modified;
}

void check_room(const fs::path& folder, std::uint64_t bytes) {
  std::error_code wrong;
  const auto space = fs::space(folder, wrong);
  if (!wrong && space.available < bytes + spare_bytes) throw cannot_keep(ENOSPC);
}

// A refusal before the body was read would be lost with the connection: what came is read to its end, and dropped.
void drop_body(const httplib::ContentReader& reader) {
  reader([](const char*, std::size_t) { return true; });
}

void answer_wrong_offset(Response& response, std::uint64_t there, std::uint64_t bytes) {
  const std::string why = std::to_string(there) + " of " + std::to_string(bytes) + " bytes are here";
  answer_refusal(response, {409, "wrong-offset", "the upload goes on elsewhere", why, "go on from there"},
                 {{"offset", there}});
}

void append(Site& site, const Request& request, Response& response, const httplib::ContentReader& reader) {
  const std::string token = request.matches[1];
  const Desk::UploadPlace begun = site.desk.upload(token);
  const std::uint64_t offset = number_in(request, "offset");
  const auto body_bytes = std::stoull("0" + request.get_header_value("Content-Length"));
  const auto claim = site.desk.claims().claim(begun.id, begun.slot, Place::arrival, Use::upload);
  const Desk::UploadPlace place = site.desk.upload(token);  // as it is now that nobody else is at it
  PartFile part(place.part);
  const std::uint64_t there = part.bytes();
  if (offset != there || body_bytes > place.plan.bytes - there) {
    drop_body(reader);
    return answer_wrong_offset(response, there, place.plan.bytes);
  }
  reader([&](const char* bytes, std::size_t count) { return part.append(bytes, count); });
  if (part.wrong() != 0) throw cannot_keep(part.wrong());
  const std::uint64_t now = part.bytes();
  site.events.tell(
      json{{"visit", place.id}, {"slot", place.slot}, {"what", "upload"}, {"uploaded", now}, {"size", place.plan.bytes}}
          .dump());
  if (now == place.plan.bytes) {
    part.finish();
    site.jobs.take_clip(place.id, place.slot, token);
  }
  answer_json(response, json{{"offset", now}}.dump());
}

Refusal other_file() {
  return {409, "other-file", "this is another file than the one begun", "its name or size differs",
          "choose the same file again, or scan a new picture"};
}

}  // namespace

std::string begin_upload(Site& site, const std::string& id, const std::string& slot, const Request& request,
                         const std::string& only, const std::function<void(const std::string&)>& accept) {
  UploadPlan plan = plan_of(body_of(request));
  const fs::path folder = site.desk.draft(id).folder_of(slot);
  const auto claim = site.desk.claims().claim(id, slot, Place::arrival, Use::upload);
  const Draft draft = site.desk.draft(id);
  const auto test = draft.tests.find(slot);
  const auto begun = test == draft.tests.end() ? std::optional<UploadPlan>() : test->second.upload;
  if (!only.empty() && (!begun || begun->token != only || !same_file(*begun, plan))) throw other_file();
  const bool goes_on = begun && same_file(*begun, plan);
  if (!goes_on) check_room(draft.folder, plan.bytes);
  if (accept) accept(goes_on ? begun->token : plan.token);
  if (goes_on) {
    const std::uint64_t there = came(part_file(folder, begun->token));
    // All of it is here, and something came between: the disk was full, or the server ended.
    if (there == begun->bytes || begun->whole) site.jobs.take_clip(id, slot, begun->token);
    return json{{"upload", begun->token}, {"offset", begun->whole ? begun->bytes : there}}.dump();
  }
  if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST) throw cannot_keep(errno);
  site.desk.change_test(id, slot, [&](DraftTest& one) {
    one.upload = plan;
    if (one.state == TestState::empty) one.state = TestState::uploading;
  });
  if (begun) {
    std::error_code ignored;
    fs::remove(part_file(folder, begun->token), ignored);
  }
  return json{{"upload", plan.token}, {"offset", 0}}.dump();
}

void add_upload_routes(HttpServer& server, Site& site) {
  const std::string uploads = std::string("/api/uploads/") + id_form;
  server.Post(std::string("/api/visits/") + id_form + "/tests/" + slot_form + "/upload",
              guarded([&site](const Request& request, Response& response) {
                answer_json(response, begin_upload(site, request.matches[1], slot_in(request, 2), request));
              }));
  server.Put(uploads, [&site](const Request& request, Response& response, const httplib::ContentReader& reader) {
    guarded([&](const Request& same, Response& answer) { append(site, same, answer, reader); })(request, response);
  });
  server.Get(uploads, guarded([&site](const Request& request, Response& response) {
               const Desk::UploadPlace place = site.desk.upload(request.matches[1]);
               answer_json(response, json{{"offset", came(place.part)}, {"size", place.plan.bytes}}.dump());
             }));
}

}  // namespace risetrace::serve
