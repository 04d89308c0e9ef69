// The library's server with connections of our own (connection.h): as many threads as there are clients, up to a limit,
// and nothing that is left of one request is taken for the next.
#pragma once

#include <httplib.h>

#include <atomic>
#include <condition_variable>
#include <map>
#include <mutex>
#include <set>
#include <string>

#include "serve/connection.h"

namespace risetrace::serve {

class HttpServer : public httplib::Server {
 public:
  // `context`: of TLS, outlives the server; null: plain HTTP, and then for this computer's same user (and root) alone.
  explicit HttpServer(SSL_CTX* context, const ConnectionLimits& limits = {}, int most_connections = most_at_once);
  static constexpr int most_at_once = 96;
  // Of those, so many at most from other computers, and from one of them: nobody there can shut this one out.
  static constexpr int most_strangers = 80;
  static constexpr int most_of_one_stranger = 24;
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;
  ~HttpServer() override = default;

  // After binding: lets more clients wait for their turn than the library's five.
  void widen_queue();
  // Ends listen_after_bind(): no new connections, the open ones are cut.
  void end();

 private:
  bool process_and_close_socket(socket_t socket) override;
  void serve_connection(Connection& connection);
  void turn_away(socket_t socket) const;

  SSL_CTX* context_;
  ConnectionLimits limits_;
  std::mutex mutex_;
  bool let_in(socket_t socket, const std::string& from);
  void let_go(socket_t socket, const std::string& from);

  std::set<int> open_;
  std::map<std::string, int> strangers_;  // connections by address, of other computers
  bool ending_ = false;
};

}  // namespace risetrace::serve
