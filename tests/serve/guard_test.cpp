// Which requests are let pass.
#include "serve/guard.h"

#include <gtest/gtest.h>

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

}  // namespace
}  // namespace risetrace::serve
