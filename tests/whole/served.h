// `risetrace serve` as it is run, and a page that talks to it.
#pragma once

#include <httplib.h>
#include <sys/types.h>

#include <cstdint>
#include <functional>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "whole/run.h"

namespace risetrace::test {

struct ServedOptions {
  Words more;
  std::uint64_t most_file_bytes = 0;  // RLIMIT_FSIZE of the server; 0: none
  unsigned user = 0;                  // to run as, where the test is root's; 0: as the test
  bool children_ignored = false;      // started with SIGCHLD ignored
};

struct Answer {
  int status = 0;  // 0: the connection broke
  std::string body;
  httplib::Headers headers;
  [[nodiscard]] nlohmann::json json() const { return nlohmann::json::parse(body, nullptr, false); }
};

class Served {
 public:
  explicit Served(const Place& place, const ServedOptions& options = {});
  Served(const Served&) = delete;
  Served& operator=(const Served&) = delete;
  ~Served();

  [[nodiscard]] int port() const { return port_; }
  [[nodiscard]] pid_t process() const { return process_; }
  [[nodiscard]] std::string said() const;
  [[nodiscard]] std::string last_code() const;  // with --lan
  int end(int signal);                          // its exit status; 128 + N where signal N ended it

  // As the page sends it; `headers` come instead of the page's own.
  Answer ask(const std::string& method, const std::string& path, const nlohmann::json& body = nullptr) const;
  Answer ask_as(const httplib::Headers& headers, const std::string& method, const std::string& path,
                const std::string& body, const std::string& type) const;
  Answer put(const std::string& path, const std::string& bytes, const httplib::Headers& headers = page()) const;
  static httplib::Headers page() { return {{"X-Risetrace", "page"}}; }
  // Sent as it is over a plain connection; all that comes back until the end, or `longest_s` have passed.
  std::string raw(const std::string& bytes, double longest_s = 5) const;
  int connect() const;  // a socket

  std::string new_visit(const std::string& code = "R-017") const;
  [[nodiscard]] nlohmann::json visit(const std::string& id) const { return ask("GET", "/api/visits/" + id).json(); }
  void upload(const std::string& id, const std::string& slot, const std::string& name, const std::string& bytes) const;
  // Asked until it is so; a failure is the test's.
  nlohmann::json wait_for(const std::string& id, const std::function<bool(const nlohmann::json&)>& is_so,
                          double longest_s = 60) const;
  nlohmann::json wait_for_state(const std::string& id, const std::string& slot, const std::string& state) const;

 private:
  [[nodiscard]] std::unique_ptr<httplib::Client> client() const;
  std::string out_;
  bool tls_ = false;
  int port_ = 0;
  pid_t process_ = -1;
};

}  // namespace risetrace::test
