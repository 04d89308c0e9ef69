// Open visits.
#include <nlohmann/json.hpp>

#include "serve/clock.h"
#include "serve/read_json.h"
#include "serve/session_fields.h"
#include "serve/site.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

using nlohmann::json;

json or_null(const std::string& text) { return text.empty() ? json() : json(text); }

json test_json(const Draft& draft, const std::string& slot, const DraftTest& test) {
  json out = {{"state", key_of(test.state)},
              {"stage", or_null(test.stage)},
              {"share", test.state == TestState::measuring ? json(test.share) : json()},
              {"error", failure_json(test.failure)},
              {"clip_name", or_null(test.clip_name)},
              {"has_clip", !test.clip_file.empty()},
              {"options", read_json(test.options_json)},
              {"corrections", test.corrections},
              {"measured_at", or_null(test.measured_at)}};
  if (test.upload) {
    out["uploaded"] = came(part_file(draft.folder_of(slot), test.upload->token));
    out["size"] = test.upload->bytes;
    out["upload_name"] = shown_name(test.upload->name);
  }
  return out;
}

// As it is now.
bool is_kept(const Draft& draft) { return draft.screen.kept && !draft.has_stale_papers(); }

json head_json(const Draft& draft) {
  const std::string code = code_of(draft);
  return {{"id", draft.id},           {"code", code},          {"date", date_of(draft)}, {"quick", draft.quick},
          {"made_at", draft.made_at}, {"kept", is_kept(draft)}};
}

Draft opened(const json& body) {
  Draft draft;
  draft.quick = body.value("quick", false);
  if (draft.quick) {
    draft.session_json = new_session("quick", local_day(), "");
  } else {
    draft.session_json = new_session(body.value("code", ""), body.value("date", ""), body.value("tester", ""));
  }
  return draft;
}

void patch(Site& site, const Request& request, Response& response) {
  const json body = body_of(request);
  if (!body.contains("revision") || !body["revision"].is_number_integer())
    throw wrong_field("revision must be a number");
  const std::string id = request.matches[1];
  try {
    const Draft draft =
        site.desk.replace_session(id, body["revision"].get<int>(), body.value("session", json::object()).dump());
    answer_json(response, visit_json(draft));
  } catch (const Refusal& refusal) {
    if (refusal.code != "stale-revision") throw;
    answer_refusal(response, refusal, {{"current", read_json(visit_json(site.desk.draft(id)))}});
  }
}

}  // namespace

std::string visit_json(const Draft& draft) {
  json tests = json::object();
  for (const TestSlot& slot : all_slots()) {
    const auto found = draft.tests.find(slot.name);
    tests[slot.name] = test_json(draft, slot.name, found == draft.tests.end() ? DraftTest() : found->second);
  }
  const DraftScreen& screen = draft.screen;
  json out = head_json(draft);
  out["revision"] = draft.revision;
  out["session"] = read_json(draft.session_json);
  out["tests"] = tests;
  out["screen"] = {{"state", draft.has_stale_papers() ? "stale" : key_of(screen.state)},
                   {"error", failure_json(screen.failure)},
                   {"made_at", or_null(screen.made_at)},
                   {"of_revision", screen.of_revision},
                   {"kept", is_kept(draft)}};
  return out.dump(-1, ' ', false, json::error_handler_t::replace);
}

void close_visit(Site& site, const std::string& id) {
  const std::filesystem::path gone = site.desk.remove(id);  // first: nothing new begins in it
  site.lives.abandon_of(id);
  site.jobs.drop(id);
  std::error_code wrong;
  std::filesystem::remove_all(gone, wrong);
  if (wrong) throw cannot_keep(wrong.value());
}

const std::string& slot_in(const Request& request, std::size_t match) {
  const TestSlot* slot = find_slot(request.matches[match].str());
  if (slot == nullptr) throw no_such_test();
  return slot->name;
}

void add_visit_routes(HttpServer& server, Site& site) {
  const std::string visit = std::string("/api/visits/") + id_form;
  server.Get("/api/visits", guarded([&site](const Request&, Response& response) {
               json all = json::array();
               for (const Draft& draft : site.desk.drafts()) all.push_back(head_json(draft));
               answer_json(response, all.dump());
             }));
  server.Post("/api/visits", guarded([&site](const Request& request, Response& response) {
                answer_json(response, visit_json(site.desk.add(opened(body_of(request)))), 201);
              }));
  server.Get(visit, guarded([&site](const Request& request, Response& response) {
               answer_json(response, visit_json(site.desk.draft(request.matches[1])));
             }));
  server.Patch(visit, guarded([&site](const Request& request, Response& response) { patch(site, request, response); }));
  server.Delete(visit, guarded([&site](const Request& request, Response& response) {
                  const std::string id = request.matches[1];
                  close_visit(site, id);
                  answer_json(response, "{}");
                }));
}

}  // namespace risetrace::serve
