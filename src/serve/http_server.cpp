#include "serve/http_server.h"

#include <fcntl.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <optional>
#include <system_error>
#include <thread>

#include "serve/peer_user.h"
#include "serve/whole_number.h"

namespace risetrace::serve {
namespace {

// True in a task that is one too many: it only says so.
thread_local bool one_too_many = false;

// A thread a connection: many of them do nothing but wait for events or for a phone's next bytes.
class ConnectionThreads : public httplib::TaskQueue {
 public:
  explicit ConnectionThreads(int most) : most_(most) {}

  void enqueue(std::function<void()> task) override {
    {
      const std::lock_guard lock(mutex_);
      if (running_ < most_ && begin(task)) return;
    }
    one_too_many = true;
    task();
    one_too_many = false;
  }

  void shutdown() override {
    std::unique_lock lock(mutex_);
    none_.wait(lock, [&] { return running_ == 0; });
  }

 private:
  // False where the system gives no more threads.
  bool begin(const std::function<void()>& task) {
    try {
      std::thread([this, task] {
        task();
        const std::lock_guard done(mutex_);
        --running_;
        none_.notify_all();
      }).detach();
    } catch (const std::system_error&) {
      return false;
    }
    ++running_;
    return true;
  }

  int most_;
  int running_ = 0;
  std::mutex mutex_;
  std::condition_variable none_;
};

// What a body is said to have; empty where it is not said as it must be.
std::optional<std::uint64_t> said_length(const httplib::Request& request) {
  if (request.has_header("Transfer-Encoding") || request.get_header_value_count("Content-Length") != 1) return {};
  return whole_number(request.get_header_value("Content-Length"));
}

// The address of another computer; empty: this one, which reaches itself from the address that it asks.
std::string stranger_at(const Connection& connection) {
  std::string peer;
  std::string own;
  int port = 0;
  connection.get_remote_ip_and_port(peer, port);
  connection.get_local_ip_and_port(own, port);
  return peer == own ? "" : peer;
}

}  // namespace

HttpServer::HttpServer(SSL_CTX* context, const ConnectionLimits& limits, int most_connections)
    : context_(context), limits_(limits) {
  new_task_queue = [most_connections] { return new ConnectionThreads(most_connections); };  // NOLINT: it is owned there
  set_tcp_nodelay(true);
  // The library would let another program listen at the same port beside us.
  set_socket_options([](socket_t socket) {
    const int yes = 1;
    ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    ::fcntl(socket, F_SETFD, FD_CLOEXEC);
  });
}

void HttpServer::widen_queue() { ::listen(svr_sock_, 128); }

void HttpServer::end() {
  {
    const std::lock_guard lock(mutex_);
    ending_ = true;
    for (const int socket : open_) ::shutdown(socket, SHUT_RDWR);
  }
  stop();
}

void HttpServer::turn_away(socket_t socket) const {
  static constexpr char answer[] =
      "HTTP/1.1 503 Service Unavailable\r\nRetry-After: 2\r\nContent-Length: 0\r\nConnection: close\r\n\r\n";
  if (context_ == nullptr) ::send(socket, answer, sizeof answer - 1, MSG_DONTWAIT | MSG_NOSIGNAL);
  ::shutdown(socket, SHUT_WR);
  ::close(socket);
}

bool HttpServer::process_and_close_socket(socket_t socket) {
  if (one_too_many) {
    turn_away(socket);
    return false;
  }
  if (context_ == nullptr) {  // nobody types a code: other users of this computer are not to come in
    const Peer peer = peer_of(socket);
    const bool ours = peer.is == PeerIs::of_user && (peer.user == ::getuid() || peer.user == 0);
    if (!ours && peer.is != PeerIs::not_told) {
      ::close(socket);
      return false;
    }
  }
  const unsigned gone_after_ms = 30'000;  // a tablet that left the network says no goodbye
  ::setsockopt(socket, IPPROTO_TCP, TCP_USER_TIMEOUT, &gone_after_ms, sizeof gone_after_ms);
  ::fcntl(socket, F_SETFD, FD_CLOEXEC);
  ::fcntl(socket, F_SETFL, ::fcntl(socket, F_GETFL) | O_NONBLOCK);
  Connection connection(socket, context_, limits_);
  const std::string from = stranger_at(connection);
  if (!let_in(socket, from)) return false;
  serve_connection(connection);
  let_go(socket, from);
  return true;
}

bool HttpServer::let_in(socket_t socket, const std::string& from) {
  const std::lock_guard lock(mutex_);
  if (ending_) return false;
  if (!from.empty()) {
    int all = 0;
    for (const auto& [address, count] : strangers_) all += count;
    if (all >= most_strangers || strangers_[from] >= most_of_one_stranger) return false;
    ++strangers_[from];
  }
  open_.insert(socket);
  return true;
}

void HttpServer::let_go(socket_t socket, const std::string& from) {
  const std::lock_guard lock(mutex_);
  open_.erase(socket);
  if (!from.empty() && --strangers_[from] <= 0) strangers_.erase(from);
}

void HttpServer::serve_connection(Connection& connection) {
  if (!connection.greet()) return;
  bool wanted = true;
  while (wanted && connection.wait_for_request()) {
    connection.begin_head();
    bool last = false;
    const auto after_head = [&](httplib::Request& request) {
      request.ranges.clear();  // byte_range.h reads them
      if (!request.has_header("Content-Length") && !request.has_header("Transfer-Encoding")) {
        request.set_header("Content-Length", "0");  // else the library waits for the end of the connection
      }
      const auto bytes = said_length(request);
      if (!bytes) last = true;
      connection.begin_body(bytes.value_or(0));
    };
    wanted = process_request(connection, false, last, after_head) && !last && !connection.has_unread_body();
  }
  connection.linger();
}

}  // namespace risetrace::serve
