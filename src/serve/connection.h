// One client's connection, plain or TLS: what it may cost is limited here, before the library sees a byte.
#pragma once

#include <httplib.h>

#include <array>
#include <cstdint>
#include <string>

namespace risetrace::serve {

struct ConnectionLimits {
  std::size_t most_head_bytes = std::size_t{24} << 10U;  // request line and headers
  double greet_s = 5;                                    // for TLS's greeting
  double head_s = 10;                                    // from the first byte to the end of the headers
  double idle_s = 15;                                    // between requests
  double silence_s = 20;                                 // of a client that sends a body or takes an answer
  double slowest_body_bytes_per_s = 8 * 1024;
};

class Connection : public httplib::Stream {
 public:
  // Takes the socket; `context` null: plain.
  Connection(int socket, SSL_CTX* context, const ConnectionLimits& limits);
  Connection(const Connection&) = delete;
  Connection& operator=(const Connection&) = delete;
  ~Connection() override;

  bool greet();             // TLS's handshake; true at once without TLS
  bool wait_for_request();  // false: it ended, or sent nothing for idle_s
  void begin_head();
  void begin_body(std::uint64_t bytes);
  // Something of a body that nobody read lies there: what follows must not be taken for a request.
  [[nodiscard]] bool has_unread_body() const { return in_head_ || body_left_ > 0; }
  // Sends what is sent, then reads a while what still comes, so that the answer is not lost with it.
  void linger();

  [[nodiscard]] bool is_readable() const override;
  [[nodiscard]] bool is_writable() const override;
  ssize_t read(char* bytes, std::size_t count) override;
  ssize_t write(const char* bytes, std::size_t count) override;
  void get_remote_ip_and_port(std::string& ip, int& port) const override;
  void get_local_ip_and_port(std::string& ip, int& port) const override;
  [[nodiscard]] socket_t socket() const override { return socket_; }

 private:
  ssize_t fill(double until_s);
  ssize_t receive(char* bytes, std::size_t count, double until_s);
  [[nodiscard]] bool wait(short what, double until_s) const;

  int socket_;
  SSL* ssl_ = nullptr;
  ConnectionLimits limits_;
  std::array<char, 16384> buffer_{};
  std::size_t from_ = 0;
  std::size_t to_ = 0;
  bool in_head_ = true;
  std::size_t head_left_ = 0;
  std::uint64_t body_left_ = 0;
  double until_s_ = 0;
};

}  // namespace risetrace::serve
