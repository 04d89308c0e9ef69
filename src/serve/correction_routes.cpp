// What a person corrects in a measured test. The server keeps it and hands it to `measure`; what it means is known
// there.
#include <nlohmann/json.hpp>

#include "base/read_file.h"
#include "serve/draft_store.h"
#include "serve/random_id.h"
#include "serve/read_json.h"
#include "serve/session_fields.h"
#include "serve/site.h"
#include "serve/worker.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

constexpr const char* schema = "risetrace/corrections/1";
constexpr std::size_t most_corrections = 2000;

json checked(const json& corrections) {
  if (!corrections.is_object() || corrections.value("schema", "") != schema) {
    throw wrong_field(std::string("schema must be ") + schema);
  }
  const json list = corrections.value("corrections", json());
  if (!list.is_array() || list.size() > most_corrections) throw wrong_field("corrections must be a list");
  for (const json& one : list) {
    if (!one.is_object()) throw wrong_field("corrections must be a list of objects");
  }
  return corrections;
}

fs::path folder_of_measured(const Site& site, const std::string& id, const std::string& slot) {
  const Draft draft = site.desk.draft(id);
  const auto test = draft.tests.find(slot);
  if (test == draft.tests.end() || test->second.measured_at.empty()) {
    throw Refusal{409, "not-measured", "there is nothing to correct", "the test is not measured", "measure it first"};
  }
  return draft.folder_of(slot);
}

void put(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const std::string& slot = slot_in(request, 2);
  const json corrections = checked(read_json(request.body));
  const fs::path folder = folder_of_measured(site, id, slot);
  write_whole(folder / corrections_file, corrections.dump(1, ' ', false, json::error_handler_t::replace) + "\n");
  site.desk.change_test(
      id, slot, [&](DraftTest& test) { test.corrections = static_cast<int>(corrections["corrections"].size()); });
  site.jobs.measure(id, slot);
  answer_json(response, visit_json(site.desk.draft(id)), 202);
}

// A worker for a second or so, in the request's own thread: what the corrections would make of the result.
void preview(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const std::string& slot = slot_in(request, 2);
  const json body = body_of(request);
  const fs::path folder = folder_of_measured(site, id, slot);
  const fs::path file = folder / ("recount-" + random_id() + ".json");
  write_whole(file, checked(body.value("corrections", json())).dump(-1, ' ', false, json::error_handler_t::replace));
  WorkerOptions options;
  options.program = site.program;
  options.arguments = {"recount", "result", "--json", "--corrections=" + file.filename().string()};
  const auto more = option_arguments(body.value("settings", json::object()).dump());
  options.arguments.insert(options.arguments.end(), more.begin(), more.end());
  options.folder = folder;
  options.most_cpu_s = 60;
  std::string out;
  options.on_out_line = [&](const std::string& line) { out += line + "\n"; };
  Worker worker;
  const Outcome started = worker.start(options);
  const WorkerEnd end = started ? worker.run() : WorkerEnd{70, sentence(started.error())};
  ::unlink(file.c_str());
  if (end.status != 0) {
    const Failure failure = failure_of(end.status, end.last_line);
    throw Refusal{end.status == 2 ? 400 : 422, failure.code, failure.what, failure.why, failure.what_to_do};
  }
  answer_json(response, out);
}

void get(Site& site, const Request& request, Response& response) {
  const Draft draft = site.desk.draft(request.matches[1]);
  const auto text = read_file(draft.folder_of(slot_in(request, 2)) / corrections_file, most_document_bytes);
  answer_json(response, text.value_or(json{{"schema", schema}, {"corrections", json::array()}}.dump()));
}

}  // namespace

void add_correction_routes(HttpServer& server, Site& site) {
  const std::string test = std::string("/api/visits/") + id_form + "/tests/" + slot_form;
  server.Get(test + "/corrections",
             guarded([&site](const Request& request, Response& response) { get(site, request, response); }));
  server.Put(test + "/corrections",
             guarded([&site](const Request& request, Response& response) { put(site, request, response); }));
  server.Post(test + "/recount",
              guarded([&site](const Request& request, Response& response) { preview(site, request, response); }));
}

}  // namespace risetrace::serve
