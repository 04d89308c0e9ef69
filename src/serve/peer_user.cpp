#include "serve/peer_user.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <array>
#include <cstdio>
#include <fstream>
#include <sstream>

namespace risetrace::serve {
namespace {

using NameOf = int (*)(int, sockaddr*, socklen_t*);

// As the table writes it: the address as it lies in memory, the port in its natural order. Empty: not IPv4.
std::string end_of(int socket, NameOf name_of) {
  sockaddr_in in{};
  socklen_t size = sizeof in;
  if (name_of(socket, reinterpret_cast<sockaddr*>(&in), &size) != 0 || in.sin_family != AF_INET) return "";  // NOLINT
  std::array<char, 24> text{};
  std::snprintf(text.data(), text.size(), "%08X:%04X", in.sin_addr.s_addr, ntohs(in.sin_port));
  return text.data();
}

}  // namespace

std::optional<uid_t> user_in_table(const std::string& table, const std::string& peer, const std::string& own) {
  std::istringstream lines(table);
  std::string line;
  std::getline(lines, line);  // the heads
  while (std::getline(lines, line)) {
    std::istringstream fields(line);
    std::string number;
    std::string local;
    std::string remote;
    std::string skipped;
    uid_t user = 0;
    fields >> number >> local >> remote >> skipped >> skipped >> skipped >> skipped >> user;
    if (fields && local == peer && remote == own) return user;
  }
  return std::nullopt;
}

std::optional<uid_t> user_of_peer(int socket) {
  const std::string peer = end_of(socket, ::getpeername);
  const std::string own = end_of(socket, ::getsockname);
  if (peer.empty() || own.empty()) return std::nullopt;
  std::ifstream file("/proc/net/tcp");
  std::ostringstream table;
  table << file.rdbuf();
  return user_in_table(table.str(), peer, own);
}

}  // namespace risetrace::serve
