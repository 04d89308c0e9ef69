// What the routes share.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "serve/desk.h"
#include "serve/door.h"
#include "serve/events.h"
#include "serve/http_server.h"
#include "serve/jobs.h"
#include "serve/live.h"
#include "serve/reply.h"
#include "serve/tickets.h"

namespace risetrace::serve {

struct Site {
  Desk& desk;
  Jobs& jobs;
  Events& events;
  std::filesystem::path models;
  std::filesystem::path record;
  std::string version;
  bool lan = false;
  std::string fingerprint;  // of the certificate; empty without TLS
  Door* door = nullptr;     // null: everybody is in
  Tickets& tickets;
  Lives& lives;
};

// Each adds its routes. The server calls them from many threads; `site` outlives it.
void add_page_routes(HttpServer& server, Site& site);
void add_visit_routes(HttpServer& server, Site& site);
void add_test_routes(HttpServer& server, Site& site);
void add_upload_routes(HttpServer& server, Site& site);
void add_screen_routes(HttpServer& server, Site& site);
void add_people_routes(HttpServer& server, Site& site);
void add_phone_routes(HttpServer& server, Site& site);
void add_live_routes(HttpServer& server, Site& site);
void add_correction_routes(HttpServer& server, Site& site);
void add_event_routes(HttpServer& server, Site& site);
void add_move_routes(HttpServer& server, Site& site);

// Patterns of addresses. What they take is still looked up.
inline constexpr const char* id_form = "([0-9a-f]{32})";
inline constexpr const char* slot_form = "([a-z-]{3,40})";

// The visit as the page gets it.
std::string visit_json(const Draft& draft);

// The slot that the address names. Throws Refusal.
const std::string& slot_in(const Request& request, std::size_t match);

// An upload begun or gone on with: {"upload","offset"}. `only`: the upload that it must be, where one is begun already.
// `accept` is asked before anything of an earlier one goes, and throws where it may not be.
std::string begin_upload(Site& site, const std::string& id, const std::string& slot, const Request& request,
                         const std::string& only = "",
                         const std::function<void(const std::string& token)>& accept = {});

// A recording that is whole becomes the clip and is measured. Throws Refusal.
void take_recording(Site& site, const LiveEnd& end);

// All of a visit, whatever is at work there.
void close_visit(Site& site, const std::string& id);

// With --lan: why somebody who has neither code nor ticket is not answered.
std::optional<Refusal> why_not_in(Site& site, const Request& request);

}  // namespace risetrace::serve
