// What a person corrects in a measured test. The server keeps it and hands it to `measure`; what it means is known
// there.
#include <unistd.h>

#include <nlohmann/json.hpp>

#include "base/read_file.h"
#include "serve/draft_store.h"
#include "serve/random_id.h"
#include "serve/read_json.h"
#include "serve/session_fields.h"
#include "serve/site.h"

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

json kept_in(const fs::path& folder) {
  const auto text = read_file(folder / corrections_file, most_document_bytes);
  return text ? read_json(*text) : json{{"schema", schema}, {"corrections", json::array()}};
}

// Two windows may go through one result. Whose list is not the one that the other left must look at it first.
void refuse_if_others_came_between(const json& body, const json& kept) {
  if (!body.contains("instead_of")) throw wrong_field("instead_of must be the list that this one takes the place of");
  if (body["instead_of"] == kept.value("corrections", json::array())) return;
  throw Refusal{409, "stale-corrections", "the corrections are not kept yet",
                "other corrections of this test were made in another window meanwhile",
                "look at what both come to, then measure anew"};
}

// The body: `corrections`, a document as `measure --corrections` takes it, and `instead_of`, the list it replaces.
void put(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const std::string& slot = slot_in(request, 2);
  const json body = body_of(request);
  const json corrections = checked(body.value("corrections", json()));
  const fs::path folder = folder_of_measured(site, id, slot);
  const fs::path aside = folder / next_corrections_file;
  std::error_code wrong;
  site.jobs.measure(
      id, slot,
      [&](DraftTest& test) {
        refuse_if_others_came_between(body, kept_in(folder));
        write_whole(aside, corrections.dump(1, ' ', false, json::error_handler_t::replace) + "\n");
        test.corrections = static_cast<int>(corrections["corrections"].size());
      },
      [&] { fs::rename(aside, folder / corrections_file, wrong); });
  if (wrong) throw cannot_keep(wrong.value());
  answer_json(response, visit_json(site.desk.draft(id)), 202);
}

// What the corrections would make of the result.
void preview(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const std::string& slot = slot_in(request, 2);
  const json body = body_of(request);
  const fs::path folder = folder_of_measured(site, id, slot);
  const fs::path file = folder / ("recount-" + random_id() + ".json");
  write_whole(file, checked(body.value("corrections", json())).dump(-1, ' ', false, json::error_handler_t::replace));
  std::vector<std::string> words = {"recount", "result", "--json", "--corrections=" + file.filename().string()};
  std::string out;
  try {
    const auto more = option_arguments(body.value("settings", json::object()).dump());
    words.insert(words.end(), more.begin(), more.end());
    out = site.jobs.preview(id, slot, words);
  } catch (...) {
    ::unlink(file.c_str());
    throw;
  }
  ::unlink(file.c_str());
  answer_json(response, out);
}

void get(Site& site, const Request& request, Response& response) {
  const Draft draft = site.desk.draft(request.matches[1]);
  answer_json(response, kept_in(draft.folder_of(slot_in(request, 2))).dump());
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
