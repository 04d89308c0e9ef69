// Filming and measuring at once.
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "serve/random_id.h"
#include "serve/session_fields.h"
#include "serve/site.h"

namespace risetrace::serve {
namespace {

using nlohmann::json;

constexpr std::uint64_t most_piece_bytes = std::uint64_t{32} << 20U;

void begin(Site& site, const Request& request, Response& response) {
  const std::string id = request.matches[1];
  const std::string& slot = slot_in(request, 2);
  const json body = body_of(request);
  Draft draft = site.desk.draft(id);
  draft.tests[slot].options_json = checked_options(body.value("settings", json::object()).dump());
  if (body.value("instead", false)) site.lives.abandon_of(id, slot);  // the page was loaded anew
  const std::string live = site.lives.begin(id, slot, body.value("mime", ""), measure_arguments(draft, slot));
  site.desk.change_test(id, slot, [&](DraftTest& test) { test.options_json = draft.tests[slot].options_json; });
  answer_json(response, json{{"live", live}}.dump(), 201);
}

void push(Site& site, const Request& request, Response& response, const httplib::ContentReader& reader) {
  const std::uint64_t n = number_in(request, "n");
  std::string piece;
  bool fits = true;
  reader([&](const char* bytes, std::size_t count) {
    fits = fits && piece.size() + count <= most_piece_bytes;
    if (fits) piece.append(bytes, count);
    return fits;
  });
  if (!fits) throw Refusal{413, "too-large", "the piece is too large", "it has more than 32 MiB", "send smaller ones"};
  if (piece.size() != std::stoull("0" + request.get_header_value("Content-Length"))) {
    throw Refusal{400, "broken-off", "the piece broke off", "fewer bytes came than were said", "send it again"};
  }
  std::uint64_t wanted = 0;
  try {
    const bool measuring = site.lives.push(request.matches[1], n, piece, wanted);
    answer_json(response, json{{"n", wanted}, {"measuring", measuring}}.dump());
  } catch (const Refusal& refusal) {
    if (refusal.code != "wrong-piece") throw;
    answer_refusal(response, refusal, {{"n", wanted}});
  }
}

}  // namespace

void take_recording(Site& site, const LiveEnd& end) {
  const std::uint64_t bytes = came(end.recording);
  if (bytes == 0) {
    ::unlink(end.recording.c_str());
    throw Refusal{409, "nothing-recorded", "nothing was recorded", "no piece of it came", "record again"};
  }
  const UploadPlan plan{random_id(), end.name, bytes, "", false};
  std::string before;
  site.desk.change_test(end.visit, end.slot, [&](DraftTest& test) {
    if (test.upload) before = test.upload->token;
    test.upload = plan;
    if (test.state == TestState::empty) test.state = TestState::uploading;
  });
  const std::filesystem::path folder = end.recording.parent_path();
  if (!before.empty()) ::unlink(part_file(folder, before).c_str());
  if (std::rename(end.recording.c_str(), part_file(folder, plan.token).c_str()) != 0) throw cannot_keep(errno);
  site.jobs.take_clip(end.visit, end.slot, plan.token);
}

void add_live_routes(HttpServer& server, Site& site) {
  const std::string live = std::string("/api/live/") + id_form;
  server.Post(std::string("/api/visits/") + id_form + "/tests/" + slot_form + "/live",
              guarded([&site](const Request& request, Response& response) { begin(site, request, response); }));
  server.Put(live, [&site](const Request& request, Response& response, const httplib::ContentReader& reader) {
    guarded([&](const Request& same, Response& answer) { push(site, same, answer, reader); })(request, response);
  });
  server.Post(live + "/end", guarded([&site](const Request& request, Response& response) {
                const LiveEnd end = site.lives.end(request.matches[1]);
                take_recording(site, end);
                answer_json(response, visit_json(site.desk.draft(end.visit)));
              }));
  server.Delete(live, guarded([&site](const Request& request, Response& response) {
                  site.lives.abandon(request.matches[1]);
                  response.status = 204;
                }));
}

}  // namespace risetrace::serve
