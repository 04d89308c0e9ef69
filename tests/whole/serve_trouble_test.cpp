// `risetrace serve` where two are at one test, where it ends in between, and where strangers are many.
#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <fstream>
#include <thread>
#include <vector>

#include "whole/served.h"

namespace risetrace::test {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

const std::string slot = "hop-both";

std::string test_path(const std::string& id) { return "/api/visits/" + id + "/tests/" + slot; }

json begun(const Served& served, const std::string& id, const std::string& name, std::size_t size) {
  const Answer answer = served.ask("POST", test_path(id) + "/upload", {{"name", name}, {"size", size}});
  EXPECT_EQ(answer.status, 200) << answer.body;
  return answer.json();
}

std::string target(const json& upload, std::size_t offset) {
  return "/api/uploads/" + upload["upload"].get<std::string>() + "?offset=" + std::to_string(offset);
}

TEST(ServeTrouble, TwoTabsThatSendTwoFilesDoNotMixThem) {
  const Place place;
  const Served served(place);
  const std::string id = served.new_visit();
  const json a = begun(served, id, "a.mp4", 3000);
  const int sending = served.connect();  // the last piece of a, which does not end
  const std::string piece = "PUT " + target(a, 0) + " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(served.port()) +
                            "\r\nX-Risetrace: page\r\nContent-Type: application/octet-stream\r\n"
                            "Content-Length: 3000\r\n\r\n" +
                            std::string(1000, 'a');
  ASSERT_GT(::write(sending, piece.data(), piece.size()), 0);
  while (served.ask("GET", "/api/uploads/" + a["upload"].get<std::string>()).json()["offset"] != 1000) {
  }
  const Answer busy = served.ask("POST", test_path(id) + "/upload", {{"name", "b.mp4"}, {"size", 2000}});
  EXPECT_EQ(busy.status, 409);
  EXPECT_EQ(busy.json()["error"]["code"], "upload-busy");
  ::close(sending);
  const json b = begun(served, id, "b.mp4", 2000);
  EXPECT_EQ(served.put(target(b, 0), std::string(1500, 'b')).status, 200);
  EXPECT_EQ(served.put(target(a, 1000), std::string(2000, 'a')).status, 404) << "b has taken its place";
  EXPECT_EQ(served.put(target(b, 1500), std::string(500, 'b')).status, 200);
  EXPECT_EQ(served.wait_for_state(id, slot, "failed")["clip_name"], "b.mp4");
  EXPECT_EQ(served.ask("GET", test_path(id) + "/files/clip").body, std::string(2000, 'b'));
}

TEST(ServeTrouble, AnUploadThatWasWholeWhenItEndedIsMeasured) {
  const Place place;
  std::string id;
  json upload;
  {
    Served served(place);
    id = served.new_visit();
    upload = begun(served, id, "a.mp4", 3000);
    EXPECT_EQ(served.put(target(upload, 0), std::string(2000, 'a')).status, 200);
    served.end(SIGKILL);
  }
  std::ofstream(place.path() / "open-visits" / id / slot / ("upload-" + upload["upload"].get<std::string>() + ".part"),
                std::ios::app)
      << std::string(1000, 'a');
  const Served served(place);
  served.wait_for_state(id, slot, "failed");
  EXPECT_EQ(served.ask("GET", test_path(id) + "/files/clip").body, std::string(3000, 'a'));
}

TEST(ServeTrouble, WhoWasNeverKeptIsErasedToo) {
  const Place place;
  const Served served(place);
  const std::string id = served.new_visit("R-7");
  served.upload(id, slot, "a.mp4", "no clip");
  served.new_visit("R-8");
  const Answer erased = served.ask("POST", "/api/people/R-7/erase", {{"code", "R-7"}});
  EXPECT_EQ(erased.status, 200) << erased.body;
  EXPECT_EQ(erased.json()["open_visits"], 1);
  EXPECT_EQ(served.ask("GET", "/api/visits").json().size(), 1U);
  EXPECT_FALSE(fs::exists(place.path() / "open-visits" / id));
  EXPECT_FALSE(fs::exists(place.path() / "open-visits" / ("gone-" + id)));
  EXPECT_EQ(served.ask("POST", "/api/people/R-9/erase", {{"code", "R-9"}}).status, 404);
}

// Another computer's connections, as they come from another address of this one.
TEST(ServeTrouble, AStrangersConnectionsShutNobodyOut) {
  const Place place;
  const Served served(place, {{"--lan"}, 0});
  sockaddr_in from{};
  from.sin_family = AF_INET;
  sockaddr_in to = from;
  to.sin_port = htons(static_cast<std::uint16_t>(served.port()));
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  std::vector<int> silent;
  for (unsigned i = 0; i < 150; ++i) {
    const int socket = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    from.sin_addr.s_addr = htonl(INADDR_LOOPBACK + 1 + i % 5);
    ASSERT_EQ(::bind(socket, reinterpret_cast<const sockaddr*>(&from), sizeof from), 0);  // NOLINT
    ASSERT_EQ(::connect(socket, reinterpret_cast<const sockaddr*>(&to), sizeof to), 0);   // NOLINT
    silent.push_back(socket);
  }
  std::this_thread::sleep_for(std::chrono::milliseconds(300));
  const auto began = std::chrono::steady_clock::now();
  EXPECT_EQ(served.ask("GET", "/api/about").status, 200);
  EXPECT_LT(std::chrono::steady_clock::now() - began, std::chrono::seconds(4)) << "they are cut after five";
  for (const int socket : silent) ::close(socket);
}

}  // namespace
}  // namespace risetrace::test
