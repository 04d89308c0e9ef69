#include "serve/guard.h"

#include <algorithm>
#include <array>

#include "serve/whole_number.h"

namespace risetrace::serve {
namespace {

Refusal not_ours(const std::string& why) {
  return {403, "not-from-the-page", "the request did not come from this page", why,
          "open the address that risetrace serve printed"};
}

std::optional<Refusal> wrong_body(const Guard& guard, const Asked& asked) {
  if (!asked.transfer_encoding.empty() || asked.content_lengths != 1 || !whole_number(asked.content_length)) {
    return Refusal{411, "no-length", "the request's length is not said", "one Content-Length is needed", "send it so"};
  }
  if (!asked.content_encoding.empty()) {
    return Refusal{415, "packed-body", "a packed body is not taken", "Content-Encoding is " + asked.content_encoding,
                   "send it unpacked"};
  }
  const std::uint64_t bytes = *whole_number(asked.content_length);
  const bool raw = is_raw(asked.method, asked.path);
  if (bytes > (raw ? guard.most_raw_bytes : guard.most_json_bytes)) {
    return Refusal{413, "too-large", "what was sent is too large", std::to_string(bytes) + " bytes", "send less"};
  }
  std::string type = asked.content_type.substr(0, asked.content_type.find(';'));
  while (!type.empty() && type.back() == ' ') type.pop_back();
  if (bytes > 0 && type != (raw ? "application/octet-stream" : "application/json")) {
    return Refusal{415, "wrong-content-type", "what was sent is of the wrong kind",
                   "Content-Type is not " + std::string(raw ? "application/octet-stream" : "application/json"),
                   "send it with that header"};
  }
  return std::nullopt;
}

}  // namespace

const char* const content_security_policy =
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; media-src 'self' blob:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

bool changes_something(const std::string& method) { return method != "GET" && method != "HEAD"; }

bool is_raw(const std::string& method, const std::string& path) {
  return method == "PUT" && (path.starts_with("/api/uploads/") || path.starts_with("/api/live/"));
}

std::optional<Refusal> why_not(const Guard& guard, const Asked& asked) {
  static constexpr std::array methods = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"};
  if (std::find(methods.begin(), methods.end(), asked.method) == methods.end()) {
    return Refusal{405, "no-such-method", "that is not done here", "the method is not known", "ask otherwise"};
  }
  if (asked.hosts != 1 || !guard.is_ours(asked.host)) return not_ours("its Host is not this computer's address");
  if (!asked.origin.empty() && asked.origin != (guard.tls ? "https://" : "http://") + asked.host) {
    return not_ours("its Origin is another site");
  }
  const bool api = asked.path.starts_with("/api/");
  if (api && (asked.fetch_site == "cross-site" || asked.fetch_site == "same-site")) {
    return not_ours("a page of another site sent it");
  }
  if (!changes_something(asked.method)) return std::nullopt;
  if (asked.page_header != "page") return not_ours("it lacks the header X-Risetrace: page");
  return wrong_body(guard, asked);
}

}  // namespace risetrace::serve
