// Which requests are looked at at all. A page of another site in the same browser can send requests here; it can read
// no answer, and what it can send is refused.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "serve/refusal.h"

namespace risetrace::serve {

// Of a request, as it came; empty: not sent.
struct Asked {
  std::string method;
  std::string path;
  std::string host;
  int hosts = 1;  // how many Host headers
  std::string origin;
  std::string fetch_site;   // Sec-Fetch-Site, which browsers set themselves
  std::string page_header;  // X-Risetrace
  std::string content_type;
  std::string content_encoding;
  std::string transfer_encoding;
  std::string content_length;
  int content_lengths = 0;
};

struct Guard {
  bool tls = false;
  // "127.0.0.1:8737" is ours? With names and addresses as they are at that moment.
  std::function<bool(const std::string& host)> is_ours;
  std::uint64_t most_json_bytes = std::uint64_t{1} << 20U;
  std::uint64_t most_raw_bytes = std::uint64_t{8} << 30U;
};

// Empty: let it pass.
std::optional<Refusal> why_not(const Guard& guard, const Asked& asked);

bool changes_something(const std::string& method);
// PUT of raw bytes: an upload's or a live recording's.
bool is_raw(const std::string& method, const std::string& path);

// Sent with every answer.
extern const char* const content_security_policy;

}  // namespace risetrace::serve
