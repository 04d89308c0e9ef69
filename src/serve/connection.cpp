#include "serve/connection.h"

#include <arpa/inet.h>
#include <openssl/ssl.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstring>

#include "serve/clock.h"

namespace risetrace::serve {
namespace {

using NameOf = int (*)(int, sockaddr*, socklen_t*);

void address(int socket, NameOf name_of, std::string& ip, int& port) {
  sockaddr_storage storage{};
  socklen_t size = sizeof storage;
  std::array<char, INET6_ADDRSTRLEN> text{};
  if (name_of(socket, reinterpret_cast<sockaddr*>(&storage), &size) != 0) return;  // NOLINT: the interface's own way
  if (storage.ss_family == AF_INET) {
    sockaddr_in in{};
    std::memcpy(&in, &storage, sizeof in);
    ::inet_ntop(AF_INET, &in.sin_addr, text.data(), text.size());
    port = ntohs(in.sin_port);
  } else if (storage.ss_family == AF_INET6) {
    sockaddr_in6 in{};
    std::memcpy(&in, &storage, sizeof in);
    ::inet_ntop(AF_INET6, &in.sin6_addr, text.data(), text.size());
    port = ntohs(in.sin6_port);
  }
  ip = text.data();
}

// What to wait for after SSL_read, SSL_write or SSL_accept said that it could not go on; 0: it never will.
short wanted(SSL* ssl, int said) {
  const int why = SSL_get_error(ssl, said);
  return why == SSL_ERROR_WANT_READ ? POLLIN : why == SSL_ERROR_WANT_WRITE ? POLLOUT : 0;
}

}  // namespace

Connection::Connection(int socket, SSL_CTX* context, const ConnectionLimits& limits)
    : socket_(socket), limits_(limits), until_s_(steady_s() + limits.greet_s) {
  if (context == nullptr) return;
  ssl_ = SSL_new(context);
  if (ssl_ != nullptr) SSL_set_fd(ssl_, socket);
}

Connection::~Connection() {
  if (ssl_ != nullptr) SSL_free(ssl_);
  ::close(socket_);
}

bool Connection::wait(short what, double until_s) const {
  const double left_s = until_s - steady_s();
  if (left_s <= 0) return false;
  pollfd one{socket_, what, 0};
  const int ready = ::poll(&one, 1, static_cast<int>(std::ceil(left_s * 1000)));
  return ready > 0 || (ready < 0 && errno == EINTR);
}

bool Connection::greet() {
  if (ssl_ == nullptr) return true;
  for (;;) {
    const int said = SSL_accept(ssl_);
    if (said == 1) return true;
    const short what = wanted(ssl_, said);
    if (what == 0 || !wait(what, until_s_)) return false;
  }
}

bool Connection::wait_for_request() {
  if (from_ < to_) return true;
  from_ = to_ = 0;
  return fill(steady_s() + limits_.idle_s) > 0;
}

void Connection::begin_head() {
  in_head_ = true;
  head_left_ = limits_.most_head_bytes;
  body_left_ = 0;
  until_s_ = steady_s() + limits_.head_s;
}

void Connection::begin_body(std::uint64_t bytes) {
  in_head_ = false;
  body_left_ = bytes;
  until_s_ = steady_s() + limits_.silence_s + static_cast<double>(bytes) / limits_.slowest_body_bytes_per_s;
}

ssize_t Connection::receive(char* bytes, std::size_t count, double until_s) {
  for (;;) {
    if (ssl_ != nullptr) {
      const int got = SSL_read(ssl_, bytes, static_cast<int>(std::min<std::size_t>(count, 1U << 30U)));
      if (got > 0) return got;
      const short what = wanted(ssl_, got);
      if (what == 0) return SSL_get_error(ssl_, got) == SSL_ERROR_ZERO_RETURN ? 0 : -1;
      if (!wait(what, until_s)) return -1;
    } else {
      const ssize_t got = ::recv(socket_, bytes, count, MSG_DONTWAIT);
      if (got >= 0) return got;
      if (errno != EAGAIN && errno != EINTR) return -1;
      if (!wait(POLLIN, until_s)) return -1;
    }
  }
}

ssize_t Connection::fill(double until_s) {
  from_ = to_ = 0;
  const ssize_t got = receive(buffer_.data(), buffer_.size(), until_s);
  if (got > 0) to_ = static_cast<std::size_t>(got);
  return got;
}

ssize_t Connection::read(char* bytes, std::size_t count) {
  if (in_head_ && head_left_ == 0) return -1;
  if (!in_head_ && body_left_ == 0) return 0;
  if (from_ == to_) {
    const double until_s = in_head_ ? until_s_ : std::min(until_s_, steady_s() + limits_.silence_s);
    const ssize_t got = fill(until_s);
    if (got <= 0) return got;
  }
  std::size_t taken = std::min(count, to_ - from_);
  if (in_head_) {
    taken = std::min(taken, head_left_);
    head_left_ -= taken;
  } else {
    taken = static_cast<std::size_t>(std::min<std::uint64_t>(taken, body_left_));
    body_left_ -= taken;
  }
  std::copy_n(buffer_.data() + from_, taken, bytes);
  from_ += taken;
  return static_cast<ssize_t>(taken);
}

ssize_t Connection::write(const char* bytes, std::size_t count) {
  const double until_s = steady_s() + limits_.silence_s;
  for (;;) {
    if (ssl_ != nullptr) {
      const int sent = SSL_write(ssl_, bytes, static_cast<int>(std::min<std::size_t>(count, 1U << 20U)));
      if (sent > 0) return sent;
      const short what = wanted(ssl_, sent);
      if (what == 0 || !wait(what, until_s)) return -1;
    } else {
      const ssize_t sent = ::send(socket_, bytes, count, MSG_DONTWAIT | MSG_NOSIGNAL);
      if (sent >= 0) return sent;
      if (errno != EAGAIN && errno != EINTR) return -1;
      if (!wait(POLLOUT, until_s)) return -1;
    }
  }
}

void Connection::linger() {
  if (ssl_ != nullptr) {
    SSL_shutdown(ssl_);
  }
  ::shutdown(socket_, SHUT_WR);
  const double until_s = steady_s() + 2;
  std::size_t most = 8U << 20U;
  while (most > 0 && wait(POLLIN, until_s)) {
    const ssize_t got = ::recv(socket_, buffer_.data(), buffer_.size(), MSG_DONTWAIT);
    if (got <= 0) return;
    most -= std::min(most, static_cast<std::size_t>(got));
  }
}

bool Connection::is_readable() const {
  pollfd one{socket_, POLLIN, 0};
  return from_ < to_ || ::poll(&one, 1, 0) > 0;
}

// Also asked while events are waited for: a client that has gone is seen by its end of the connection being shut.
bool Connection::is_writable() const {
  pollfd one{socket_, POLLOUT | POLLRDHUP, 0};
  return ::poll(&one, 1, 0) > 0 && (one.revents & (POLLRDHUP | POLLHUP | POLLERR)) == 0;
}

void Connection::get_remote_ip_and_port(std::string& ip, int& port) const { address(socket_, ::getpeername, ip, port); }
void Connection::get_local_ip_and_port(std::string& ip, int& port) const { address(socket_, ::getsockname, ip, port); }

}  // namespace risetrace::serve
