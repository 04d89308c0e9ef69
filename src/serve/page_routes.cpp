// The page itself, and what it asks first.
#include <filesystem>
#include <nlohmann/json.hpp>
#include <regex>

#include "base/read_file.h"
#include "serve/page_files.h"
#include "serve/read_json.h"
#include "serve/site.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

json model_file(const Site& site, const std::string& name) {
  const auto text = read_file(site.models / name, most_document_bytes);
  json parsed = text ? read_json(*text) : json();
  if (!parsed.is_object()) throw refusal_of({Fault::model_unreadable, name, ""});
  return parsed;
}

// The languages that there are words in for clinician and runner.
std::vector<std::string> languages(const Site& site) {
  std::vector<std::string> found;
  std::error_code wrong;
  static const std::regex form("clinician-([a-z]{2,3})\\.json");
  for (fs::directory_iterator one(site.models / "words", wrong), end; !wrong && one != end; one.increment(wrong)) {
    std::smatch match;
    const std::string name = one->path().filename().string();
    std::error_code ignored;
    if (std::regex_match(name, match, form) &&
        fs::exists(site.models / "words" / ("runner-" + match[1].str() + ".json"), ignored)) {
      found.push_back(match[1]);
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

// {"value", "mark", "source"} as the plain value.
json plain_values(const json& model) {
  json plain = json::object();
  for (const auto& [key, entry] : model.items()) {
    if (entry.is_object() && entry.contains("value")) plain[key] = entry["value"];
  }
  return plain;
}

json about(const Site& site, bool entered) {
  json tests = json::array();
  for (const TestSlot& slot : all_slots()) {
    tests.push_back({{"slot", slot.name},
                     {"key", slot.key},
                     {"test", key_of(slot.test)},
                     {"side", key_of(slot.side)},
                     {"knee", slot.knee == Knee::not_stated ? json() : json(key_of(slot.knee))}});
  }
  const json heel_raise = model_file(site, "heel-raise.json");
  const json hop = model_file(site, "hop.json");
  return {{"version", site.version},
          {"entered", entered},
          {"quantities", model_file(site, "quantities.json")["quantities"]},
          {"pain_stop", model_file(site, "cautions.json")["pain_stop"]["value"]},
          {"protocol", {{"heel_raise", plain_values(heel_raise)}, {"hop", plain_values(hop)}}},
          {"unreadable_visits", entered ? json(site.desk.unreadable()) : json::array()},
          {"lan", site.lan},
          {"phone", site.lan},
          {"fingerprint", site.fingerprint.empty() ? json() : json(site.fingerprint)},
          {"languages", languages(site)},
          {"tests", tests},
          {"protocols", {{"heel_raise", heel_raise}, {"hop", hop}, {"ladders", model_file(site, "ladders.json")}}}};
}

void answer_words(const Site& site, const std::string& language, Response& response) {
  const auto known = languages(site);
  if (std::find(known.begin(), known.end(), language) == known.end()) {
    throw Refusal{404, "no-such-language", "there are no words in that language", "none are in models/words",
                  "choose one of those that about lists"};
  }
  const json clinician = model_file(site, "words/clinician-" + language + ".json");
  const json runner = model_file(site, "words/runner-" + language + ".json");
  answer_json(response, json{{"language", language},
                             {"decimal_mark", clinician["decimal_mark"]},
                             {"clinician", clinician["words"]},
                             {"runner", runner["words"]}}
                            .dump());
}

void answer_page_file(const Request& request, Response& response, const PageFile& file) {
  response.set_header("Cache-Control", "no-cache");
  response.set_header("Vary", "Accept-Encoding");
  if (answered_unchanged(request, response, std::string(file.etag))) return;
  const bool packed = request.get_header_value("Accept-Encoding").find("gzip") != std::string::npos;
  if (packed) response.set_header("Content-Encoding", "gzip");
  const unsigned char* bytes = packed ? file.packed : file.bytes;
  response.status = 200;
  // A provider: the library would pack a plain body once more.
  response.set_content_provider(packed ? file.packed_size : file.size, std::string(file.mime),
                                [bytes](std::size_t offset, std::size_t length, httplib::DataSink& sink) {
                                  return sink.write(reinterpret_cast<const char*>(bytes) + offset, length);  // NOLINT
                                });
}

void answer_page(const Request& request, Response& response) {
  const std::string path = request.path.substr(1);
  const PageFile* file = find_page_file(path);
  // The page's own views have addresses without an ending; all of them are the one page.
  if (file == nullptr && path.find('.') == std::string::npos && !path.starts_with("api/")) {
    file = find_page_file(path + ".html");
    if (file == nullptr) file = find_page_file("index.html");
  }
  if (file == nullptr)
    throw Refusal{404, "no-such-page", "there is no such page", "the address is not known", "go to /"};
  answer_page_file(request, response, *file);
}

}  // namespace

const PageFile* find_page_file(std::string_view path) {
  for (const PageFile& file : page_files()) {
    if (file.path == path) return &file;
  }
  return nullptr;
}

void add_page_routes(HttpServer& server, Site& site) {
  server.Get("/api/about", guarded([&site](const Request& request, Response& response) {
               const bool entered = site.door == nullptr || site.door->knows(request.get_header_value("Cookie"));
               answer_json(response, about(site, entered).dump());
             }));
  server.Get("/api/cautions", guarded([&site](const Request&, Response& response) {
               json cautions = model_file(site, "cautions.json");
               cautions["pain_stop"] = cautions["pain_stop"]["value"];
               answer_json(response, cautions.dump());
             }));
  server.Get("/api/words/([a-z]{2,3})", guarded([&site](const Request& request, Response& response) {
               answer_words(site, request.matches[1], response);
             }));
  server.Get("/.*", guarded(answer_page));
}

}  // namespace risetrace::serve
