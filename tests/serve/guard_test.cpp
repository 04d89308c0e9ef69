// Which requests are let pass.
#include "serve/guard.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <array>
#include <cctype>
#include <nlohmann/json.hpp>

#include "serve/addresses.h"
#include "serve/peer_user.h"
#include "serve/read_json.h"

namespace risetrace::serve {
namespace {

Guard guard(bool tls = false) {
  Guard one;
  one.tls = tls;
  one.is_ours = [](const std::string& host) { return host == "127.0.0.1:8737" || host == "localhost:8737"; };
  return one;
}

Asked looking() {
  Asked asked;
  asked.method = "GET";
  asked.path = "/api/visits";
  asked.host = "127.0.0.1:8737";
  return asked;
}

Asked changing() {
  Asked asked = looking();
  asked.method = "POST";
  asked.page_header = "page";
  asked.content_type = "application/json";
  asked.content_length = "12";
  asked.content_lengths = 1;
  asked.origin = "http://127.0.0.1:8737";
  asked.fetch_site = "same-origin";
  return asked;
}

int status(const Asked& asked, const Guard& by = guard()) {
  const auto refusal = why_not(by, asked);
  return refusal ? refusal->status : 200;
}

template <typename Change>
int status_with(Asked asked, Change change, const Guard& by = guard()) {
  change(asked);
  return status(asked, by);
}

TEST(Guard, ThePagesOwnRequestsPass) {
  EXPECT_EQ(status(looking()), 200);
  EXPECT_EQ(status(changing()), 200);
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.content_type = "application/json; charset=utf-8"; }), 200);
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.content_type.clear(), a.content_length = "0"; }), 200);
}

TEST(Guard, ANameThatIsNotOursIsRefused) {
  for (const char* host :
       {"evil.example", "evil.example:8737", "127.0.0.1", "127.0.0.1:80", "", "127.0.0.1:8737.evil.example"}) {
    EXPECT_EQ(status_with(looking(), [&](Asked& a) { a.host = host; }), 403) << host;
  }
  EXPECT_EQ(status_with(looking(), [](Asked& a) { a.hosts = 2; }), 403);
  EXPECT_EQ(status_with(looking(), [](Asked& a) { a.hosts = 0; }), 403);
}

TEST(Guard, AnotherSitesOriginIsRefusedEvenToLook) {
  for (const char* origin :
       {"http://evil.example", "null", "https://127.0.0.1:8737", "http://localhost:8737", "http://127.0.0.1:81"}) {
    EXPECT_EQ(status_with(looking(), [&](Asked& a) { a.origin = origin; }), 403) << origin;
    EXPECT_EQ(status_with(changing(), [&](Asked& a) { a.origin = origin; }), 403) << origin;
  }
  EXPECT_EQ(status_with(looking(), [](Asked& a) { a.fetch_site = "cross-site"; }), 403);
}

TEST(Guard, WithTlsTheOriginIsHttps) {
  EXPECT_EQ(status_with(
                changing(), [](Asked& a) { a.origin = "https://127.0.0.1:8737"; }, guard(true)),
            200);
  EXPECT_EQ(status(changing(), guard(true)), 403);
}

TEST(Guard, AFormOfAnotherSiteCannotChangeAnything) {
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.page_header.clear(); }), 403);
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.page_header = "other"; }), 403);
  for (const char* type :
       {"text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "", "application/jsonp"}) {
    EXPECT_EQ(status_with(changing(), [&](Asked& a) { a.content_type = type; }), 415) << type;
  }
}

TEST(Guard, ALengthIsSaidAndHasALimit) {
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.transfer_encoding = "chunked"; }), 411);
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.content_lengths = 2; }), 411);
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.content_length = "-1"; }), 411);
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.content_length = "99999999999999999999"; }), 411);
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.content_length = "1048577"; }), 413);
  EXPECT_EQ(status_with(changing(), [](Asked& a) { a.content_encoding = "gzip"; }), 415);
  const auto raw = [](Asked& a) {
    a.method = "PUT";
    a.path = "/api/uploads/x";
    a.content_type = "application/octet-stream";
    a.content_length = "5000000000";
  };
  EXPECT_EQ(status_with(changing(), raw), 200);
  EXPECT_EQ(status_with(changing(), [&](Asked& a) { raw(a), a.content_length = "9000000000"; }), 413);
}

TEST(Guard, OtherMethodsAreNotDone) {
  for (const char* method : {"OPTIONS", "TRACE", "CONNECT", "PRI", "get", ""}) {
    EXPECT_EQ(status_with(looking(), [&](Asked& a) { a.method = method; }), 405) << method;
  }
}

TEST(PeerUser, ALineTellsOnlyWhileTheConnectionIsHeldOpen) {
  const std::string heads =
      "  sl  local_address rem_address   st tx_queue rx_queue tr tm->when retrnsmt   uid  timeout inode\n";
  const auto line = [](const std::string& ends, const std::string& state, int user, int inode) {
    return "   0: " + ends + " " + state + " 00000000:00000000 00:00000000 00000000 " + std::to_string(user) + " 0 " +
           std::to_string(inode) + " 1 0000000000000000 20 4 30 10 -1\n";
  };
  const std::string listens = line("0100007F:2221 00000000:0000", "0A", 1000, 77);
  const std::string ours = line("0100007F:2221 0100007F:A1B2", "01", 1000, 78);
  const std::string peer = "0100007F:A1B2 0100007F:2221";
  const auto found = [&](const std::string& lines) {
    return peer_in_table(heads + lines, "0100007F:A1B2", "0100007F:2221");
  };
  EXPECT_EQ(found(listens + ours + line(peer, "01", 1234, 79)).is, PeerIs::of_user);
  EXPECT_EQ(found(listens + ours + line(peer, "01", 1234, 79)).user, 1234U);
  EXPECT_EQ(found(line(peer, "05", 0, 79)).is, PeerIs::of_user) << "it has sent its last and waits for the answer";
  EXPECT_EQ(found(listens + ours + line(peer, "05", 0, 0)).is, PeerIs::nobodys) << "closed: root's number is nobody's";
  EXPECT_EQ(found(listens + line(peer, "06", 0, 0)).is, PeerIs::nobodys);
  EXPECT_EQ(found(listens + ours).is, PeerIs::nobodys);
  EXPECT_EQ(found(listens).is, PeerIs::nobodys) << "reset";
  EXPECT_EQ(found("").is, PeerIs::not_told);
  EXPECT_EQ(found("rubbish\n1 2 3\n").is, PeerIs::not_told);
}

TEST(ReadJson, NothingNestedDeepIsRead) {
  const auto nested = [](int depth) {
    return std::string(static_cast<std::size_t>(depth), '[') + std::string(static_cast<std::size_t>(depth), ']');
  };
  EXPECT_FALSE(read_json(nested(deepest_json)).is_discarded());
  EXPECT_TRUE(read_json(nested(deepest_json + 1)).is_discarded());
  EXPECT_TRUE(read_json(R"({"a":"\"","b":)" + nested(500000) + "}").is_discarded());
  EXPECT_EQ(read_json(R"({"a":"\\\"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[["})")["a"].get<std::string>().size(), 40U);
  std::string wide = "[0";
  for (int i = 0; i < 1000; ++i) wide += ",[[]]";
  EXPECT_FALSE(read_json(wide + "]").is_discarded());
}

TEST(OwnHost, IsWrittenAsBrowsersWriteIt) {
  EXPECT_TRUE(is_own_host("127.0.0.1:8737", 8737, false));
  EXPECT_TRUE(is_own_host("LocalHost:8737", 8737, false));
  EXPECT_TRUE(is_own_host("localhost", 80, false)) << "the scheme's own port is left out";
  EXPECT_TRUE(is_own_host("localhost:80", 80, false));
  EXPECT_TRUE(is_own_host("127.0.0.1", 443, true));
  EXPECT_FALSE(is_own_host("127.0.0.1", 80, true));
  EXPECT_FALSE(is_own_host("127.0.0.1", 8737, false));
  EXPECT_FALSE(is_own_host("evil.example", 80, false));
  std::array<char, 256> own{};
  ASSERT_EQ(::gethostname(own.data(), own.size() - 1), 0);
  std::string name = own.data();
  for (char& c : name) c = static_cast<char>(std::toupper(c));
  EXPECT_TRUE(is_own_host(name + ".LOCAL:8737", 8737, true));
  EXPECT_FALSE(is_own_host(name + ":8737", 8737, false));
}

}  // namespace
}  // namespace risetrace::serve
