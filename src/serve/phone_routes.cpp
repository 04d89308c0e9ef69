// Coming in over the network: by a code, or as a phone by a ticket.
#include <nlohmann/json.hpp>

#include "serve/addresses.h"
#include "serve/clock.h"
#include "serve/draft_store.h"
#include "serve/read_json.h"
#include "serve/session_fields.h"
#include "serve/site.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

using nlohmann::json;

Refusal not_let_in() {
  return {401, "enter", "the code has not been entered", "this device has not typed it, or the server was started anew",
          "type the code that risetrace serve shows"};
}

Refusal ticket_over() {
  return {401, "ticket-over", "this picture is used up", "it lets one clip in, within a quarter of an hour",
          "scan a new one"};
}

Ticket ticket_of(Site& site, const Request& request) {
  const auto ticket = site.tickets.find(request.get_header_value("X-Ticket"));
  if (!ticket) throw ticket_over();
  return *ticket;
}

void enter(Site& site, const Request& request, Response& response) {
  const json body = body_of(request);
  if (site.door == nullptr) {
    response.status = 204;
    return;
  }
  const Door::Entry entry = site.door->enter(body.value("code", ""), request.remote_addr);
  if (!entry.in) {
    const int wait_s = static_cast<int>(entry.wait_s) + 1;
    response.set_header("Retry-After", std::to_string(wait_s));
    throw Refusal{429, "wrong-code", "the code is not right", "or another try came too soon after a wrong one",
                  "look at the code again, wait " + std::to_string(wait_s) + " s, and type it"};
  }
  response.set_header("Set-Cookie", std::string(cookie_name) + "=" + entry.cookie +
                                        "; Path=/; Max-Age=" + std::to_string(static_cast<int>(session_lasts_s)) +
                                        "; Secure; HttpOnly; SameSite=Strict");
  response.set_header("Cache-Control", "no-store");
  response.status = 204;
}

void issue(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const std::string& slot = slot_in(request, 2);
  (void)site.desk.draft(id);  // is it known at all?
  if (!site.lan) {
    throw Refusal{409, "not-on-the-network", "a phone cannot reach this computer", "risetrace serve runs without --lan",
                  "end it and start risetrace serve --lan, or choose the file here"};
  }
  std::string host = request.get_header_value("Host");
  const auto addresses = lan_addresses();
  if ((host.starts_with("localhost:") || host.starts_with("127.0.0.1:")) && !addresses.empty()) {
    host = addresses.front() + host.substr(host.rfind(':'));
  }
  const std::string url = "https://" + host + "/phone#" + site.tickets.issue(id, slot);
  const auto rows = qr_rows(url);
  answer_json(
      response,
      json{{"url", url}, {"expires_at", utc_at(ticket_lasts_s)}, {"qr", {{"size", rows.size()}, {"rows", rows}}}}
          .dump());
}

// A phone sees of the visit which test is asked for and how it goes on, nothing of the person.
void show_phone(Site& site, const Request& request, Response& response) {
  const Ticket ticket = ticket_of(site, request);
  const Draft draft = site.desk.draft(ticket.visit);
  json visit = read_json(visit_json(draft));
  const json& test = visit["tests"][ticket.slot];
  const TestSlot& slot = *find_slot(ticket.slot);
  answer_json(response, json{{"slot", slot.name},
                             {"test", key_of(slot.test)},
                             {"side", key_of(slot.side)},
                             {"knee", slot.knee == Knee::not_stated ? json() : json(key_of(slot.knee))},
                             {"used", !ticket.upload.empty()},
                             {"state", test["state"]},
                             {"stage", test["stage"]},
                             {"share", test["share"]},
                             {"error", test["error"]}}
                            .dump());
}

void begin_phone_upload(Site& site, const Request& request, Response& response) {
  const Ticket ticket = ticket_of(site, request);
  if (!ticket.upload.empty()) {  // gone on with, or used up
    const Draft draft = site.desk.draft(ticket.visit);
    const auto test = draft.tests.find(ticket.slot);
    if (test == draft.tests.end() || !test->second.upload || test->second.upload->token != ticket.upload) {
      throw ticket_over();
    }
  }
  const auto use = [&](const std::string& token) {  // of two phones with one picture the second drops nothing
    if (!site.tickets.use(request.get_header_value("X-Ticket"), token)) throw ticket_over();
  };
  answer_json(response, begin_upload(site, ticket.visit, ticket.slot, request, ticket.upload, use));
}

}  // namespace

std::optional<Refusal> why_not_in(Site& site, const Request& request) {
  if (site.door == nullptr || !request.path.starts_with("/api/")) return std::nullopt;
  const std::string& path = request.path;
  const bool of_nobody = path == "/api/about" || path == "/api/enter" || path.starts_with("/api/words/");
  if (of_nobody || site.door->knows(request.get_header_value("Cookie"))) return std::nullopt;
  if (!request.has_header("X-Ticket")) return not_let_in();
  const auto ticket = site.tickets.find(request.get_header_value("X-Ticket"));
  if (!ticket) return ticket_over();
  if (path == "/api/phone" || path == "/api/phone/upload") return std::nullopt;
  if (!ticket->upload.empty() && path == "/api/uploads/" + ticket->upload) return std::nullopt;
  return not_let_in();
}

void add_phone_routes(HttpServer& server, Site& site) {
  server.Post("/api/enter",
              guarded([&site](const Request& request, Response& response) { enter(site, request, response); }));
  server.Post("/api/leave", guarded([&site](const Request& request, Response& response) {
                if (site.door != nullptr) site.door->leave(request.get_header_value("Cookie"));
                response.status = 204;
              }));
  server.Post(std::string("/api/visits/") + id_form + "/tests/" + slot_form + "/phone",
              guarded([&site](const Request& request, Response& response) { issue(site, request, response); }));
  server.Get("/api/phone",
             guarded([&site](const Request& request, Response& response) { show_phone(site, request, response); }));
  server.Post("/api/phone/upload", guarded([&site](const Request& request, Response& response) {
                begin_phone_upload(site, request, response);
              }));
}

}  // namespace risetrace::serve
