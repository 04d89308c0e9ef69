// `risetrace serve` as its page uses it: a whole visit, uploads that break off, kills, two tabs.
#include <gtest/gtest.h>

#include <algorithm>
#include <csignal>
#include <fstream>
#include <thread>

#include "report/schema_check.h"
#include "whole/served.h"

namespace risetrace::test {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

const fs::path samples = fs::path(RISETRACE_SOURCE) / "sample-clips";

std::string test_path(const std::string& id, const std::string& slot) { return "/api/visits/" + id + "/tests/" + slot; }

bool written(const json& visit) { return visit["screen"]["state"] != "running"; }

json sample_session() {
  json session = json::parse(read_file(samples / "visit.json"));
  for (json& test : session["tests"]) {
    if (test.erase("clip") > 0) test["keep_clip"] = true;
  }
  return session;
}

TEST(Serve, AWholeVisitFromTheFirstQuestionToTheErasure) {
  const Place place;
  Served served(place);
  const std::string id = served.new_visit();
  const Answer entered = served.ask("PATCH", "/api/visits/" + id, {{"revision", 1}, {"session", sample_session()}});
  ASSERT_EQ(entered.status, 200) << entered.body;
  for (const auto& [slot, clip] : {std::pair{"heel-raise-left-straight", "left-straight.mp4"},
                                   {"heel-raise-right-straight", "right-straight.mp4"},
                                   {"hop-both", "hops.mp4"}}) {
    served.upload(id, slot, clip, read_file(samples / clip));
  }
  for (const char* slot : {"heel-raise-left-straight", "heel-raise-right-straight", "hop-both"}) {
    served.wait_for_state(id, slot, "measured");
    EXPECT_EQ(misfit("result.schema.json", served.ask("GET", test_path(id, slot) + "/files/result.json").body), "");
  }
  EXPECT_EQ(served.ask("GET", test_path(id, "hop-both") + "/files/report.pdf").body.substr(0, 5), "%PDF-");

  const std::string corrected = "heel-raise-left-straight";
  const json card = {{"card_offset_cm", 2}, {"distance_m", 1.1}};
  ASSERT_EQ(served.ask("POST", test_path(id, corrected) + "/measure", {{"options", card}}).status, 202);
  served.wait_for_state(id, corrected, "measured");
  const json correction = {{"what", "end-fraction"},
                           {"at", "2026-03-02T10:00:00Z"},
                           {"by", "T-1"},
                           {"why", "to see"},
                           {"after", {{"end_fraction", 0.4}}}};
  const json corrections = {{"schema", "risetrace/corrections/1"}, {"corrections", {correction}}};
  const std::string corrections_at = test_path(id, corrected) + "/corrections";
  const json first = {{"corrections", corrections}, {"instead_of", json::array()}};
  EXPECT_EQ(served.ask("PUT", corrections_at, {{"corrections", corrections}}).status, 400);
  ASSERT_EQ(served.ask("PUT", corrections_at, first).status, 202);
  EXPECT_EQ(served.ask("POST", "/api/visits/" + id + "/screen").json()["error"]["code"], "still-measuring");
  EXPECT_EQ(served.wait_for_state(id, corrected, "measured")["corrections"], 1);
  EXPECT_EQ(served.ask("PUT", corrections_at, first).json()["error"]["code"], "stale-corrections");
  EXPECT_EQ(served.visit(id)["tests"][corrected]["state"], "measured") << "what came too late starts nothing";

  ASSERT_EQ(served.ask("POST", "/api/visits/" + id + "/screen", {{"language", "de"}}).status, 202);
  EXPECT_EQ(served.wait_for(id, written)["screen"]["state"], "ready");
  const std::string screen = served.ask("GET", "/api/visits/" + id + "/screen/screen.json").body;
  EXPECT_EQ(misfit("screen.schema.json", screen), "");
  for (const char* paper : {"clinician.pdf", "runner.pdf"}) {
    EXPECT_EQ(served.ask("GET", "/api/visits/" + id + "/screen/" + paper).body.substr(0, 5), "%PDF-");
  }

  EXPECT_EQ(served.ask("PATCH", "/api/visits/" + id, {{"revision", 2}, {"session", {{"remark", "tired"}}}}).status,
            200);
  EXPECT_EQ(served.visit(id)["screen"]["state"], "stale");
  ASSERT_EQ(served.ask("POST", "/api/visits/" + id + "/keep").status, 202);
  EXPECT_EQ(served.wait_for(id, written)["screen"]["kept"], true);
  EXPECT_EQ(risetrace_run({"record", "verify", "--record", place / "record.sqlite"}).status, 0);
  EXPECT_EQ(served.ask("GET", "/api/people").json()[0]["code"], "R-017");
  const json person = served.ask("GET", "/api/people/R-017").json();
  EXPECT_EQ(person["visits"][0]["clips"].size(), 3U);
  EXPECT_EQ(person["visits"][0]["documents"].size(), 5U);

  const Answer again = served.ask("POST", "/api/people/R-017/visits/2026-03-02/open");
  ASSERT_EQ(again.status, 201) << again.body;
  const std::string second = again.json()["id"];
  EXPECT_EQ(again.json()["tests"]["hop-both"]["state"], "measured");
  EXPECT_EQ(again.json()["tests"][corrected]["corrections"], 1);
  EXPECT_TRUE(again.json()["tests"][corrected]["options"]["end_fraction"].is_number());
  EXPECT_EQ(again.json()["tests"][corrected]["options"]["card_offset_cm"], 2);
  EXPECT_EQ(again.json()["tests"][corrected]["options"]["distance_m"], 1.1);
  EXPECT_FALSE(again.json()["tests"][corrected]["options"].contains("card")) << "the usual card is not an option";
  EXPECT_EQ(served.ask("GET", test_path(second, corrected) + "/corrections").json()["corrections"][0]["why"], "to see");
  EXPECT_EQ(served.ask("GET", test_path(second, "hop-both") + "/files/clip").body, read_file(samples / "hops.mp4"));
  served.ask("POST", "/api/visits/" + second + "/keep");
  EXPECT_EQ(served.wait_for(second, written)["screen"]["error"]["code"], "already-in-record");
  served.ask("POST", "/api/visits/" + second + "/keep", {{"correction", "kept twice to see"}});
  EXPECT_EQ(served.wait_for(second, written)["screen"]["kept"], true);

  const Answer exported = served.ask("POST", "/api/people/R-017/export", json::object());
  EXPECT_EQ(exported.body.substr(0, 2), "PK");
  EXPECT_EQ(served.ask("POST", "/api/people/R-017/erase", {{"code", "R-018"}}).status, 400);
  const Answer erased = served.ask("POST", "/api/people/R-017/erase", {{"code", "R-017"}});
  ASSERT_EQ(erased.status, 200) << erased.body;
  EXPECT_EQ(erased.json()["open_visits"], 2);
  EXPECT_EQ(served.ask("GET", "/api/visits").json().size(), 0U);
  EXPECT_EQ(served.ask("GET", "/api/people").json().size(), 0U);
  std::size_t left = 0;
  for (const auto& entry : fs::recursive_directory_iterator(place.path() / "open-visits"))
    left += entry.is_directory() ? 1 : 0;
  EXPECT_EQ(left, 0U) << "what was open of the person is gone too";
  EXPECT_EQ(served.end(SIGINT), 0);
}

TEST(Serve, AnUploadThatBreaksOffGoesOn) {
  const Place place;
  const std::string clip = read_file(rendered(small_scene()));
  std::string id;
  json begun;
  const json plan = {{"name", "left.mp4"}, {"size", clip.size()}, {"modified", 1234}};
  const std::string slot = "heel-raise-left-straight";
  {
    Served served(place);
    id = served.new_visit();
    begun = served.ask("POST", test_path(id, slot) + "/upload", plan).json();
    const std::string target = "/api/uploads/" + begun["upload"].get<std::string>();
    const std::string head = "PUT " + target +
                             "?offset=0 HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(served.port()) +
                             "\r\nX-Risetrace: page\r\nContent-Type: application/octet-stream\r\nContent-Length: " +
                             std::to_string(clip.size()) + "\r\n\r\n";
    served.raw(head + clip.substr(0, clip.size() * 6 / 10), 0.3);  // and the connection breaks
    json now = json::object();
    for (int i = 0; i < 200 && now.value("offset", 0U) < clip.size() * 6 / 10; ++i)
      now = served.ask("GET", target).json();
    EXPECT_EQ(now["offset"], clip.size() * 6 / 10);
    EXPECT_EQ(now["size"], clip.size());
    EXPECT_EQ(served.visit(id)["tests"][slot]["state"], "uploading");
    const Answer twice = served.put(target + "?offset=0", clip.substr(0, 1000));
    EXPECT_EQ(twice.status, 409);
    EXPECT_EQ(twice.json()["offset"], now["offset"]);
    EXPECT_EQ(served.put(target + "?offset=" + std::to_string(clip.size() * 6 / 10), clip).status, 409)
        << "more than was said";
    EXPECT_EQ(served.put(target + "?offset=x", "a").status, 400);
    EXPECT_EQ(served.end(SIGKILL), 128 + SIGKILL);
  }
  const Served served(place);
  const json again = served.ask("POST", test_path(id, slot) + "/upload", plan).json();
  EXPECT_EQ(again["upload"], begun["upload"]);
  ASSERT_EQ(again["offset"], clip.size() * 6 / 10);
  const std::string target = "/api/uploads/" + begun["upload"].get<std::string>() + "?offset=";
  EXPECT_EQ(served.put(target + std::to_string(clip.size() * 6 / 10), clip.substr(clip.size() * 6 / 10)).status, 200);
  const json test = served.wait_for_state(id, slot, "measured");
  EXPECT_EQ(test["clip_name"], "left.mp4");
  EXPECT_EQ(served.ask("GET", test_path(id, slot) + "/files/clip").body, clip);
  EXPECT_EQ(served.put(target + "0", "a").status, 404) << "it is whole";
  // Another file in its place: what was measured of the first is gone when the second is there.
  served.upload(id, slot, "other.mp4", "no clip at all");
  EXPECT_EQ(served.wait_for_state(id, slot, "failed")["error"]["code"], "clip-unreadable");
  EXPECT_EQ(served.ask("GET", test_path(id, slot) + "/files/result.json").status, 404);
}

TEST(Serve, KilledWhileMeasuringItMeasuresWhenStartedAgain) {
  const Place place;
  std::string id;
  {
    Served served(place);
    id = served.new_visit();
    served.upload(id, "heel-raise-left-straight", "left.mp4", read_file(samples / "left-straight.mp4"));
    served.upload(id, "heel-raise-right-straight", "right.mp4", read_file(rendered(small_scene())));
    served.wait_for_state(id, "heel-raise-left-straight", "measuring");
    EXPECT_EQ(served.visit(id)["tests"]["heel-raise-right-straight"]["state"], "waiting") << "one clip after the other";
    served.end(SIGKILL);
  }
  const Served served(place);
  for (const char* slot : {"heel-raise-left-straight", "heel-raise-right-straight"}) {
    served.wait_for_state(id, slot, "measured");
    EXPECT_EQ(misfit("result.schema.json", served.ask("GET", test_path(id, slot) + "/files/result.json").body), "");
  }
  Words left;
  for (const auto& entry : fs::recursive_directory_iterator(place.path() / "open-visits")) {
    if (entry.path().filename().string().find("partial") != std::string::npos) left.push_back(entry.path().string());
  }
  EXPECT_EQ(left, Words{}) << "what the killed worker wrote aside";
}

TEST(Serve, MeasuringIsCancelledAndAskedForAgain) {
  const Place place;
  Served served(place);
  const std::string id = served.new_visit();
  const std::string slot = "heel-raise-left-straight";
  served.upload(id, slot, "left.mp4", read_file(samples / "left-straight.mp4"));
  served.wait_for_state(id, slot, "measuring");
  EXPECT_EQ(served.ask("POST", test_path(id, slot) + "/measure").status, 409);
  EXPECT_EQ(served.ask("POST", test_path(id, slot) + "/cancel").status, 200);
  served.wait_for_state(id, slot, "cancelled");
  EXPECT_EQ(served.ask("GET", test_path(id, slot) + "/files/result.json").status, 404);
  const Answer wrong = served.ask("POST", test_path(id, slot) + "/measure", {{"options", {{"out", "/tmp"}}}});
  EXPECT_EQ(wrong.status, 400);
  EXPECT_NE(wrong.body.find("out"), std::string::npos);
  EXPECT_EQ(served.ask("POST", test_path(id, slot) + "/measure", {{"options", {{"end_fraction", 0.9}}}}).status, 202);
  EXPECT_EQ(served.wait_for_state(id, slot, "measured")["options"]["end_fraction"], 0.9);
  // Taken out, with all that came of it.
  EXPECT_EQ(served.ask("DELETE", test_path(id, slot)).status, 200);
  EXPECT_EQ(served.visit(id)["tests"][slot]["state"], "empty");
  EXPECT_FALSE(fs::exists(place.path() / "open-visits" / id / slot));
  EXPECT_EQ(served.end(SIGTERM), 0);
}

TEST(Serve, APhotoInsteadOfAClipIsSaidToBeNone) {
  const Place place;
  const Served served(place);
  const std::string id = served.new_visit();
  served.upload(id, "heel-raise-left-straight", "foot.png",
                read_file(fs::path(RISETRACE_SOURCE) / "docs/pictures/overlay.png"));
  const json failed = served.wait_for_state(id, "heel-raise-left-straight", "failed");
  EXPECT_NE(failed["error"]["what"].get<std::string>(), "");
  EXPECT_NE(failed["error"]["do"].get<std::string>(), "");
  EXPECT_EQ(failed["error"]["code"], "clip-unreadable") << failed["error"];
  EXPECT_EQ(served.ask("GET", test_path(id, "heel-raise-left-straight") + "/first-frame").status, 422);
  EXPECT_EQ(served.ask("POST", "/api/visits/" + id + "/screen").status, 202);
  EXPECT_EQ(served.wait_for(id, written)["screen"]["error"]["what"], "the session is wrong") << "nothing was tested";
}

TEST(Serve, WhatIsNotFoundIsNamedAndTheFirstFrameShown) {
  const Place place;
  const Served served(place);
  const std::string id = served.new_visit();
  const std::string slot = "heel-raise-left-straight";
  EXPECT_EQ(served.ask("GET", test_path(id, slot) + "/first-frame").status, 404);
  served.upload(id, slot, "left.mp4", read_file(rendered(small_scene({{"cards", json::array()}}))));
  EXPECT_EQ(served.wait_for_state(id, slot, "failed")["error"]["code"], "card-not-found");
  const Answer frame = served.ask("GET", test_path(id, slot) + "/first-frame");
  EXPECT_EQ(frame.status, 200);
  EXPECT_EQ(frame.body.substr(1, 3), "PNG");
  const fs::path folder = place.path() / "open-visits" / id / slot;
  EXPECT_EQ(std::distance(fs::directory_iterator(folder), fs::directory_iterator()), 1)
      << "only the clip is left there";
  EXPECT_EQ(served.ask("POST", test_path(id, slot) + "/measure", {{"options", {{"px_per_cm", 6}}}}).status, 202);
  served.wait_for_state(id, slot, "measured");
}

TEST(Serve, TheOlderOfTwoTabsIsToldSo) {
  const Place place;
  const Served served(place);
  const std::string id = served.new_visit();
  const std::string path = "/api/visits/" + id;
  EXPECT_EQ(served.ask("PATCH", path, {{"revision", 1}, {"session", {{"remark", "first"}}}}).json()["revision"], 2);
  const Answer old = served.ask("PATCH", path, {{"revision", 1}, {"session", {{"remark", "second"}}}});
  EXPECT_EQ(old.status, 409);
  EXPECT_EQ(old.json()["current"]["session"]["remark"], "first");
  EXPECT_EQ(served.visit(id)["session"]["remark"], "first");
  EXPECT_EQ(served.ask("PATCH", path, {{"revision", 2}, {"session", {{"remark", nullptr}}}}).status, 200);
  EXPECT_FALSE(served.visit(id)["session"].contains("remark"));
}

TEST(Serve, FiftyUploadsAtOnce) {
  const Place place;
  const Served served(place);
  std::vector<std::thread> phones;
  std::vector<std::string> ids(10);
  for (std::string& id : ids) id = served.new_visit();
  const Words slots = {"hop-both", "hop-left", "hop-right", "lunge-left", "lunge-right"};
  for (const std::string& id : ids) {
    for (const std::string& slot : slots) {
      phones.emplace_back([&] { served.upload(id, slot, "film.mp4", std::string(400000, 'x') + slot); });
    }
  }
  for (std::thread& phone : phones) phone.join();
  for (const std::string& id : ids) {
    for (const std::string& slot : slots) {
      EXPECT_EQ(served.wait_for_state(id, slot, "failed")["error"]["code"], "clip-unreadable");
      EXPECT_EQ(served.ask("GET", test_path(id, slot) + "/files/clip").body, std::string(400000, 'x') + slot);
    }
  }
}

TEST(Serve, AQuickVisitGoesWithTheServer) {
  const Place place;
  Served served(place);
  const json made = served.ask("POST", "/api/visits", {{"quick", true}}).json();
  EXPECT_EQ(made["quick"], true);
  EXPECT_EQ(served.ask("POST", "/api/visits/" + made["id"].get<std::string>() + "/keep").status, 409);
  EXPECT_TRUE(fs::is_empty(place.path() / "open-visits") ||
              !fs::exists(place.path() / "open-visits" / made["id"].get<std::string>()));
  EXPECT_EQ(served.end(SIGINT), 0);
  for (const auto& entry : fs::directory_iterator(fs::temp_directory_path())) {
    EXPECT_FALSE(fs::exists(entry.path() / made["id"].get<std::string>())) << entry.path();
  }
}

TEST(Serve, AQuickVisitGoesWithTheTerminal) {
  const Place place;
  Served served(place);
  const std::string id = served.ask("POST", "/api/visits", {{"quick", true}}).json()["id"];
  EXPECT_EQ(served.end(SIGHUP), 0);
  for (const auto& entry : fs::directory_iterator(fs::temp_directory_path())) {
    EXPECT_FALSE(fs::exists(entry.path() / id)) << entry.path();
  }
}

TEST(Serve, AWorkersEndIsToldThoughTheStarterIgnoresItsChildren) {
  const Place place;
  ServedOptions options;
  options.children_ignored = true;
  const Served served(place, options);
  const std::string id = served.new_visit();
  served.upload(id, "hop-both", "a.mp4", "hello");
  EXPECT_EQ(served.wait_for_state(id, "hop-both", "failed")["error"]["code"], "clip-unreadable");
}

TEST(Serve, AFullDiskIsSaidAndWhatCameIsKept) {
  const Place place;
  const Served served(place, {{}, 1 << 20});
  const std::string id = served.new_visit();
  const json begun =
      served.ask("POST", test_path(id, "hop-both") + "/upload", {{"name", "a.mp4"}, {"size", 3000000}}).json();
  const std::string target = "/api/uploads/" + begun["upload"].get<std::string>();
  const Answer full = served.put(target + "?offset=0", std::string(2000000, 'x'));
  EXPECT_EQ(full.status, 507) << full.body;
  EXPECT_EQ(full.json()["error"]["code"], "disk-full");
  EXPECT_EQ(served.ask("GET", target).json()["offset"], 1 << 20);
  EXPECT_EQ(served.visit(id)["tests"]["hop-both"]["state"], "uploading");
}

TEST(Serve, TwoServersDoNotShareTheOpenVisits) {
  const Place place;
  const Served served(place);
  expect_refused(risetrace_run({"serve", "--port", "0", "--record", place / "record.sqlite"}), 5,
                 {"another risetrace serve"});
  expect_refused(
      risetrace_run({"serve", "--port", std::to_string(served.port()), "--record", place / "other/record.sqlite"}), 2,
      {"--port"});
}

TEST(Serve, AVisitThatCannotBeReadIsSaidAndLeftAsItIs) {
  const Place place;
  const std::string id(32, 'a');
  const fs::path folder = place.path() / "open-visits" / id;
  fs::create_directories(folder / "hop-both");
  std::ofstream(folder / "desk.json") << "{\"schema\": \"risetrace/de";
  std::ofstream(folder / "hop-both" / "clip.mp4") << "a clip";
  const Served served(place);
  EXPECT_EQ(served.ask("GET", "/api/about").json()["unreadable_visits"], json::array({id}));
  EXPECT_EQ(served.ask("GET", "/api/visits").json().size(), 0U);
  EXPECT_EQ(read_file(folder / "hop-both" / "clip.mp4"), "a clip");
}

TEST(Serve, EventsTellWhatHappens) {
  const Place place;
  const Served served(place);
  const std::string id = served.new_visit();
  httplib::Client client("127.0.0.1", served.port());
  std::string told;
  std::thread listener([&] {
    client.Get("/api/events", [&](const char* bytes, std::size_t count) {
      told.append(bytes, count);
      return true;
    });
  });
  served.upload(id, "heel-raise-left-straight", "left.mp4", read_file(rendered(small_scene())));
  served.wait_for_state(id, "heel-raise-left-straight", "measured");
  client.stop();
  listener.join();
  for (const char* part :
       {R"("what":"hello")", R"("what":"upload")", R"("stage":"measuring")", R"("what":"changed")"}) {
    EXPECT_NE(told.find(part), std::string::npos) << part << "\n" << told;
  }
}

}  // namespace
}  // namespace risetrace::test
