// What came of one clip goes elsewhere without being sent again: to another test of its visit, or to a visit of
// somebody.
#include <sys/stat.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <nlohmann/json.hpp>
#include <vector>

#include "serve/claims.h"
#include "serve/job_state.h"
#include "serve/read_json.h"
#include "serve/session_fields.h"
#include "serve/site.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

std::string text_in(const json& body, const char* name) {
  const json value = body.value(name, json());
  return value.is_string() ? value.get<std::string>() : "";
}

Refusal busy() {
  return {409, "measuring-already", "the clip is being measured", "it was asked for before", "wait, or cancel it"};
}

// All that may be at work in a test, held off.
std::vector<Claims::Claim> hold(Site& site, const std::string& id, const std::string& slot) {
  return {site.desk.claims().claim(id, slot, Place::arrival, Use::taking_out),
          site.desk.claims().claim(id, slot, Place::result, Use::taking_out)};
}

// A second name for the same file, or a copy where the disk knows no such thing.
void put_clip(const fs::path& clip, const fs::path& folder) {
  if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST) throw cannot_keep(errno);
  std::error_code wrong;
  fs::remove(folder / clip.filename(), wrong);
  fs::create_hard_link(clip, folder / clip.filename(), wrong);
  if (wrong) fs::copy_file(clip, folder / clip.filename(), wrong);
  if (wrong) throw cannot_keep(wrong.value());
}

DraftTest to_be_moved(const Draft& draft, const std::string& from, const std::string& to) {
  const auto test = draft.tests.find(from);
  if (test == draft.tests.end() || test->second.clip_file.empty()) throw no_such_file("no clip was uploaded");
  const auto there = draft.tests.find(to);
  if (is_under_way(test->second) || (there != draft.tests.end() && is_under_way(there->second))) throw busy();
  if (there != draft.tests.end() && (!there->second.clip_file.empty() || !there->second.measured_at.empty())) {
    throw Refusal{409, "has-clip", "that test has a clip already", "a test has one clip", "take that one out first"};
  }
  return test->second;
}

// {"to": SLOT}: the clip was of that test. It is measured anew; settings go with it only to the same kind of test.
void measure_as(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const TestSlot& from = *find_slot(slot_in(request, 2));
  const TestSlot* to = find_slot(text_in(body_of(request), "to"));
  if (to == nullptr || to->name == from.name) throw no_such_test();
  site.jobs.drop_test(id, from.name);
  {
    const std::array held = {hold(site, id, from.name), hold(site, id, to->name)};
    const Draft draft = site.desk.draft(id);
    const DraftTest test = to_be_moved(draft, from.name, to->name);
    put_clip(draft.folder_of(from.name) / test.clip_file, draft.folder_of(to->name));
    site.desk.change(id, [&](Draft& changed) {
      DraftTest moved;
      moved.clip_file = test.clip_file;
      moved.clip_name = test.clip_name;
      if (to->test == from.test) moved.options_json = test.options_json;
      changed.tests.erase(from.name);
      changed.tests[to->name] = std::move(moved);
      ++changed.tests_revision;
    });
    std::error_code wrong;
    fs::remove_all(draft.folder_of(from.name), wrong);
    if (wrong) throw cannot_keep(wrong.value());
  }
  site.jobs.measure(id, to->name);
  answer_json(response, visit_json(site.desk.draft(id)), 202);
}

// {"code","date"?}: what somebody measured alone becomes an open visit of that person; the nameless one is gone then.
void name_it(Site& site, const Request& request, Response& response) {
  const json body = body_of(request);
  const std::string id = request.matches[1];
  std::vector<std::vector<Claims::Claim>> held;
  for (const auto& [slot, test] : site.desk.draft(id).tests) held.push_back(hold(site, id, slot));
  const Draft quick = site.desk.draft(id);
  if (!quick.quick) throw Refusal{409, "has-code", "this visit is somebody's already", "it has a code", "open it"};
  if (std::any_of(quick.tests.begin(), quick.tests.end(), [](const auto& one) { return is_under_way(one.second); }))
    throw busy();
  const json session = read_json(quick.session_json);
  json fields = {{"person", session.value("person", json::object())}};
  fields["person"]["code"] = text_in(body, "code");
  if (body.contains("date")) fields["date"] = body["date"];
  Draft named;
  named.session_json = with_fields(quick.session_json, fields.dump());
  named.tests = quick.tests;
  named = site.desk.add(std::move(named), [&](const Draft& draft) {
    for (const auto& [slot, test] : quick.tests) {
      std::error_code wrong;
      if (fs::exists(quick.folder_of(slot), wrong))
        fs::copy(quick.folder_of(slot), draft.folder_of(slot), fs::copy_options::recursive, wrong);
      if (wrong) throw cannot_keep(wrong.value());
    }
  });
  held.clear();
  close_visit(site, quick.id);
  answer_json(response, visit_json(named), 201);
}

}  // namespace

void add_move_routes(HttpServer& server, Site& site) {
  const std::string visit = std::string("/api/visits/") + id_form;
  server.Post(visit + "/tests/" + slot_form + "/measure-as",
              guarded([&site](const Request& request, Response& response) { measure_as(site, request, response); }));
  server.Post(visit + "/name",
              guarded([&site](const Request& request, Response& response) { name_it(site, request, response); }));
}

}  // namespace risetrace::serve
