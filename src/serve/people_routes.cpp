// The record: who is in it, a kept visit opened again, all of a person taken out as a file or erased.
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <nlohmann/json.hpp>

#include "base/calendar.h"
#include "base/person_code.h"
#include "record/record.h"
#include "serve/draft_store.h"
#include "serve/random_id.h"
#include "serve/read_json.h"
#include "serve/session_fields.h"
#include "serve/site.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using record::Kind;

constexpr const char* code_form = "([A-Za-z0-9][A-Za-z0-9._-]{0,39})";
constexpr const char* date_form = "([0-9]{4}-[0-9]{2}-[0-9]{2})";

template <typename T>
T given(Result<T> result) {
  if (!result) throw refusal_of(result.error());
  return *std::move(result);
}

record::Record open_record(const Site& site) { return given(record::Record::open(site.record)); }

json or_null(const std::optional<std::string>& text) { return text ? json(*text) : json(); }

void list_people(Site& site, Response& response) {
  json all = json::array();
  std::error_code ignored;
  if (fs::exists(site.record, ignored)) {
    for (const record::Person& person : given(open_record(site).people())) {
      all.push_back({{"code", person.code},
                     {"visits", person.sessions},
                     {"first_date", person.first_date},
                     {"last_date", person.last_date}});
    }
  }
  answer_json(response, all.dump());
}

json kept_json(const record::KeptSession& session) {
  json documents = json::array();
  for (const record::KeptDocument& one : session.documents) {
    documents.push_back({{"kind", key_of(one.kind)},
                         {"slot", one.slot},
                         {"revision", one.revision},
                         {"current", one.current},
                         {"bytes", one.bytes},
                         {"sha256", one.sha256}});
  }
  json clips = json::array();
  for (const record::KeptClip& one : session.clips) {
    clips.push_back({{"slot", one.slot}, {"revision", one.revision}, {"current", one.current}, {"bytes", one.bytes}});
  }
  json revisions = json::array();
  for (const record::Revision& one : session.revisions) {
    revisions.push_back({{"number", one.number}, {"at", one.at}, {"by", or_null(one.by)}, {"why", or_null(one.why)}});
  }
  return {{"date", session.date}, {"revisions", revisions}, {"documents", documents}, {"clips", clips}};
}

void show_person(Site& site, const Request& request, Response& response) {
  const std::string code = request.matches[1];
  json visits = json::array();
  for (const auto& session : given(open_record(site).sessions_of(code))) visits.push_back(kept_json(session));
  answer_json(response, json{{"code", code}, {"visits", visits}}.dump());
}

record::KeptSession kept_visit(const record::Record& record, const std::string& code, const std::string& date) {
  for (record::KeptSession& session : given(record.sessions_of(code))) {
    if (session.date == date) return std::move(session);
  }
  throw Refusal{404, "not-in-record", "the record does not hold it", "there is no visit of that day",
                "choose one of the list"};
}

// The current one; empty where none is kept.
std::optional<std::string> document_of(const record::Record& record, const record::KeptSession& session, Kind kind) {
  for (const record::KeptDocument& document : session.documents) {
    if (document.kind == kind && document.current) return given(record.text_of(document));
  }
  return std::nullopt;
}

void show_document(Site& site, const Request& request, Response& response) {
  const std::string name = request.matches[3];
  const std::optional<Kind> kind = name == "screen.json"         ? std::optional(Kind::screen)
                                   : name == "session.json"      ? std::optional(Kind::session)
                                   : name == "training-log.json" ? std::optional(Kind::log)
                                                                 : std::nullopt;
  if (!kind) throw no_such_file("the record keeps no file of that name; open the visit to have its papers made");
  const record::Record record = open_record(site);
  const auto text = document_of(record, kept_visit(record, request.matches[1], request.matches[2]), *kind);
  if (!text) throw no_such_file("none was kept of that visit");
  answer_json(response, *text);
}

// What a person corrected goes on being corrected when the clip is measured again; how many that are.
int bring_corrections(const std::string& result, const fs::path& folder) {
  const json read = read_json(result);
  const json list = read.is_object() ? read.value("corrections", json()) : json();
  if (!list.is_array() || list.empty()) return 0;
  const json corrections = {{"schema", "risetrace/corrections/1"}, {"corrections", list}};
  write_whole(folder / corrections_file, corrections.dump(1, ' ', false, json::error_handler_t::replace) + "\n");
  return static_cast<int>(list.size());
}

// By which rules it was counted and how it was filmed, as options: the same when the clip is measured again. A result
// of an earlier version does not say how it was filmed.
std::string options_of(const std::string& result) {
  json options = json::object();
  const json read = read_json(result);
  const json asked = read.is_object() ? read.value("asked", json()) : json();
  if (!asked.is_object()) return options.dump();
  for (const char* name : {"end_fraction", "end_after", "reference_reps", "beat_bpm", "toe_px", "wall_x_px"}) {
    const json value = asked.value(name, json());
    const bool default_beat = std::string_view(name) == "beat_bpm" && asked.value("beat_stated", json()) == false;
    if (value.is_null() || default_beat) continue;
    options[std::string_view(name) == "wall_x_px" ? "wall_px" : name] = value;
  }
  const json told = read.value("told", json());
  if (!told.is_object()) return checked_options(options.dump());
  for (const auto& [name, value] : told.items()) {
    const bool left_as_is = (name == "card" && value == "tags") || (name == "card_offset_cm" && value == 0);
    if (is_option(name) && !value.is_null() && !left_as_is) options[name] = value;
  }
  return checked_options(options.dump());
}

// Results and clips of the kept visit as files of the draft.
void bring_files(const record::Record& record, const record::KeptSession& kept, Draft& draft) {
  const fs::path folder = draft.folder;
  auto& tests = draft.tests;
  const auto place_for = [&](const TestSlot& slot) {
    fs::path place = folder / slot.name;
    if (::mkdir(place.c_str(), 0700) != 0 && errno != EEXIST) throw cannot_keep(errno);
    return place;
  };
  for (const record::KeptDocument& document : kept.documents) {
    const TestSlot* slot = find_slot_by_key(document.slot);
    if (document.kind != Kind::result || !document.current || slot == nullptr) continue;
    const fs::path result = place_for(*slot) / "result";
    if (::mkdir(result.c_str(), 0700) != 0) throw cannot_keep(errno);
    const std::string text = given(record.text_of(document));
    write_whole(result / "result.json", text);
    tests[slot->name].options_json = options_of(text);
    tests[slot->name].corrections = bring_corrections(text, folder / slot->name);
    tests[slot->name].state = TestState::measured;
    tests[slot->name].measured_at = kept.revisions.at(static_cast<std::size_t>(document.revision)).at;
  }
  for (const record::KeptClip& clip : kept.clips) {
    const TestSlot* slot = find_slot_by_key(clip.slot);
    if (!clip.current || slot == nullptr) continue;
    DraftTest& test = tests[slot->name];
    test.clip_file = clip_file_for("clip." + clip.extension);
    test.clip_name = test.clip_file;
    std::error_code wrong;
    fs::copy_file(clip.file, place_for(*slot) / test.clip_file, wrong);
    if (wrong) throw cannot_keep(wrong.value());
  }
}

void open_again(Site& site, const Request& request, Response& response) {
  const record::Record record = open_record(site);
  const record::KeptSession kept = kept_visit(record, request.matches[1], request.matches[2]);
  const auto session = document_of(record, kept, Kind::session);
  if (!session) throw no_such_file("its session was not kept");
  Draft draft;
  draft.session_json = session_for_page(*session);
  if (const auto log = document_of(record, kept, Kind::log)) {
    draft.session_json = with_fields(draft.session_json, R"({"training_log":)" + *log + "}");
  }
  draft = site.desk.add(std::move(draft), [&](Draft& one) { bring_files(record, kept, one); });
  answer_json(response, visit_json(site.desk.draft(draft.id)), 201);
}

void export_all(Site& site, const Request& request, Response& response) {
  const std::string code = request.matches[1];
  record::Exporting exporting;
  exporting.program_version = site.version;
  const json body = body_of(request);
  if (body.contains("passphrase") && !body["passphrase"].is_null())
    exporting.passphrase = body["passphrase"].get<std::string>();
  const fs::path out = site.record.parent_path() / "open-visits" / ("export-" + random_id());
  const auto written = open_record(site).export_person(code, out, exporting);
  if (!written) throw refusal_of(written.error());
  const std::string name = "risetrace-" + code + (exporting.passphrase ? ".sealed" : ".zip");
  try {
    answer_file(request, response, out, exporting.passphrase ? "application/octet-stream" : "application/zip", name);
  } catch (...) {
    ::unlink(out.c_str());
    throw;
  }
  ::unlink(out.c_str());  // it stays open until it is sent
}

// No visit of that code begins while it lasts.
class Barred {
 public:
  Barred(Desk& desk, std::string code) : desk_(desk), code_(std::move(code)) { desk_.bar(code_, true); }
  Barred(const Barred&) = delete;
  Barred& operator=(const Barred&) = delete;
  ~Barred() { desk_.bar(code_, false); }

 private:
  Desk& desk_;
  std::string code_;
};

// What is open of that person is of that person too.
int close_visits_of(Site& site, const std::string& code) {
  int closed = 0;
  for (const Draft& draft : site.desk.drafts()) {
    if (draft.quick || code_of(draft) != code) continue;
    try {
      close_visit(site, draft.id);
      ++closed;
    } catch (const Refusal& refusal) {
      if (refusal.status != 404) throw;  // closed by somebody else meanwhile
    }
  }
  return closed;
}

void erase(Site& site, const Request& request, Response& response) {
  const std::string code = request.matches[1];
  const json body = body_of(request);
  if (body.value("code", "") != code) throw wrong_field("code must be the person's, typed once more");
  std::optional<std::string> by;
  if (body.contains("by") && !body["by"].is_null()) by = body["by"].get<std::string>();
  const Barred barred(site.desk, code);
  const int drafts = close_visits_of(site, code);  // first: none of them is kept once the record is done
  auto opened = record::Record::open(site.record);
  Result<record::Erased> done = opened ? opened->erase(code, by) : Result<record::Erased>(opened.error());
  if (!done && done.error().fault == Fault::not_in_record && drafts > 0) {
    return answer_json(response, json{{"number", nullptr}, {"open_visits", drafts}}.dump());
  }
  const record::Erased erased = given(std::move(done));
  const record::Receipt& receipt = erased.receipt;
  answer_json(response, json{{"number", receipt.number},
                             {"at", receipt.at},
                             {"by", or_null(receipt.by)},
                             {"visits", receipt.sessions},
                             {"documents", receipt.documents},
                             {"clips", receipt.clips},
                             {"clip_bytes", receipt.clip_bytes},
                             {"swept", erased.swept},
                             {"open_visits", drafts}}
                            .dump());
}

}  // namespace

void add_people_routes(HttpServer& server, Site& site) {
  const std::string person = std::string("/api/people/") + code_form;
  const std::string visit = person + "/visits/" + date_form;
  server.Get("/api/people", guarded([&site](const Request&, Response& response) { list_people(site, response); }));
  server.Get(person,
             guarded([&site](const Request& request, Response& response) { show_person(site, request, response); }));
  server.Get(visit + "/([a-z.-]{1,40})",
             guarded([&site](const Request& request, Response& response) { show_document(site, request, response); }));
  server.Post(visit + "/open",
              guarded([&site](const Request& request, Response& response) { open_again(site, request, response); }));
  server.Post(person + "/export",
              guarded([&site](const Request& request, Response& response) { export_all(site, request, response); }));
  server.Post(person + "/erase",
              guarded([&site](const Request& request, Response& response) { erase(site, request, response); }));
}

}  // namespace risetrace::serve
