// One test of an open visit: measured, cancelled, taken out, its files.
#include <nlohmann/json.hpp>

#include "base/read_file.h"
#include "serve/draft_store.h"
#include "serve/random_id.h"
#include "serve/session_fields.h"
#include "serve/site.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

void measure(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const std::string& slot = slot_in(request, 2);
  std::optional<std::string> options;
  if (!request.body.empty()) {
    const json body = body_of(request);
    if (body.contains("options")) {
      options = checked_options(body["options"].dump());
    }
  }
  site.jobs.measure(id, slot, [&](DraftTest& test) {
    if (options) test.options_json = *options;
  });
  answer_json(response, visit_json(site.desk.draft(id)), 202);
}

void take_out(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const std::string& slot = slot_in(request, 2);
  (void)site.desk.draft(id);  // is it known at all?
  site.lives.abandon_of(id, slot);
  const auto arrival = site.desk.claims().claim(id, slot, Place::arrival, Use::taking_out);
  site.jobs.drop_test(id, slot);
  const auto result = site.desk.claims().claim(id, slot, Place::result, Use::taking_out);
  const Draft draft = site.desk.change(id, [&](Draft& one) {
    one.tests.erase(slot);
    ++one.tests_revision;
  });
  std::error_code wrong;
  fs::remove_all(draft.folder_of(slot), wrong);
  if (wrong) throw cannot_keep(wrong.value());
  answer_json(response, visit_json(draft));
}

void answer_test_file(Site& site, const Request& request, Response& response) {
  const Draft draft = site.desk.draft(request.matches[1]);
  const std::string& slot = slot_in(request, 2);
  const std::string name = request.matches[3];
  const auto test = draft.tests.find(slot);
  if (test == draft.tests.end()) throw no_such_file("nothing came of this test yet");
  if (name == "clip") {
    if (test->second.clip_file.empty()) throw no_such_file("no clip was uploaded");
    return answer_file(request, response, draft.folder_of(slot) / test->second.clip_file,
                       mime_of_clip(test->second.clip_file));
  }
  const ServedFile* file = find_result_file(name);
  if (file == nullptr) throw no_such_file("a test has no file of that name");
  answer_file(request, response, draft.folder_of(slot) / "result" / file->name, file->mime);
}

// For pointing things out in a clip that could not be measured: there is no result with pictures then.
void answer_first_frame(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const std::string& slot = slot_in(request, 2);
  const Draft draft = site.desk.draft(id);
  const auto test = draft.tests.find(slot);
  if (test == draft.tests.end() || test->second.clip_file.empty()) throw no_such_file("no clip was uploaded");
  const std::string name = "first-frame-" + random_id() + ".png";
  site.jobs.preview(id, slot, {"check", test->second.clip_file, "--first-frame=" + name});
  const fs::path file = draft.folder_of(slot) / name;
  const auto picture = read_file(file, most_document_bytes);
  std::error_code ignored;
  fs::remove(file, ignored);
  if (!picture) throw no_such_file("the picture is gone again");
  response.set_content(*picture, "image/png");
}

}  // namespace

void add_test_routes(HttpServer& server, Site& site) {
  const std::string test = std::string("/api/visits/") + id_form + "/tests/" + slot_form;
  server.Post(test + "/measure",
              guarded([&site](const Request& request, Response& response) { measure(site, request, response); }));
  server.Post(test + "/cancel", guarded([&site](const Request& request, Response& response) {
                const std::string id = request.matches[1];
                site.jobs.cancel(id, slot_in(request, 2));
                answer_json(response, visit_json(site.desk.draft(id)));
              }));
  server.Get(test + "/first-frame", guarded([&site](const Request& request, Response& response) {
               answer_first_frame(site, request, response);
             }));
  server.Delete(test,
                guarded([&site](const Request& request, Response& response) { take_out(site, request, response); }));
  server.Get(test + "/files/([a-z.0-9]{1,40})", guarded([&site](const Request& request, Response& response) {
               answer_test_file(site, request, response);
             }));
}

}  // namespace risetrace::serve
