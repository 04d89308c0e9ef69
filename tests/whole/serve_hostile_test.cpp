// Clients that mean no good to `risetrace serve`, and what it gives to whom over the network.
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <thread>

#include "whole/served.h"

namespace risetrace::test {
namespace {

using nlohmann::json;

std::string head(const Served& served, const std::string& first, const std::string& more = "") {
  return first + " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(served.port()) + "\r\n" + more + "\r\n";
}

int count_of(const std::string& text, const std::string& part) {
  int count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
  return count;
}

TEST(ServeHostile, RangesOfAFile) {
  const Place place;
  const Served served(place);
  const std::string id = served.new_visit();
  const std::string bytes = std::string(70000, 'a') + std::string(70000, 'b');
  served.upload(id, "hop-both", "a.mp4", bytes);
  served.wait_for_state(id, "hop-both", "failed");
  const std::string path = "/api/visits/" + id + "/tests/hop-both/files/clip";
  const auto part = [&](const std::string& range) { return served.ask_as({{"Range", range}}, "GET", path, "", ""); };
  const Answer middle = part("bytes=69999-70000");
  EXPECT_EQ(middle.status, 206);
  EXPECT_EQ(middle.body, "ab");
  EXPECT_EQ(middle.headers.find("Content-Range")->second, "bytes 69999-70000/140000");
  const Answer end = part("bytes=139998-999999999");
  EXPECT_EQ(end.status, 206);
  EXPECT_EQ(end.body, "bb");
  const Answer past = part("bytes=140000-");
  EXPECT_EQ(past.status, 416);
  EXPECT_EQ(past.headers.find("Content-Range")->second, "bytes */140000");
  EXPECT_EQ(part("bytes=-3").body, "bbb");
  EXPECT_EQ(part("bytes=0-1,5-6").body, bytes);
  EXPECT_EQ(served.ask("GET", path).body, bytes);
}

TEST(ServeHostile, NoPathLeadsOutOfAVisit) {
  const Place place;
  const Served served(place);
  const std::string id = served.new_visit();
  write_file(place / "secret.txt", "the secret");
  const std::string files = "/api/visits/" + id + "/tests/hop-both/files/";
  for (const std::string& target :
       {std::string("/../secret.txt"), std::string("/..%2fsecret.txt"), std::string("/%2e%2e/%2e%2e/secret.txt"),
        files + "../../../secret.txt", files + "..%2f..%2f..%2fsecret.txt", files + "%2e%2e", files + "clip%00.json",
        "/api/visits/" + id + "/../../secret.txt", std::string("/api/visits/../../secret.txt"),
        "/api/visits/" + id + "/screen/..%2f..%2f..%2fsecret.txt", "/api/visits/" + id + "/tests/../files/desk.json",
        std::string("/api/people/..%2f..%2fsecret.txt"), std::string("/api/uploads/../../secret.txt"),
        std::string("/api/words/..%2f..%2fcautions"), std::string("//etc/passwd"),
        std::string("/etc/passwd%00.html")}) {
    const std::string answer = served.raw(head(served, "GET " + target, "Connection: close\r\n"));
    EXPECT_EQ(answer.find("the secret"), std::string::npos) << target;
    EXPECT_EQ(answer.find("root:"), std::string::npos) << target;
    EXPECT_EQ(answer.find("risetrace/desk"), std::string::npos) << target;
    const bool page = answer.starts_with("HTTP/1.1 200") && answer.find("text/html") != std::string::npos;
    EXPECT_TRUE(page || answer.starts_with("HTTP/1.1 40")) << target << "\n" << answer;
  }
}

TEST(ServeHostile, AnotherSiteChangesNothing) {
  const Place place;
  const Served served(place);
  const std::string body = R"({"code":"R-666","date":"2026-03-02"})";
  const auto status = [&](const httplib::Headers& headers, const std::string& type) {
    return served.ask_as(headers, "POST", "/api/visits", body, type).status;
  };
  EXPECT_EQ(status({}, "application/json"), 403);
  EXPECT_EQ(status({{"X-Risetrace", "page"}, {"Origin", "http://evil.example"}}, "application/json"), 403);
  EXPECT_EQ(status({{"X-Risetrace", "page"}, {"Host", "evil.example"}}, "application/json"), 403);
  EXPECT_EQ(status({{"X-Risetrace", "page"}, {"Sec-Fetch-Site", "cross-site"}}, "application/json"), 403);
  EXPECT_EQ(status({{"X-Risetrace", "page"}}, "text/plain"), 415);
  const Answer asked_first = served.ask_as(
      {{"Origin", "http://evil.example"}, {"Access-Control-Request-Method", "POST"}}, "OPTIONS", "/api/visits", "", "");
  EXPECT_NE(asked_first.status, 200);
  for (const auto& [name, value] : asked_first.headers) EXPECT_FALSE(name.starts_with("Access-Control")) << name;
  EXPECT_EQ(served.ask("GET", "/api/visits").json().size(), 0U);
  EXPECT_EQ(served.ask_as({{"Host", "evil.example"}}, "GET", "/api/visits", "", "").status, 403)
      << "a name that was bound to this address";
}

// A form's body may hold the text of a request with every header: it must not be read as one after the form was
// refused.
TEST(ServeHostile, WhatIsLeftOfARefusedRequestIsNoRequest) {
  const Place place;
  const Served served(place);
  const std::string body = R"({"code":"R-666","date":"2026-03-02"})";
  const std::string inner =
      head(served, "POST /api/visits",
           "X-Risetrace: page\r\nContent-Type: application/json\r\nContent-Length: " + std::to_string(body.size()) +
               "\r\n") +
      body;
  for (const std::string& more :
       {"Content-Type: text/plain\r\nContent-Length: " + std::to_string(inner.size()) + "\r\n",
        std::string("Content-Type: text/plain\r\nTransfer-Encoding: chunked\r\n"),
        std::string("Content-Length: 0\r\nContent-Length: ") + std::to_string(inner.size()) + "\r\n",
        std::string("Content-Length: 0x5\r\n")}) {
    const std::string answer = served.raw(head(served, "POST /api/visits", more) + inner);
    EXPECT_EQ(count_of(answer, "HTTP/1.1 "), 1) << more << answer;
  }
  EXPECT_EQ(served.ask("GET", "/api/visits").json().size(), 0U);
}

TEST(ServeHostile, WhatIsTooLargeIsNotTaken) {
  const Place place;
  const Served served(place);
  const std::string wide = "X-Wide: " + std::string(6000, 'w') + "\r\n";
  EXPECT_EQ(count_of(served.raw(head(served, "GET /api/visits", wide + wide + wide + wide + wide)), "HTTP/1.1 200"), 0);
  EXPECT_EQ(count_of(served.raw("GET /" + std::string(200000, 'a')), "HTTP/1.1 200"), 0);
  EXPECT_EQ(count_of(served.raw(std::string(100000, '\0')), "HTTP/1.1 200"), 0);
  EXPECT_EQ(served.ask("POST", "/api/visits", {{"code", std::string(2000000, 'x')}}).status, 413);
  EXPECT_EQ(served.ask("POST", "/api/visits", json::array({1})).status, 400);
  EXPECT_EQ(served.ask("POST", "/api/visits", {{"code", 5}, {"date", "2026-03-02"}}).status, 400);
}

TEST(ServeHostile, JsonThatIsNestedDeepIsRefusedByEveryAddress) {
  const Place place;
  const Served served(place);
  const std::string visit = "/api/visits/" + served.new_visit();
  const std::string test = visit + "/tests/hop-both";
  const std::string open(450000, '[');
  const std::string deep = open + std::string(450000, ']');
  const auto status = [&](const std::string& method, const std::string& path, const std::string& body) {
    return served.ask_as(Served::page(), method, path, body, "application/json").status;
  };
  EXPECT_EQ(status("PATCH", visit, R"({"revision":1,"session":{"cautions":{"x":)" + deep + "}}}"), 400);
  EXPECT_EQ(status("POST", test + "/measure", R"({"options":{"card":)" + deep + "}}"), 400);
  EXPECT_EQ(status("POST", test + "/upload", R"({"name":"a.mp4","size":5,"modified":)" + deep + "}"), 400);
  for (const char* path : {"/upload", "/live", "/recount", "/measure"}) {
    EXPECT_EQ(status("POST", test + path, deep), 400) << path;
    EXPECT_EQ(status("POST", test + path, R"({"settings":)" + deep + "}"), 400) << path;
    EXPECT_EQ(status("POST", test + path, open), 400) << path;
  }
  EXPECT_EQ(status("PUT", test + "/corrections", deep), 400);
  for (const std::string& path :
       {std::string("/api/visits"), visit + "/screen", visit + "/keep", std::string("/api/people/R-017/export"),
        std::string("/api/people/R-017/erase"), std::string("/api/enter")}) {
    EXPECT_EQ(status("POST", path, deep), 400) << path;
    EXPECT_EQ(status("POST", path, R"({"code":)" + deep + "}"), 400) << path;
  }
  EXPECT_EQ(served.ask("GET", visit).status, 200) << "it is still there";
}

TEST(ServeHostile, AFieldOfAnotherKindDoesNotReachTheWorkers) {
  const Place place;
  const Served served(place);
  const std::string visit = "/api/visits/" + served.new_visit();
  const json tests = json::array({{{"test", "hop"}, {"side", "both"}, {"keep_clip", "yes"}}});
  EXPECT_EQ(served.ask("PATCH", visit, {{"revision", 1}, {"session", {{"tests", tests}}}}).status, 400);
  EXPECT_EQ(served.ask("GET", visit).status, 200);
}

TEST(ServeHostile, SlowClientsHoldNobodyUp) {
  const Place place;
  const Served served(place);
  std::vector<int> slow;
  for (int i = 0; i < 60; ++i) {
    slow.push_back(served.connect());
    EXPECT_GT(::write(slow.back(), "GET / HT", 8), 0);
  }
  const auto began = std::chrono::steady_clock::now();
  EXPECT_EQ(served.ask("GET", "/api/visits").status, 200);
  EXPECT_LT(std::chrono::steady_clock::now() - began, std::chrono::seconds(5));
  std::string answer = "?";
  answer = served.raw("GET /api/vis", 14);  // and nothing more
  EXPECT_EQ(answer.find("200"), std::string::npos);
  EXPECT_LT(std::chrono::steady_clock::now() - began, std::chrono::seconds(14)) << "it is cut after ten seconds";
  for (const int socket : slow) ::close(socket);
}

// Nobody's connection, as a child of root can make one.
TEST(ServeHostile, OtherUsersOfTheComputerDoNotComeIn) {
  if (::getuid() != 0) GTEST_SKIP() << "only root can take another user's place";
  const Place place;
  const Served served(place, {{}, 0, 1234});
  EXPECT_EQ(served.ask("GET", "/api/visits").status, 200) << "root does";
  const pid_t child = ::fork();
  if (child == 0) {
    if (::setuid(65534) != 0) ::_exit(3);
    const std::string answer = served.raw(head(served, "GET /api/visits", "Connection: close\r\n"));
    ::_exit(answer.find("200") == std::string::npos ? 0 : 1);
  }
  int state = 0;
  ::waitpid(child, &state, 0);
  EXPECT_TRUE(WIFEXITED(state));
  EXPECT_EQ(WEXITSTATUS(state), 0);
}

// What was sent lies there when the sender has gone already, and nobody is told whose it was.
TEST(ServeHostile, OtherUsersWhoSendAndGoChangeNothing) {
  if (::getuid() != 0) GTEST_SKIP() << "only root can take another user's place";
  const Place place;
  const Served served(place, {{}, 0, 1234});
  const std::string body = R"({"code":"R-666","date":"2026-03-02"})";
  const std::string request =
      head(served, "POST /api/visits",
           "X-Risetrace: page\r\nContent-Type: application/json\r\nContent-Length: " + std::to_string(body.size()) +
               "\r\n") +
      body;
  const pid_t child = ::fork();
  if (child == 0) {
    if (::setuid(65534) != 0) ::_exit(3);
    for (int i = 0; i < 60; ++i) {
      const int socket = served.connect();
      const linger at_once{1, 0};
      if (i % 2 == 0) ::setsockopt(socket, SOL_SOCKET, SO_LINGER, &at_once, sizeof at_once);
      if (::write(socket, request.data(), request.size()) < 0) ::_exit(4);
      ::close(socket);
    }
    ::_exit(0);
  }
  int state = 0;
  ::waitpid(child, &state, 0);
  EXPECT_EQ(state, 0);
  std::this_thread::sleep_for(std::chrono::milliseconds(300));
  EXPECT_EQ(served.ask("GET", "/api/visits").json().size(), 0U);
  EXPECT_EQ(served.new_visit().size(), 32U) << "root still comes in";
}

class ServeLan : public ::testing::Test {
 protected:
  static httplib::Headers with(const std::string& name, const std::string& value) {
    return {{"X-Risetrace", "page"}, {name, value}};
  }
  // Comes in with the code that is shown.
  std::string enter() {
    const Answer in = served_.ask("POST", "/api/enter", {{"code", served_.last_code()}});
    EXPECT_EQ(in.status, 204) << in.body;
    const auto cookie = in.headers.find("Set-Cookie");
    if (cookie == in.headers.end()) return "";
    for (const char* word : {"Secure", "HttpOnly", "SameSite=Strict"})
      EXPECT_NE(cookie->second.find(word), std::string::npos);
    return cookie->second.substr(0, cookie->second.find(';'));
  }
  Answer ask(const httplib::Headers& headers, const std::string& method, const std::string& path,
             const json& body = nullptr) {
    return served_.ask_as(headers, method, path, body.is_null() ? "" : body.dump(), "application/json");
  }
  Place place_;
  Served served_{place_, {{"--lan"}, 0}};
};

TEST_F(ServeLan, WithoutTheCodeThereIsNothing) {
  for (const char* path :
       {"/api/visits", "/api/people", "/api/events", "/api/cautions", "/api/people/R-017", "/api/phone"}) {
    const Answer answer = served_.ask("GET", path);
    EXPECT_EQ(answer.status, 401) << path;
    EXPECT_EQ(answer.json()["error"]["code"], "enter") << path;
  }
  EXPECT_EQ(served_.ask("POST", "/api/visits", {{"code", "R-1"}, {"date", "2026-03-02"}}).status, 401);
  EXPECT_EQ(served_.ask("GET", "/").status, 200) << "the page itself holds nothing of anybody";
  EXPECT_EQ(served_.ask("GET", "/api/about").json()["entered"], false);
  EXPECT_NE(served_.said().find("certificate SHA-256"), std::string::npos);
  EXPECT_EQ(served_.raw("GET /api/visits HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n", 2).find("HTTP/1.1 200"),
            std::string::npos)
      << "not without TLS";
}

TEST_F(ServeLan, WrongCodesSlowDownAndTheCodeLetsInOnce) {
  const std::string code = served_.last_code();
  const std::string wrong = code == "00000000" ? "00000001" : "00000000";
  EXPECT_EQ(served_.ask("POST", "/api/enter", {{"code", wrong}}).status, 429);
  EXPECT_EQ(served_.ask("POST", "/api/enter", {{"code", code}}).status, 429) << "too soon";
  std::this_thread::sleep_for(std::chrono::milliseconds(1100));
  const std::string cookie = enter();
  EXPECT_EQ(ask(with("Cookie", cookie), "GET", "/api/visits").status, 200);
  EXPECT_EQ(ask(with("Cookie", cookie + "0"), "GET", "/api/visits").status, 401);
  EXPECT_EQ(served_.ask("POST", "/api/enter", {{"code", code}}).status, 429) << "used up";
  EXPECT_NE(served_.last_code(), code);
  EXPECT_EQ(ask(with("Cookie", cookie), "POST", "/api/leave").status, 204);
  EXPECT_EQ(ask(with("Cookie", cookie), "GET", "/api/visits").status, 401);
}

TEST_F(ServeLan, ATicketLetsOneClipInAndNothingElse) {
  const httplib::Headers page = with("Cookie", enter());
  const std::string id = ask(page, "POST", "/api/visits", {{"code", "R-1"}, {"date", "2026-03-02"}}).json()["id"];
  const json made = ask(page, "POST", "/api/visits/" + id + "/tests/hop-both/phone").json();
  const std::string url = made["url"];
  ASSERT_NE(url.find("/phone#"), std::string::npos);
  EXPECT_EQ(made["qr"]["rows"].size(), made["qr"]["size"]);
  const httplib::Headers phone = with("X-Ticket", url.substr(url.find('#') + 1));

  EXPECT_EQ(ask(phone, "GET", "/api/visits").status, 401);
  EXPECT_EQ(ask(phone, "GET", "/api/visits/" + id).status, 401);
  const json shown = ask(phone, "GET", "/api/phone").json();
  EXPECT_EQ(shown["slot"], "hop-both");
  EXPECT_EQ(shown.dump().find("R-1"), std::string::npos) << "nothing of the person";

  const std::string bytes(5000, 'x');
  const json begun = ask(phone, "POST", "/api/phone/upload", {{"name", "a.mp4"}, {"size", bytes.size()}}).json();
  const std::string target = "/api/uploads/" + begun["upload"].get<std::string>();
  EXPECT_EQ(ask(phone, "POST", "/api/phone/upload", {{"name", "b.mp4"}, {"size", 7}}).status, 409) << "another file";
  const auto put = [&](const httplib::Headers& headers, std::size_t from, std::size_t count) {
    return served_.put(target + "?offset=" + std::to_string(from), bytes.substr(from, count), headers).status;
  };
  EXPECT_EQ(put(Served::page(), 0, 3000), 401) << "without the ticket";
  EXPECT_EQ(put(phone, 0, 3000), 200);
  EXPECT_EQ(ask(phone, "POST", "/api/phone/upload", {{"name", "a.mp4"}, {"size", bytes.size()}}).json()["offset"], 3000)
      << "it goes on";
  EXPECT_EQ(put(phone, 3000, 2000), 200);
  EXPECT_EQ(ask(phone, "POST", "/api/phone/upload", {{"name", "a.mp4"}, {"size", bytes.size()}}).status, 401)
      << "used up";
  EXPECT_EQ(ask(with("X-Ticket", "0123456789abcdef0123456789abcdef"), "GET", "/api/phone").status, 401);
}

}  // namespace
}  // namespace risetrace::test
