// The library's server with connections of our own (connection.h): as many threads as there are clients, up to a limit,
// and nothing that is left of one request is taken for the next.
#pragma once

#include <httplib.h>

#include <atomic>
#include <condition_variable>
#include <mutex>
#include <set>

#include "serve/connection.h"

namespace risetrace::serve {

class HttpServer : public httplib::Server {
 public:
  // `context`: of TLS, outlives the server; null: plain HTTP.
  explicit HttpServer(SSL_CTX* context, const ConnectionLimits& limits = {}, int most_connections = 96);
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;
  ~HttpServer() override = default;

  // Ends listen_after_bind(): no new connections, the open ones are cut.
  void end();

 private:
  bool process_and_close_socket(socket_t socket) override;
  void serve_connection(Connection& connection);
  void turn_away(socket_t socket) const;

  SSL_CTX* context_;
  ConnectionLimits limits_;
  std::mutex mutex_;
  std::set<int> open_;
  bool ending_ = false;
};

}  // namespace risetrace::serve
