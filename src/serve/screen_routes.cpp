// A visit's papers, and keeping it.
#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

#include "serve/site.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

using nlohmann::json;

ScreenWish wish_of(const Request& request, bool keep) {
  ScreenWish wish;
  wish.keep = keep;
  if (request.body.empty()) return wish;
  const json body = body_of(request);
  wish.language = body.value("language", "en");
  const bool word =
      wish.language.size() >= 2 && wish.language.size() <= 3 &&
      std::all_of(wish.language.begin(), wish.language.end(), [](char c) { return c >= 'a' && c <= 'z'; });
  if (!word) throw wrong_field("language must be one of those that about lists");
  wish.correction = body.value("correction", "");
  if (wish.correction.size() > 2000 || wish.correction.find('\0') != std::string::npos) {
    throw wrong_field("correction must be a short text");
  }
  return wish;
}

}  // namespace

void add_screen_routes(HttpServer& server, Site& site) {
  const std::string visit = std::string("/api/visits/") + id_form;
  for (const bool keep : {false, true}) {
    server.Post(visit + (keep ? "/keep" : "/screen"),
                guarded([&site, keep](const Request& request, Response& response) {
                  const std::string id = request.matches[1];
                  site.jobs.screen(id, wish_of(request, keep));
                  answer_json(response, visit_json(site.desk.draft(id)), 202);
                }));
  }
  server.Post(visit + "/screen/cancel", guarded([&site](const Request& request, Response& response) {
                const std::string id = request.matches[1];
                site.jobs.cancel(id, "");
                answer_json(response, visit_json(site.desk.draft(id)));
              }));
  server.Get(visit + "/screen/([a-z.]{1,40})", guarded([&site](const Request& request, Response& response) {
               const Draft draft = site.desk.draft(request.matches[1]);
               const ServedFile* file = find_screen_file(request.matches[2].str());
               if (file == nullptr) throw no_such_file("a visit has no paper of that name");
               answer_file(request, response, draft.folder / "screen" / file->name, file->mime);
             }));
}

}  // namespace risetrace::serve
